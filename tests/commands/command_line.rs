//! The command line used wrongly, or to its limits: a sentence, never a panic.

use std::io::Read;
use std::process::Stdio;

use crate::said::{Said, has};
use crate::trial::Trial;

#[test]
fn what_is_not_understood_is_named_with_what_would_be() {
    let trial = Trial::with_a_surveyed_bank();
    for (words, said) in [
        ("", "Usage: stintbook"),
        ("weeek", "similar subcommand exists: 'week'"),
        ("week --on 2027-04-31", "`2027-04-31` is not a day; write year-month-day"),
        ("week --on tomorrow", "`tomorrow` is not a day"),
        ("week --on 9999-12-31", "`9999-12-31` is too far off; write a year from 1900 to 2199"),
        ("week --near 0,0 --within -3", "`-3` is not a length; write `800m` or `1.2km`"),
        ("week --near 0,0 --within 1e999km", "is not a length"),
        ("week --near 0,0 --within lots", "`lots` is not a length"),
        ("week --within 3km", "--near"),
        ("week --near 12", "`12` is not a place; write longitude and latitude, like"),
        ("week --near nan,nan", "`nan,nan` is not a place"),
        ("week --near 48,-112", "has a latitude of -112; write longitude first"),
        ("week --near 181,95", "`181,95` is not a place"),
        ("week --people -3", "`-3` is not a number of people; write 1 or more"),
        ("week --people 0", "`0` is not a number of people"),
        ("check bank --people 4294967296", "`4294967296` is not a number of people"),
        ("week --format xml", "[possible values: table, csv, json, geojson]"),
        ("check", "<PATCH>"),
        ("check \"\"", "no patch is called ``"),
        ("check a/b/c", "no patch is called `a/b/c`"),
        ("cut bank 5g", "--by <NAME>"),
        ("load places.geojson --why misread", "--replace"),
    ] {
        has(&trial.run(words).wrong(), &[said]);
    }
}

#[test]
fn far_off_days_and_huge_numbers_end_in_words() {
    let trial = Trial::with_a_surveyed_bank();
    let asked = [
        "week",
        "week --people 4294967295",
        "check bank",
        "check bank --people 4294967295",
        "pressure",
        "cut bank 5g --by Ida",
        "glance bank 5kg --by Ida",
        "survey bank 3 4 --frame 0.25 --by Ida",
    ];
    let far = [
        "-9999-01-01",
        "-000001-01-01",
        "0000-01-01",
        "0001-01-01",
        "1899-12-31",
        "2200-01-01",
        "9999-12-31",
    ];
    for (words, day) in asked.iter().flat_map(|words| far.map(|day| (words, day))) {
        has(&trial.run(&format!("{words} --on={day}")).wrong(), &[day]);
    }
    let known = "2021-03-15 --as-known-on=9999-12-31";
    trial.run(&format!("week --on {known}")).wrong();
    for (words, day) in
        asked.iter().flat_map(|words| ["1900-01-01", "2199-12-31"].map(|day| (words, day)))
    {
        let said = trial.run(&format!("{words} --on {day}"));
        let is_asked = said.err.contains("--sure");
        assert!(said.status < 2 || is_asked, "`{words}` on {day}: {}", said.err);
    }
    for season in ["1000/01", "1899/00", "2199/00", "9000/01"] {
        trial.run(&format!("pressure --season {season}")).done();
    }
}

/// Words put together at random, most of them wrong: whatever happens, it happens in words.
#[test]
fn no_command_line_makes_it_panic() {
    const WORDS: [&str; 40] = [
        "week",
        "check",
        "cut",
        "survey",
        "glance",
        "correct",
        "withdraw",
        "history",
        "pressure",
        "crops",
        "verify",
        "bank",
        "Hill/Bank",
        "Hill/",
        "/",
        "\"\"",
        "-1",
        "0",
        "nan",
        "1e308",
        "99999999999999999999",
        "5g",
        "3kg",
        "1,5kg",
        "mass_g=5",
        "=",
        "--on",
        "2021-03-15",
        "2021-02-30",
        "--by",
        "Ida",
        "--people",
        "--near",
        "0,0",
        "--within",
        "--format",
        "json",
        "--frame",
        "--stratum",
        "\"a 1: 2 3\"",
    ];
    let trial = Trial::with_a_surveyed_bank();
    let mut chance = fastrand::Rng::with_seed(2021);
    let mut wrong = 0;
    for _ in 0..150 {
        let first = WORDS[chance.usize(..11)];
        let more = (0..chance.usize(..7)).map(|_| WORDS[chance.usize(..WORDS.len())]);
        let words: Vec<&str> = std::iter::once(first).chain(more).collect();
        wrong += i32::from(trial.run(&words.join(" ")).status == 2);
    }
    assert!(wrong > 50, "only {wrong} were wrong");
    has(&trial.run("verify").out, &["The book is whole"]);
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let trial = Trial::new();
    trial.run("demo").done();
    for words in ["pressure --season 2026/27 --format csv", "week", "crops --format json"] {
        let mut command = trial.command(&format!("--book demo.sqlite {words}"));
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let mut first = [0; 1];
        child.stdout.take().unwrap().read_exact(&mut first).unwrap();
        let ended = child.wait_with_output().unwrap();
        assert_eq!(ended.status.code(), Some(0), "{words}");
        assert_eq!(String::from_utf8(ended.stderr).unwrap(), "", "{words}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    let mut command = Trial::new().command("crops");
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let ended = command.current_dir("/").stdout(full).output().unwrap();
    assert_eq!(ended.status.code(), Some(3));
    has(&String::from_utf8(ended.stderr).unwrap(), &["could not write the output"]);
}

#[test]
fn every_command_explains_itself() {
    let trial = Trial::new();
    let help = trial.run("--help").done();
    let commands = help.split("Commands:").nth(1).unwrap().split("Options:").next().unwrap();
    let names: Vec<&str> = commands
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    assert!(names.len() >= 15, "{names:?}");
    for name in names {
        has(&Said::by(&mut trial.command(&format!("{name} --help"))).done(), &["Usage: stintbook"]);
    }
    has(&trial.run("--version").done(), &["stintbook "]);
}
