//! What README and its pages say of files and commands is so.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use stintbook::catalogue::{FIELDS, SOURCE};
use stintbook::intake::{FEATURES, SHEETS, columns};
use stintbook::records::{Kind, Need};

const README: &str = include_str!("../README.md");
const FILES: &str = include_str!("../sites/files.md");
const COMMANDS: &str = include_str!("../sites/commands.md");

fn table(kind: Kind) -> String {
    let what = if FEATURES.contains(&kind) { "property" } else { "column" };
    let rows = columns(kind).iter().map(|column| {
        let needed = match column.need {
            Need::Filled => " yes ",
            Need::Telling => " * ",
            Need::Optional => " ",
        };
        format!("| `{}` |{needed}| {} |\n", column.name, column.expected)
    });
    format!("| {what} | needed | what it takes |\n|---|---|---|\n") + &rows.collect::<String>()
}

#[test]
fn every_column_and_property_is_in_its_table() {
    for kind in FEATURES.into_iter().chain(SHEETS) {
        let table = table(kind);
        assert!(
            FILES.contains(&table),
            "sites/files.md lacks the table of a {}:\n{table}",
            kind.name()
        );
    }
}

#[test]
fn every_field_of_a_crop_is_in_its_table() {
    let rows = FIELDS.iter().chain([&SOURCE]).map(|field| {
        let needed = if field.needed { " yes " } else { " " };
        format!("| `{}` |{needed}| {} |\n", field.name, field.expected)
    });
    let table = rows.collect::<String>();
    let heading = "| field | needed | what it takes |\n|---|---|---|\n";
    assert!(
        FILES.contains(&(heading.to_owned() + &table)),
        "sites/files.md lacks:\n{heading}{table}"
    );
}

#[test]
fn every_command_is_in_the_list_and_has_an_example_in_its_help() {
    let help = stintbook(&["--help"]);
    let commands: BTreeSet<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help" && name.chars().all(|c| c.is_ascii_lowercase()))
        .collect();
    assert!(commands.len() > 10, "{commands:?}");
    for name in commands {
        let listed =
            [format!("`stintbook {name}"), format!("stintbook {name} "), format!("-- {name}")];
        assert!(
            listed.iter().any(|form| COMMANDS.contains(form)),
            "sites/commands.md lacks `{name}`"
        );
        if name != "verify" {
            let example = stintbook(&[name, "--help"]);
            assert!(example.contains(&format!("  stintbook {name}")), "no example for `{name}`");
        }
    }
}

#[test]
fn what_a_page_shows_or_links_to_is_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let limit = include_str!("../reports/how-the-limit-works.md");
    let pages = [("", README), ("sites", FILES), ("sites", COMMANDS), ("reports", limit)];
    let mut links = 0;
    for (folder, text) in pages.map(|(folder, text)| (root.join(folder), text)) {
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let file = link.split('#').next().unwrap();
            assert!(folder.join(file).is_file(), "`{link}` leads nowhere");
            links += 1;
        }
    }
    assert!(links > 6, "{links}");
}

#[test]
fn every_step_of_a_walk_has_an_example_in_its_help() {
    let help = stintbook(&["walk", "--help"]);
    let steps = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let steps = steps.take_while(|line| !line.is_empty());
    let steps = steps.filter_map(|line| line.split_whitespace().next());
    let steps: Vec<&str> = steps.filter(|name| *name != "help").collect();
    assert!(steps.len() > 6, "{steps:?}");
    for name in steps {
        let example = stintbook(&["walk", name, "--help"]);
        assert!(example.contains(&format!("  stintbook walk {name}")), "no example for `{name}`");
    }
}

fn stintbook(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_stintbook")).args(arguments).output().unwrap();
    String::from_utf8(output.stdout).unwrap()
}
