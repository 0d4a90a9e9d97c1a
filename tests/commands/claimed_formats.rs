//! Every command that README names writes each format that its help claims.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::said::Said;
use crate::trial::Trial;

const README: &str = include_str!("../../README.md");

/// Each command with a `--format`, as it is asked of the demo's book.
const ASKED: [&str; 19] = [
    "week",
    "check \"mill bank\" --people 9",
    "due",
    "calendar",
    "calendar --month 2027-04",
    "pressure",
    "pressure --weeks",
    "pressure --beside 2025/26",
    "history \"mill bank\"",
    "verify",
    "walk list",
    "walk plan --want \"green leaf=500g\"",
    "walk split \"creek walk\"",
    "box --month 2027-04 --count 3 --each \"green leaf=100g\"",
    "survey advise",
    "survey plan \"mill bank\" --quadrats 8 --frame 0.25 --seed 7",
    "recovery plan \"mill bank\" --seed 7",
    "rehearse --runs 20",
    "crops",
];

/// These write files; what is in them has tests of its own.
const WRITES: [&str; 2] = ["export", "report"];

/// The command itself: its words before the first flag, name or figure.
fn command(words: &str) -> String {
    let own = words.split_whitespace().take_while(|word| {
        word.chars().all(|letter| letter.is_ascii_lowercase()) && *word != "list"
    });
    let own: Vec<&str> = own.take(2).collect();
    if words == "walk list" { words.to_owned() } else { own.join(" ") }
}

fn claimed(trial: &Trial, command: &str) -> Vec<String> {
    let help = trial.run(&format!("{command} -h")).done();
    let unfolded = help.split_whitespace().collect::<Vec<_>>().join(" ");
    let Some(format) = unfolded.split("--format <").nth(1) else { return Vec::new() };
    let values = format.split("[possible values: ").nth(1).unwrap().split(']').next().unwrap();
    values.split(", ").map(str::to_owned).collect()
}

/// What each format begins with, or has.
fn is_in(format: &str, text: &str) -> bool {
    let json = || serde_json::from_str::<Value>(text).unwrap();
    match format {
        "table" => !text.trim().is_empty() && !text.contains("<svg"),
        "html" => text.starts_with("<!DOCTYPE html>") && text.trim_end().ends_with("</html>"),
        "md" => text.starts_with("# ") && !text.contains("<!DOCTYPE"),
        "csv" => text.lines().next().is_some_and(|line| line.contains(',')),
        "json" => json()["schema"].is_string(),
        "geojson" => json()["type"] == "FeatureCollection",
        "gpx" => text.contains("<gpx "),
        "svg" => text.contains("<svg "),
        "ics" => text.starts_with("BEGIN:VCALENDAR"),
        other => panic!("`{other}` has no look yet"),
    }
}

#[test]
fn each_command_writes_every_format_that_its_help_claims() {
    let trial = Trial::new();
    trial.run("demo --on 2027-03-14").done();
    let mut written = 0;
    for words in ASKED {
        let formats = claimed(&trial, &command(words));
        assert!(formats.len() > 1, "`{}` claims {formats:?}", command(words));
        for format in formats {
            let of_book = if words == "crops" { "" } else { " --book demo.sqlite" };
            let on = if words == "crops" || words.starts_with("history") {
                ""
            } else {
                " --on 2027-03-14"
            };
            let asked = format!("{words}{of_book}{on} --format {format}");
            let said = Said::by(&mut trial.command(&asked));
            let narrows = ["is for reading", "makes no"].iter().any(|it| said.err.contains(it));
            if words.contains("--") && said.status == 2 && narrows {
                continue;
            }
            assert!(said.status < 2 && said.err.is_empty(), "`{asked}`: {}", said.err);
            assert!(is_in(&format, &said.out), "`{asked}`:\n{}", said.out);
            written += 1;
        }
    }
    assert!(written > 80, "{written}");
}

#[test]
fn no_command_of_readme_with_formats_is_left_untried() {
    let trial = Trial::new();
    let tried: BTreeSet<String> = ASKED.iter().map(|words| command(words)).collect();
    let mut named = 0;
    let rows = README.lines().filter(|line| line.starts_with("| ") && line.contains("`stintbook "));
    for row in rows {
        let first = row.split("`stintbook ").nth(1).unwrap();
        let others = first.split('`').skip(2).step_by(2);
        for words in std::iter::once(first.split('`').next().unwrap()).chain(others) {
            let command = command(&words.replace("PATCH", "").replace("SITE", ""));
            named += 1;
            let help = Said::by(&mut trial.command(&format!("{command} --help")));
            let has_formats = help.status == 0 && help.out.contains("--format <");
            let is_known = tried.contains(&command) || WRITES.contains(&&*command);
            assert!(!has_formats || is_known, "`{command}` has formats and is not tried");
        }
    }
    assert!(named >= 19, "{named}");
}
