//! Numbers in tables: what nobody can count goes by weight.

use serde_json::Value;

use crate::hill::{LIFTED, SOUTH, SURVEY, WEST, patch_of, places, polygon, site};
use crate::said::has;
use crate::trial::Trial;

/// `Hill/Bank`, of 16 hectares and so of some 19 tonnes of nettles, surveyed on 1 March 2021.
fn large_bank() -> Trial {
    let trial = Trial::with_book();
    let (west, south) = (WEST + 0.0005, SOUTH + 0.0005);
    let (east, north) = (west + 0.0025, south + 0.008);
    let ring = [(west, south), (east, south), (east, north), (west, north), (west, south)];
    let features = [site(), patch_of("Bank", "nettle-tops", &polygon(&ring))];
    trial.load("places.geojson", places(&features)).done();
    trial.load("permissions.csv", LIFTED).done();
    trial.load("surveys.csv", SURVEY).done();
    trial
}

fn asked(trial: &Trial, words: &str) -> Value {
    serde_json::from_str(&trial.run(words).out).unwrap()
}

/// Fifty grams of a stand of tonnes are one in so many that nobody would count them off.
#[test]
fn a_walk_that_asks_little_of_a_large_patch_goes_by_weight() {
    let trial = large_bank();
    let plan = "walk plan --on 2021-03-20 --site hill --want nettle-tops=";
    let stop =
        |want: &str| asked(&trial, &format!("{plan}{want} --format json"))["stops"][0].clone();
    let (little, much) = (stop("500g"), stop("300kg"));
    assert_eq!((&little["one_in"], &little["goes_by"]), (&Value::Null, &"weight".into()));
    assert_eq!(little["quota_g"], 500.0);
    assert_eq!(much["goes_by"], "count");
    assert!(much["one_in"].as_u64().unwrap() <= 200, "{much:#}");
    has(&trial.run(&format!("{plan}500g")).done(), &["500 g", "by weight"]);

    let new = "walk new spring --on 2021-03-20 --leader Ida --site hill --want nettle-tops=500g";
    trial.run(&format!("{new} --recorded-on 2021-03-10 --seed 7 --adults 2")).done();
    let split = asked(&trial, "walk split spring --on 2021-03-10 --format json");
    assert_eq!(
        (&split["stops"][0]["one_in"], &split["stops"][0]["goes_by"]),
        (&Value::Null, &"weight".into())
    );
    has(&trial.run("walk split spring --on 2021-03-10").done(), &["by weight"]);
    has(&trial.run("walk hold spring --on 2021-03-10").done(), &["by weight"]);
    trial.run("walk sheet spring --on 2021-03-10 --out sheet.html").done();
    has(&trial.read("sheet.html"), &["by weight"]);
}

/// As the share runs out, cut by cut on one day, the limit never rises, and the last that is left
/// is weighed without slack.
#[test]
fn what_is_left_of_a_share_is_weighed_where_it_is_too_little_to_count() {
    let trial = large_bank();
    let day = "2021-03-15";
    let (mut before, mut weighed) = (f64::INFINITY, false);
    for cut in 0..12 {
        let found = asked(&trial, &format!("check hill/bank --on {day} --format json"));
        let most = found["most_g"].as_f64().unwrap();
        assert!(most <= before, "{before} g became {most} g");
        before = most;
        let share = &found["share"];
        let fraction = share["fraction"].as_f64().unwrap();
        match found["goes_by"].as_str() {
            Some("count") => {
                assert!(fraction >= 1.0 / 200.0, "{found:#}");
                // Of a crop whose full crop swings.
                assert_eq!(share["slack"], 1.25);
            }
            goes_by => {
                assert_eq!(goes_by, Some("weight"));
                assert!(fraction < 1.0 / 200.0, "{found:#}");
                assert_eq!((&share["slack"], &found["one_in"]), (&1.0.into(), &Value::Null));
                weighed = true;
            }
        }
        let part = most * 0.6;
        let words = format!("cut hill/bank {part:.0}g --part --people 1 --by Ida{cut} --on {day}");
        trial.run(&format!("{words} --recorded-on {day} --sure")).done();
        if weighed {
            break;
        }
    }
    assert!(weighed, "the share never got that small");
    has(
        &trial.run(&format!("check hill/bank --on {day}")).done(),
        &["OPEN: at most", "by weight: it is too small a part of what you see to count off"],
    );
    let week = trial.run(&format!("week --on {day}")).done();
    has(&week, &["by weight"]);
    assert!(!week.contains("1 in "), "{week}");
    let full = trial.run(&format!("check hill/bank --on {day} --full")).done();
    has(&full, &["by weight; 1 % of the share is back"]);
}

/// No other program, and no file, gets a code that only a terminal knows, whatever is asked for.
#[test]
fn what_stands_out_on_a_terminal_leaves_no_trace_in_a_pipe() {
    let trial = large_bank();
    for words in ["week --on 2021-03-15", "check hill/bank --on 2021-03-15", "week --format html"] {
        let mut command = trial.command(words);
        let command = command.env("CLICOLOR_FORCE", "1").env("TERM", "xterm-256color");
        let said = command.env_remove("NO_COLOR").output().unwrap();
        let text = String::from_utf8(said.stdout).unwrap();
        assert!(!text.is_empty(), "{words}");
        let code =
            |letter: char| letter == '\u{1b}' || ('\u{e0100}'..='\u{e01ef}').contains(&letter);
        assert!(!text.contains(code), "`{words}`:\n{text}");
    }
}
