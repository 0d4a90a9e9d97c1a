//! The pages that are handed to people, looked at in a browser: what is printed, what a phone
//! shows, what a dark screen shows, and what someone meets who does not see it.
//!
//! It takes a Chromium and, for the last, `npm ci` in this folder; without them the tests are
//! skipped and say so. Hence a harness of its own: Rust's hides what a passing test says.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]
#![allow(clippy::print_stdout, reason = "a harness says how its tests went")]

mod accessible;
mod chromium;
mod dark;
mod made;
mod narrow;
mod printed;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

/// What a test needs that may be missing, or how it went.
pub type Outcome = Result<(), Missing>;

/// What a test cannot do without, in words.
#[derive(Debug)]
pub struct Missing(pub &'static str);

type Test = (&'static str, fn() -> Outcome);

const TESTS: [Test; 5] = [
    ("no_rule_of_accessibility_is_broken_in_light_or_dark", accessible::in_light_and_dark),
    ("no_rule_of_accessibility_is_broken_on_a_phone", accessible::on_a_phone),
    ("a_page_prints_on_a_few_sheets_of_a4", printed::on_a_few_sheets),
    ("no_page_is_wider_than_a_phone", narrow::no_page_is_wider),
    ("a_page_is_dark_for_who_wants_it_dark", dark::follows_the_reader),
];

fn main() -> ExitCode {
    let asked: Vec<String> =
        std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    if std::env::args().any(|word| word == "--list") {
        TESTS.iter().for_each(|(name, _)| println!("{name}: test"));
        return ExitCode::SUCCESS;
    }
    let wanted = TESTS
        .iter()
        .filter(|(name, _)| asked.is_empty() || asked.iter().any(|word| name.contains(word)));
    let passed: Vec<bool> = wanted.map(|(name, test)| passes(name, *test)).collect();
    if passed.iter().all(|passed| *passed) { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn passes(name: &str, test: fn() -> Outcome) -> bool {
    let outcome = catch_unwind(AssertUnwindSafe(test));
    let said = match &outcome {
        Ok(Ok(())) => "ok".to_owned(),
        Ok(Err(Missing(what))) => format!("SKIPPED: {what}"),
        Err(_) => "FAILED".to_owned(),
    };
    println!("test {name} ... {said}");
    outcome.is_ok()
}
