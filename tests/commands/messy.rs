//! What comes of all messy inputs: tables, workbooks, tracks and maps of our own making. Each is brought
//! to a book of its own, and what the book then has is compared to the last figure and position.

use std::fmt::Write;

use crate::bringing_corpus::{of_text, of_workbooks};
use crate::maps_corpus;

/// What should come of an input.
#[derive(Clone, Debug)]
pub enum Outcome {
    AtOnce,
    /// Not without these words of the command line.
    After(String),
    /// With these words in the refusal.
    Refused(String),
}

/// One input, and what came of it otherwise than it should.
pub struct Came {
    pub outcome: Outcome,
    pub fault: Option<String>,
}

/// Where the counts are kept.
const COUNTS: &str = include_str!("../fixtures/bring/README.md");

/// `| tracks | 0 | 7 | 2 | 0 |`.
fn counted(what: &str, all: &[&Came]) -> String {
    let count = |is: fn(&Came) -> bool| all.iter().filter(|came| is(came)).count();
    format!(
        "| {what} | {} | {} | {} | {} | {} |\n",
        all.len(),
        count(|came| matches!(came.outcome, Outcome::AtOnce)),
        count(|came| matches!(came.outcome, Outcome::After(_))),
        count(|came| matches!(came.outcome, Outcome::Refused(_))),
        count(|came| came.fault.is_some()),
    )
}

#[test]
fn messy_inputs_come_to_what_they_should_and_none_is_taken_wrongly() {
    let (tracks, maps) = maps_corpus::came();
    let groups = [
        ("tables as text", crate::bringing_corpus::came(&of_text())),
        ("workbooks", crate::bringing_corpus::came(&of_workbooks())),
        ("tracks", tracks),
        ("maps", maps),
    ];
    let mut table = String::new();
    for (what, all) in &groups {
        write!(table, "{}", counted(what, &all.iter().collect::<Vec<_>>())).unwrap();
    }
    let all: Vec<&Came> = groups.iter().flat_map(|(_, all)| all).collect();
    write!(table, "{}", counted("all", &all)).unwrap();
    println!("| | in all | at once | after an answer | refused | wrongly |\n{table}");
    let faults: Vec<&str> = all.iter().filter_map(|came| came.fault.as_deref()).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n\n"));
    assert!(all.len() >= 120, "{table}");
    assert!(
        COUNTS.contains(&table),
        "tests/fixtures/bring/README.md counts otherwise than\n{table}"
    );
}
