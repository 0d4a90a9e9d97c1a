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

/// Permission begins on Friday 16 April 2021: the Thursdays before it bring nothing, however early
/// the month is planned.
#[test]
fn each_week_is_planned_as_its_own_thursday_allows() {
    let trial = Trial::with_surveyed_patches();
    let id = trial.id_of("permission");
    let later = "from=2021-04-16 --why \"misread\" --by Ida --recorded-on 2021-03-09 --sure";
    trial.run(&format!("correct {id} {later}")).done();
    let plan = boxes(&trial, "--count 10 --each nettle-tops=200g");
    let gathered = |week: &Value| -> f64 {
        let stops = week["stops"].as_array().unwrap().iter();
        stops.map(|stop| stop["quota_g"].as_f64().unwrap()).sum()
    };
    let weeks: Vec<f64> = plan["weeks"].as_array().unwrap().iter().map(gathered).collect();
    assert_eq!(weeks, [0.0, 0.0, 0.0, 1600.0, 400.0], "what fell short comes as soon as it may");
}

/// 1 April 2021 is a Thursday.
#[test]
fn a_week_is_over_once_its_thursday_is_past() {
    let trial = Trial::with_surveyed_patches();
    let first = |asked_on: &str| {
        let words = format!(
            "box --month 2021-04 --recorded-on {asked_on} --count 10 --each nettle-tops=200g \
             --format json"
        );
        let plan: Value = serde_json::from_str(&trial.run(&words).done()).unwrap();
        plan["weeks"][0]["week"].as_str().unwrap().to_owned()
    };
    assert_eq!((first("2021-04-01"), first("2021-04-02")), ("2021-W13".into(), "2021-W14".into()));
    trial
        .run(&format!("{BOXES} --count 10 --each nettle-tops=200g --hold boxes --leader Ida"))
        .done();
    let days: Vec<String> = ["W13", "W17"]
        .map(|week| trial.run(&format!("walk split \"boxes 2021-{week}\" --format json")).done())
        .map(|split| serde_json::from_str::<Value>(&split).unwrap())
        .map(|split| split["on"].as_str().unwrap().to_owned())
        .to_vec();
    assert_eq!(days, ["2021-04-01", "2021-04-29"]);
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
    let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
    has(&list, &["boxes 2021-W17 1 in 1 party Hill, for sale, led by Ida; set aside on"]);
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
    has(&wrong("box --month 2021-04 --count 2 --each thistledown=1kg"), &["neither a crop nor"]);
    has(&wrong("box --month 2021-04 --count 2 --each nettle-tops=1kg"), &["is over"]);
}

fn left_out(plan: &Value) -> Vec<&str> {
    plan["left_out"].as_array().unwrap().iter().map(|it| it["crop"].as_str().unwrap()).collect()
}

/// Nettles stand for green leaf on the hill, and deadly nightshade may grow among them.
#[test]
fn a_crop_with_a_fatal_look_alike_is_in_a_box_only_where_it_is_named() {
    let trial = Trial::with_surveyed_patches();
    let role = "--count 4 --each \"green leaf=100g\"";
    let plan = boxes(&trial, role);
    assert_eq!(plan["wants"][0]["got_g"], 0.0);
    assert_eq!(left_out(&plan), ["nettle-tops"]);
    let text = trial.run(&format!("{BOXES} {role}")).done();
    has(&text, &["green leaf: 0 g of 400 g; what would serve is left out of every box"]);
    has(&text, &["LEFT OUT OF EVERY BOX", "deadly nightshade", "--with nettle-tops puts it in"]);
    let named = boxes(&trial, &format!("{role} --with nettle-tops"));
    assert_eq!(named["wants"][0]["got_g"], 400.0);
    assert!(left_out(&named).is_empty());
    let by_name = boxes(&trial, "--count 4 --each nettle-tops=100g");
    assert_eq!(by_name["wants"][0]["got_g"], 400.0);
    let refused = trial.run(&format!("{BOXES} {role} --with nettle-tops --without nettle-tops"));
    has(&refused.wrong(), &["named to be in every box and, with --without, in none"]);
    let unknown = trial.run(&format!("{BOXES} {role} --without no-such-crop")).wrong();
    has(&unknown, &["no crop is called `no-such-crop`"]);
}

#[test]
fn every_box_is_packed_once_with_what_it_was_promised_and_the_sum_is_what_was_gathered() {
    let trial = Trial::with_surveyed_patches();
    let plan = boxes(&trial, "--count 12 --each nettle-tops=150g,ramsons-leaf=50g");
    let mut subscribers = Vec::new();
    let mut packed = 0.0;
    for week in plan["weeks"].as_array().unwrap() {
        for one in week["boxes"].as_array().unwrap() {
            assert_eq!(one["own_week"], true, "nothing fell short: {one}");
            subscribers.push(one["subscriber"].as_u64().unwrap());
            let amounts: Vec<(&str, f64)> = one["contents"]
                .as_array()
                .unwrap()
                .iter()
                .map(|it| (it["crop"].as_str().unwrap(), it["amount_g"].as_f64().unwrap()))
                .collect();
            assert_eq!(amounts, [("nettle-tops", 150.0), ("ramsons-leaf", 50.0)]);
            packed += amounts.iter().map(|(_, grams)| grams).sum::<f64>();
        }
    }
    subscribers.sort_unstable();
    assert_eq!(subscribers, (1..=12).collect::<Vec<_>>());
    let got = |n: usize| plan["wants"][n]["got_g"].as_f64().unwrap();
    assert_eq!(packed, got(0) + got(1));
}

/// Far more is promised than there is: what comes is shared level, and nobody has the short end
/// in two months running.
#[test]
fn where_it_falls_short_no_box_and_no_patch_is_favoured() {
    let trial = Trial::with_surveyed_patches();
    let short = |month: &str| -> Value {
        let words = format!(
            "box --month {month} --recorded-on 2021-03-10 --count 10 --each nettle-tops=2kg \
             --format json"
        );
        serde_json::from_str(&trial.run(&words).done()).unwrap()
    };
    let plan = short("2021-04");
    let mut had = [0.0; 10];
    let mut of_patch = std::collections::BTreeMap::new();
    for week in plan["weeks"].as_array().unwrap() {
        for one in week["boxes"].as_array().unwrap() {
            let at = one["subscriber"].as_u64().unwrap() as usize - 1;
            had[at] += one["contents"][0]["amount_g"].as_f64().unwrap();
        }
        for stop in week["stops"].as_array().unwrap() {
            let patch = stop["patch"].as_str().unwrap().to_owned();
            *of_patch.entry(patch).or_insert(0.0) += stop["quota_g"].as_f64().unwrap();
        }
    }
    let got = plan["wants"][0]["got_g"].as_f64().unwrap();
    assert!(got > 0.0 && got < 20_000.0, "{got}");
    assert!((had.iter().sum::<f64>() - got).abs() < 1e-6, "{had:?} of {got}");
    // Two patches alike, surveyed alike. A week's plan may lean on one of them by a twentieth of
    // its limit to save steps; what it gave then, it has not in the weeks after.
    let takes: Vec<f64> = of_patch.into_values().collect();
    assert_eq!(takes.len(), 2);
    assert!((takes[0] - takes[1]).abs() <= 0.1 * takes[0], "{takes:?}");
    let last = |plan: &Value| {
        let boxes = plan["weeks"][3]["boxes"].as_array().unwrap().clone();
        let own = boxes.iter().filter(|one| one["own_week"] == true);
        own.map(|one| one["subscriber"].as_u64().unwrap()).collect::<Vec<_>>()
    };
    let (april, may) = (last(&plan), last(&short("2021-05")));
    assert!(april.iter().all(|one| !may.contains(one)), "{april:?} and {may:?}");
}

#[test]
fn a_packing_list_says_what_is_in_each_box_and_what_to_know_of_it() {
    let trial = Trial::with_surveyed_patches();
    let words = "--count 10 --each nettle-tops=100g --packing";
    let text = trial.run(&format!("{BOXES} {words}")).done();
    has(
        &text,
        &[
            "PACKING",
            "100 g of Common nettle, tops",
            "TO GO WITH EACH BOX",
            "Common nettle, tops: for green leaf. Keeping: cool, in a damp cloth",
            "Look-alikes: fatal: deadly nightshade",
            "common practice, without a source",
        ],
    );
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}
