//! `box`: a month of boxes, gathered week by week within the same limits as any walk.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

const BOXES: &str = "box --month 2021-04 --recorded-on 2021-03-10";

fn boxes(trial: &Trial, words: &str) -> Value {
    let said = trial.run(&format!("{BOXES} --format json {words}")).done();
    serde_json::from_str(&said).unwrap()
}

/// April 2021 has five Thursdays: ISO weeks 13 to 17.
#[test]
fn boxes_are_spread_over_the_weeks_of_their_month() {
    let trial = Trial::with_surveyed_patches();
    let plan = boxes(&trial, "--count 10 --each nettle-tops=200g,ramsons-leaf=100g");
    let weeks = plan["weeks"].as_array().unwrap();
    let names: Vec<&str> = weeks.iter().map(|week| week["week"].as_str().unwrap()).collect();
    assert_eq!(names, ["2021-W13", "2021-W14", "2021-W15", "2021-W16", "2021-W17"]);
    for week in weeks {
        let of = |crop: &str| -> f64 {
            let stops = week["stops"].as_array().unwrap().iter();
            stops.filter(|s| s["crop"] == crop).map(|s| s["quota_g"].as_f64().unwrap()).sum()
        };
        assert_eq!((of("nettle-tops"), of("ramsons-leaf")), (400.0, 200.0), "{week}");
    }
    assert_eq!(plan["wants"][0]["got_g"], 2000.0);
    assert_eq!(plan["wants"][0]["shortage"], Value::Null);
}

/// What one week takes is gone for the next but for what has grown back.
#[test]
fn no_week_takes_more_than_the_weeks_before_have_left() {
    let trial = Trial::with_surveyed_patches();
    let plan = boxes(&trial, "--count 100 --each nettle-tops=2kg");
    let weeks = plan["weeks"].as_array().unwrap();
    let sums: Vec<f64> = weeks
        .iter()
        .map(|week| {
            let stops = week["stops"].as_array().unwrap().iter();
            stops.map(|stop| stop["quota_g"].as_f64().unwrap()).sum()
        })
        .collect();
    assert!(sums[0] > 2.0 * sums[1] && sums[1] > 0.0, "{sums:?}");
    let short = plan["wants"][0]["shortage"].as_str().unwrap();
    assert!(short.contains("missing"), "{short}");
}

#[test]
fn boxes_are_set_aside_under_a_walk_each_week() {
    let trial = Trial::with_surveyed_patches();
    let words = format!("{BOXES} --count 10 --each nettle-tops=200g --hold boxes --leader Ida");
    let said = trial.run(&words).done();
    has(&said, &["10 boxes over 5 weeks", "nettle-tops: 2 kg of 2 kg", "Set aside, under 5 walks"]);
    has(&said, &["This tool does not identify plants."]);
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let list = trial.run("walk list --on 2021-03-10").done();
    has(&list, &["boxes 2021-W17: Hill, led by Ida, 1 person in 1 party; set aside on"]);
    let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(list.matches("set aside on").count(), 5, "{list}");
    let settled = "walk settle \"boxes 2021-W13\" --all --recorded-on 2021-04-02";
    has(&trial.run(settled).done(), &["Settled boxes 2021-W13"]);
    has(&trial.run(&words).wrong(), &["another walk is called `boxes 2021-W13`"]);
}

#[test]
fn a_little_that_one_week_holds_is_asked_for_once() {
    let trial = Trial::with_surveyed_patches();
    let plan = boxes(&trial, "--count 1 --each nettle-tops=5g");
    let weeks = plan["weeks"].as_array().unwrap();
    let gathered = weeks.iter().filter(|week| !week["stops"].as_array().unwrap().is_empty());
    assert!(gathered.count() <= 5);
    assert!(plan["wants"][0]["got_g"].as_f64().unwrap() <= 5.0, "{plan}");
}

#[test]
fn boxes_that_make_no_sense_are_refused() {
    let trial = Trial::with_surveyed_patches();
    let wrong = |words: &str| trial.run(words).wrong();
    has(&wrong("box --month 2021-13 --count 2 --each nettle-tops=1kg"), &["is not a month"]);
    has(&wrong("box --month 2021-4-1 --count 2 --each nettle-tops=1kg"), &["is not a month"]);
    has(&wrong("box --month 2021-04 --count 0 --each nettle-tops=1kg"), &["0"]);
    has(&wrong("box --month 2021-04 --count 2 --each nettles=1kg"), &["neither a crop nor"]);
    has(&wrong("box --month 2021-04 --count 2 --each nettle-tops=1kg"), &["is over"]);
}
