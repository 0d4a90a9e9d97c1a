//! What lies in `reports/` is what the demo makes, and what the proof found.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use stintbook::records::Habit;
use stintbook::rehearsal::EyeErrors;
use stintbook::rehearsal::proof::{BY_THE_BOOK, COMPANIES, Cell, Effort, Plots, Practice, Strain};
use stintbook::report::proof_row;

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
        proof_row(Strain::None.name(), &by_the_book),
        proof_row(&tenth.name(), &by_thumb),
        proof_row(Strain::HalfRate.name(), &of_sites).trim_end().to_owned(),
    ] {
        assert!(report.contains(&row), "run `cargo run -- rehearse --proof`; it lacks:\n{row}");
    }
}
