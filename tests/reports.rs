//! What lies in `reports/` is what the demo makes, and what the proof found.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use stintbook::records::Habit;
use stintbook::rehearsal::EyeErrors;
use stintbook::rehearsal::proof::{BY_THE_BOOK, COMPANIES, Cell, Effort, Plots, Practice, Strain};
use stintbook::report::Named as _;
use stintbook::report::proof_row;
use stintbook::units::Amount;

/// What the names of the proof's files begin with, and of the page about it: the demo makes
/// neither.
const OTHERS: [&str; 2] = ["rehearsal-proof", "how-the-limit-works"];

#[test]
fn the_committed_reports_are_what_the_demo_makes() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(["demo", "--folder"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let made = files(&folder.path().join("reports"));
    let committed = files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("reports"));
    assert!(!made.is_empty());
    assert_eq!(
        made.keys().collect::<Vec<_>>(),
        committed.keys().collect::<Vec<_>>(),
        "run `cargo run -- demo` and commit reports/"
    );
    for (name, text) in made {
        assert!(text == committed[&name], "{name} differs: run `cargo run -- demo`");
    }
}

/// What a page says in several places it says alike: in its table, on its drawing, on its map's
/// key, in the figures at its head, and in the table beside it.
#[test]
fn a_figure_of_a_page_has_one_value_wherever_it_stands() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("reports");
    let all = files(&folder);
    let pages = all.iter().filter(|(name, _)| name.ends_with("-2026-27.html"));
    let (mut told, mut of_sites, mut drawn) = (0, 0, 0);
    for (name, page) in pages {
        let page = page.replace('\u{a0}', " ");
        for id in ["visits", "people", "overruns"] {
            let values = values_of(&page, id);
            let first: Vec<String> = values.iter().map(|value| first_word(value)).collect();
            let of_season = first.iter().filter(|word| !word.contains("kg"));
            let mut known: Vec<&str> = of_season.map(|word| word.as_str()).collect();
            known.dedup();
            assert!(matches!(known[..], [_] | ["0", "never"]), "{name}, `{id}`: {values:?}");
            of_sites += values.len();
        }
        let csv = &all[&name.replace(".html", "-patches.csv")];
        let mut rows = csv.lines();
        let columns: Vec<&str> = rows.next().unwrap().split(',').collect();
        for row in rows {
            let cells: Vec<&str> = row.split(',').collect();
            let cell = |name: &str| cells[columns.iter().position(|it| *it == name).unwrap()];
            let amount = |name: &str| {
                let of = |unit: &str| cell(&format!("{name}_{unit}")).parse::<f64>().ok();
                let grams = of("g").map(Amount::grams);
                grams.or(of("count").map(Amount::count)).map(|amount| amount.to_string())
            };
            let (number, patch) = (cell("number"), cell("patch"));
            let figure = |of: &str| values_of(&page, &format!("p{number}-{of}")).pop();
            let Some(taken) = figure("taken") else { continue };
            let number_of = |text: &str| text.split(' ').next().unwrap().to_owned();
            let same = |of: &str, column: &str| {
                let (page, table) = (figure(of).unwrap(), amount(column).unwrap());
                assert_eq!(number_of(&page), number_of(&table), "{name}, {patch}: {of}");
            };
            same("taken", "taken");
            same("stood", "standing");
            assert_eq!(figure("visits").as_deref(), Some(cell("visits")), "{name}, {patch}");
            let hardest = cell("hardest_cut_of_allowed").parse::<f64>();
            let hardest = hardest.map(|part| format!("{:.0} %", 100.0 * part)).unwrap();
            let shown = figure("hardest").unwrap();
            assert_eq!(shown.trim_start_matches("▲ "), hardest, "{name}, {patch}");
            let on_map = format!("<b>{number}</b>{patch}<span> · {hardest}</span>");
            assert!(page.contains(&on_map), "{name} has no `{on_map}` in its map's key");
            // Only what was pressed hard has a panel of its own.
            let stood = figure("stood").unwrap();
            let opens = format!(" {patch} (");
            for panel in page.split(&opens).skip(1) {
                // Drawings say it so, for who cannot see them.
                let Some((crop, figures)) = panel.split_once("): ") else { continue };
                if !crop.contains(['<', '.']) && figures.starts_with("stands ") {
                    let said = format!("stands {stood}; took {taken}");
                    assert!(figures.starts_with(&said), "{name}, {patch}: {said}");
                    drawn += 1;
                }
            }
            told += 1;
        }
    }
    assert!(told >= 10 && drawn >= 6 && of_sites >= 18, "only {told}, {drawn}, {of_sites}");
}

/// All that stands under the name of a figure, without its marks.
fn values_of(page: &str, id: &str) -> Vec<String> {
    let opens = format!("title=\"{id}\">");
    let named = page.split(&opens).skip(1);
    let inside = |after: &str| {
        let bold = after.strip_prefix("<b>").unwrap_or(after);
        bold.split('<').next().unwrap().to_owned()
    };
    named.map(inside).filter(|text| !text.is_empty()).collect()
}

fn first_word(text: &str) -> String {
    let plain = text.trim_start_matches("▲ ");
    if plain.contains("kg") {
        plain.to_owned()
    } else {
        plain.split(' ').next().unwrap().to_owned()
    }
}

fn files(folder: &Path) -> BTreeMap<String, String> {
    fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap())
        .map(|file| {
            let name = file.file_name().into_string().unwrap();
            (name, fs::read_to_string(file.path()).unwrap())
        })
        .filter(|(name, _)| !OTHERS.iter().any(|other| name.starts_with(other)))
        .collect()
}

/// All of it but its figures, played with as few patches as can be.
#[test]
fn the_committed_proof_says_what_a_new_one_would() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(["rehearse", "--proof", "--runs", "2", "--reports"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let made = fs::read_to_string(folder.path().join("rehearsal-proof.md")).unwrap();
    // Of a row of a table, what stands before its figures.
    let words = |report: &str| -> Vec<String> {
        let said = report.lines().map(|line| line.split('|').take(2).collect::<String>());
        said.map(|line| line.replace(|c: char| c.is_ascii_digit(), "")).collect()
    };
    let committed = include_str!("../reports/rehearsal-proof.md");
    assert_eq!(words(&made), words(committed), "run `cargo run -- rehearse --proof`");
}

/// A row of each table, played again.
#[test]
fn the_committed_proof_is_what_its_cells_come_to() {
    let report = include_str!("../reports/rehearsal-proof.md");
    let patches = report.split("found with ").nth(1).and_then(|rest| rest.split(' ').next());
    let effort = Effort { patches: patches.unwrap().parse().unwrap(), seed: 1 };
    let plots = Plots::new();
    let cell = |way| Cell::new(Habit::OnceAYear, way);
    let by_the_book = BY_THE_BOOK.map(|way| cell(way).score(&plots, effort));
    let tenth = Practice::Fraction(0.1);
    let eyes = [EyeErrors::ORDINARY, EyeErrors::UNBIASED, EyeErrors::NONE];
    let by_thumb = eyes.map(|counting| Cell { counting, ..cell(tenth) }.score(&plots, effort));
    // Of the patches of a site, only the half of a row that is played without glances.
    let slow = Cell { strain: Strain::HalfRate, ..Cell::new(Habit::SlowLeaf, BY_THE_BOOK[0]) };
    let of_sites = COMPANIES.map(|company| Cell { company, ..slow }.score(&plots, effort));
    for row in [
        proof_row(&Strain::None.name(), &by_the_book),
        proof_row(&tenth.name(), &by_thumb),
        proof_row(&Strain::HalfRate.name(), &of_sites).trim_end().to_owned(),
    ] {
        assert!(report.contains(&row), "run `cargo run -- rehearse --proof`; it lacks:\n{row}");
    }
}
