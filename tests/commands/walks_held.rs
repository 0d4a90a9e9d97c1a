//! `walk hold`: what is set aside for one walk is promised to nobody else.

use std::collections::BTreeMap;
use std::process::Stdio;

use serde_json::Value;

use crate::hill::NEW_WALK;
use crate::said::has;
use crate::trial::Trial;

const HOLD: &str = "walk hold \"spring walk\" --recorded-on 2021-03-10";

/// What a patch allows on a day.
fn most(trial: &Trial, patch: &str, day: &str) -> f64 {
    let said = trial.run(&format!("week --on {day} --format json")).done();
    let week: Value = serde_json::from_str(&said).unwrap();
    let patches = week["patches"].as_array().unwrap();
    let found = patches.iter().find(|found| found["patch"] == patch).unwrap();
    found["most_g"].as_f64().unwrap()
}

/// What is set aside for a walk on each patch, in grams; nothing for a walk without a hold.
fn promised(trial: &Trial, book: &str, walk: &str) -> BTreeMap<String, f64> {
    let said = trial.run(&format!("--book {book} walk split \"{walk}\" --format json")).done();
    let split: Value = serde_json::from_str(&said).unwrap();
    let stops = split["stops"].as_array().unwrap().iter();
    let stops = stops.filter(|_| split["held"] == true);
    let one = |stop: &Value| {
        (stop["patch"].as_str().unwrap().to_owned(), stop["quota_g"].as_f64().unwrap())
    };
    stops.map(one).collect()
}

#[test]
fn a_second_leader_sees_only_what_is_left() {
    let trial = Trial::with_a_walk();
    let before = most(&trial, "Bank", "2021-03-20");
    let said = trial.run(HOLD).done();
    has(&said, &["Set aside for spring walk on 20 Mar 2021", "Hill/Wood: 300 g of ramsons-leaf"]);
    let held = promised(&trial, "stintbook.sqlite", "spring walk")["Bank"];
    let left = most(&trial, "Bank", "2021-03-20");
    assert!(left > 0.0 && left + held <= before + 1.0, "{left} and {held} of {before}");
    let said = trial.run("check bank --on 2021-03-20").done();
    has(&said, &["Holds decides: set aside:", "for spring walk on 20 Mar 2021"]);
}

#[test]
fn where_all_is_set_aside_the_patch_is_held() {
    let trial = Trial::with_surveyed_patches();
    trial.run(&NEW_WALK.replace("=6kg", "=90kg").replace("new", "new --adults 4")).done();
    trial.run(HOLD).done();
    let said = trial.run("week --all --on 2021-03-20").done();
    has(&said, &["HELD: 2 patches", "set aside:", "for spring walk on 20 Mar 2021"]);
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    assert_eq!(most(&trial, "Bank", "2021-03-20"), 0.0);
    has(&trial.run("check bank --on 2021-03-20").no(), &["HELD: nothing may be cut"]);
    // The day after, it has lapsed.
    assert!(most(&trial, "Bank", "2021-03-21") > 0.0);
}

#[test]
fn what_is_set_aside_is_split_and_held_again_only_if_asked() {
    let trial = Trial::with_a_walk();
    let planned = trial.run("walk split \"spring walk\" --format json").done();
    trial.run(HOLD).done();
    let held = trial.run("walk split \"spring walk\" --format json").done();
    assert_eq!(held.replace("\"held\": true", "\"held\": false"), planned);
    has(&trial.run(HOLD).wrong(), &["is set aside already", "--again"]);
    let said = trial.run(&format!("{HOLD} --again")).done();
    has(&said, &["in the place of what was set aside on 3 patches"]);
    let again = trial.run("walk split \"spring walk\" --format json").done();
    assert_eq!(again, held);
    has(&trial.run("walk list").done(), &["spring walk 6 in 3 parties Hill, led by Ida"]);
    assert_eq!(trial.history().matches("hold by").count(), 6);
}

#[test]
fn what_has_lapsed_cannot_be_set_aside() {
    let trial = Trial::with_a_walk();
    let said = trial.run("walk hold \"spring walk\" --recorded-on 2021-03-21").wrong();
    has(&said, &["was on 20 Mar 2021, and what is set aside lapses the day after"]);
}

#[test]
fn a_cancelled_walk_sets_everything_free() {
    let trial = Trial::with_a_walk();
    let before = most(&trial, "Wood", "2021-03-20");
    trial.run(HOLD).done();
    let said = trial.run("walk cancel \"spring walk\" --recorded-on 2021-03-11").done();
    has(&said, &["on 3 patches is free again", "The names of 3 parties are deleted"]);
    assert_eq!(most(&trial, "Wood", "2021-03-20"), before);
    trial.run(&NEW_WALK.replace("new", "new --adults 2").replace("03-10", "03-12")).done();
    let said = trial.run("walk split \"spring walk\"").done();
    assert!(!said.contains("Ann"), "{said}");
}

/// Where a hold binds, a cut beside it is counted, not charged as the whole share.
#[test]
fn a_cut_beside_a_hold_is_charged_by_its_count() {
    let trial = Trial::with_surveyed_patches();
    trial.run(&NEW_WALK.replace("new", "new --adults 4").replace("=6kg", "=8kg")).done();
    trial.run(HOLD).done();
    let left = most(&trial, "Bank", "2021-03-20");
    assert!(left > 60.0, "{left}");
    let amount = (left * 0.9).floor();
    let said = trial.run(&format!("cut bank {amount}g --by Tomas --on 2021-03-20")).done();
    has(&said, &["all that was allowed: 1 in"]);
}

/// Two walks that each want more than half of what there is, set aside at once by two
/// processes: they get what they would one after the other, whoever comes first.
fn race(times: u32) {
    const WALKS: [&str; 2] = ["hasty", "hurried"];
    let trial = Trial::with_surveyed_patches();
    for name in WALKS {
        let words = format!(
            "walk new {name} --on 2021-03-20 --leader Ida --site hill --adults 1 --seed 7 \
             --want nettle-tops=7kg --recorded-on 2021-03-10"
        );
        trial.run(&words).done();
    }
    let fresh = || trial.begin_anew("race.sqlite");
    let hold = |name: &str| {
        let words = format!("--book race.sqlite walk hold {name} --recorded-on 2021-03-10");
        let mut command = trial.command(&words);
        command.stdout(Stdio::null()).stderr(Stdio::piped());
        command
    };
    let got = || WALKS.map(|name| promised(&trial, "race.sqlite", name));
    let in_turn = [[0, 1], [1, 0]].map(|order| {
        fresh();
        order.iter().for_each(|n| assert!(hold(WALKS[*n]).status().unwrap().success()));
        got()
    });
    let [first, second] = in_turn[0].clone().map(|walk| walk.values().sum::<f64>());
    assert!(first == 7000.0 && second > 0.0 && second < first, "no race: {in_turn:?}");
    for n in 0..times {
        fresh();
        let running = WALKS.map(|name| hold(name).spawn().unwrap());
        for output in running.map(|process| process.wait_with_output().unwrap()) {
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        }
        let raced = got();
        assert!(in_turn.contains(&raced), "race {n}: {raced:?}, in turn {in_turn:?}");
    }
}

#[test]
fn two_leaders_at_once_are_never_promised_the_same() {
    race(30);
}

/// `cargo test --test commands -- --ignored a_thousand`.
#[test]
#[ignore = "takes minutes; run it after a change to how holds are recorded"]
fn a_thousand_races_promise_nothing_twice() {
    race(1000);
}

#[test]
fn a_fifth_walk_is_promised_the_whole_share_that_four_held_visits_lead_to() {
    let trial = Trial::with_surveyed_patches();
    // Nettles are cut three times a season, and a visit is a day that took half of what it might.
    trial.write(
        "overrides.csv",
        "site,crop,field,value,source,date,by,recorded_on\n\
         Hill,nettle-tops,cuts_per_season,20,the keeper,2020-01-01,Ida,2020-01-01\n",
    );
    trial.run("load overrides.csv").done();
    let days = ["03-16", "04-01", "04-17", "05-03", "05-19"];
    for (n, day) in days.into_iter().enumerate() {
        let words = format!("--on 2021-{day} --leader Ida --site hill --adults 2 --seed 1");
        let wants = "--want nettle-tops=30kg --recorded-on 2021-03-10";
        trial.run(&format!("walk new w{n} {words} {wants}")).done();
        trial.run(&format!("walk hold w{n} --recorded-on 2021-03-10")).done();
    }
    // Four visits on both patches, at half the share; from the fifth on the whole of it.
    let held = |n: usize| promised(&trial, "stintbook.sqlite", &format!("w{n}"));
    let sums: [f64; 5] = std::array::from_fn(|n| held(n).values().sum());
    assert!(sums.iter().all(|held| *held > 0.0) && sums[4] > 1.5 * sums[3], "{sums:?}");
    let said = trial.run("verify --on 2021-03-10").done();
    assert!(!said.contains("PROMISED MORE"), "{said}");
}
