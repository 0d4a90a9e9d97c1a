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
        ("week --format xml", "[possible values: table, html, md, csv, json, geojson]"),
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

#[test]
fn every_number_that_is_typed_wrong_is_told_what_would_be_right() {
    let trial = Trial::with_a_surveyed_bank();
    let survey = "--by Ida --frame 0.25 --on 2021-03-15";
    for (words, said) in [
        (
            &*format!("survey bank 12,5 8 {survey}"),
            "`12,5` has a comma in it; write `12.5`, with a point",
        ),
        (&format!("survey bank 1,250 8 {survey}"), "write `1.250`, or `1250` if that is meant"),
        (
            &format!("survey bank much {survey}"),
            "`much` is not a number; write one like `12.5` or `30`",
        ),
        ("survey bank 12 8 --frame 0,25 --by Ida", "write `0.25`, with a point"),
        ("survey bank 12 8 --length 1,5 --by Ida", "write `1.5`, with a point"),
        ("survey bank --stratum \"a 12,5: 2 3\" --frame 1 --by Ida", "write `12.5`, with a point"),
        ("survey bank --stratum \"a 12: 2,5 3\" --frame 1 --by Ida", "write `2.5`, with a point"),
        ("survey bank --judged \"3,5=4\" --frame 1 --by Ida", "a decimal point, like `3.5`"),
        ("survey plan bank --quadrats 2,5", "write `2.5`, with a point"),
        ("survey plan bank --quadrats many", "`many` is not a whole number, 0 or more"),
        ("survey plan bank --seed 1.5", "`1.5` is not a whole number, 0 or more"),
        ("survey plan bank --frame 0,25", "write `0.25`, with a point"),
        ("survey advise --precision 0,2", "write `0.2`, with a point"),
        ("survey advise --precision 120%", "`120` is not a precision; write `20%`, more than 0"),
        ("cut bank 1,5kg --by Ida", "`1,5kg` has a decimal comma; write it with a point"),
        ("cut bank 5g --one-in 2.5 --by Ida", "`2.5` is not a whole number, 1 or more"),
        ("cut bank 5g --one-in -2 --by Ida", "`-2` is not a whole number, 1 or more"),
        ("glance bank 3,5kg --by Ida", "`3,5kg` has a decimal comma; write it with a point"),
        ("week --near 0,0 --within 1,2km", "write `1.2`, with a point"),
        (
            "walk new w --leader Ida --site Hill --adults two",
            "`two` is not a whole number, 0 or more",
        ),
        (
            "walk new w --leader Ida --site Hill --adults 2 --children x",
            "`x` is not a whole number",
        ),
        (
            "walk new w --leader Ida --site Hill --adults 2 --seed 0",
            "`0` is not a whole number, 1 or more",
        ),
        ("walk plan --want nettle-tops=1,5kg", "write it with a point, like `nettle-tops=1.5kg`"),
        (
            "box --month 2021-03 --count 0 --each nettle-tops=5g",
            "`0` is not a whole number from 1 to 100000",
        ),
        ("box --month 2021-03 --count 2 --each nettle-tops=1,5g", "like `nettle-tops=1.5g`"),
        ("rehearse --theta 0,75", "write `0.75`, with a point"),
        ("rehearse --theta 2", "`2` is not a part that is kept; write one like `0.75`"),
        ("rehearse --groups 9", "`9` is not a whole number from 1 to 7"),
        ("rehearse --runs 1e3", "`1e3` is not a whole number from 2 to 1000000"),
        ("rehearse --seed x", "`x` is not a whole number, 0 or more"),
    ] {
        let told = trial.run(words).wrong();
        has(&told.replace("\n  ", " "), &[said]);
        assert!(!told.contains("literal") && !told.contains("digit found"), "`{words}`: {told}");
    }
}

#[test]
fn the_help_of_load_lists_what_it_reads() {
    let said = Trial::new().run("load --help").done();
    has(&said, &["GeoJSON files with sites, zones, patches, redraws and landmarks;"]);
    has(&said, &["permissions, closures, overrides, walks, surveys,", "visits or emergencies"]);
}
