//! Deeds that say what they change: closing and reopening, permits, a moved walk, undoing.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

/// What the bank allows on a day, in grams, and its verdict.
fn bank(trial: &Trial, day: &str) -> (f64, String) {
    let said = trial.run(&format!("check bank --on {day} --format json"));
    let answer: Value = serde_json::from_str(&said.out).unwrap();
    (answer["most_g"].as_f64().unwrap(), answer["verdict"].as_str().unwrap().to_owned())
}

fn shut(grams: f64, verdict: &str) -> (f64, String) {
    (grams, verdict.to_owned())
}

#[test]
fn a_closed_patch_is_shut_for_its_days_and_open_before_and_after() {
    let trial = Trial::with_a_surveyed_bank();
    let open = bank(&trial, "2021-03-10");
    assert!(open.0 > 1000.0 && open.1 == "open", "{open:?}");
    let close = "close bank --why nesting --from 2021-03-12 --to 2021-03-14 --by Ida \
                 --on 2021-03-10 --recorded-on 2021-03-10";
    let said = trial.run(close).done();
    has(
        &said,
        &[
            "Hill/Bank is closed from 12 Mar 2021 until 14 Mar 2021: nesting",
            "What it changes by 23 Mar 2021",
            "Hill/Bank: closed from 12 Mar 2021 to 14 Mar 2021",
            "might have gone on 12 Mar 2021",
        ],
    );
    for (day, is_shut) in
        [("2021-03-11", false), ("2021-03-12", true), ("2021-03-14", true), ("2021-03-15", false)]
    {
        let found = bank(&trial, day);
        assert_eq!(found.1 == "closed" && found.0 == 0.0, is_shut, "{day}: {found:?}");
        assert_eq!(found.1 == "open" && found.0 > 1000.0, !is_shut, "{day}: {found:?}");
    }
}

#[test]
fn a_deed_that_is_tried_out_says_what_it_would_change_and_records_nothing() {
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.history();
    let said = trial.run("close hill --why flood --by Ida --on 2021-03-10 --dry").done();
    has(
        &said,
        &["Hill would be closed from 10 Mar 2021 until further notice", "Hill/Bank: closed"],
    );
    has(&said, &["Nothing was recorded"]);
    assert_eq!(trial.history(), before);
    assert_eq!(bank(&trial, "2021-03-10").1, "open");
}

#[test]
fn reopening_ends_what_is_closed_the_day_before_and_keeps_the_days_gone_by() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("close bank --why nesting --by Ida --on 2021-03-05 --recorded-on 2021-03-05").done();
    let said = trial.run("reopen bank --by Ida --on 2021-03-12 --recorded-on 2021-03-12").done();
    has(&said, &["1 closure ended the day before", "may be cut from 12 Mar 2021 to 25 Mar 2021"]);
    has(&said, &["the patch was closed"]);
    assert_eq!(bank(&trial, "2021-03-11"), shut(0.0, "closed"));
    assert_eq!(bank(&trial, "2021-03-12").1, "open");
    let again = trial.run("reopen bank --by Ida --on 2021-03-12").wrong();
    has(&again, &["Hill/Bank has no closure that holds on 12 Mar 2021 or later", "check"]);
}

#[test]
fn a_patch_is_not_reopened_while_its_whole_site_is_shut() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("close hill --why flood --by Ida --on 2021-03-05").done();
    let said = trial.run("reopen bank --by Ida --on 2021-03-06").wrong();
    has(&said, &["the whole of Hill is closed", "stintbook reopen \"Hill/\""]);
    trial.run("reopen hill/ --by Ida --on 2021-03-06").done();
    assert_eq!(bank(&trial, "2021-03-06").1, "open");
}

#[test]
fn closing_over_recorded_cuts_or_twice_is_asked_about() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 500g --by Ida --on 2021-03-08 --recorded-on 2021-03-08").done();
    let asked = trial.run("close bank --why x --by Ida --on 2021-03-08").wrong();
    has(&asked, &["1 cut of Hill/Bank is recorded on days that this shuts", "--from", "--sure"]);
    trial.run("close bank --why x --by Ida --on 2021-03-09").done();
    let asked = trial.run("close bank --why y --by Ida --on 2021-03-10").wrong();
    has(&asked, &["closed on all those days already, since 9 Mar 2021: x", "--sure"]);
    trial.run("close bank --why y --by Ida --on 2021-03-10 --sure").done();
}

#[test]
fn a_permit_is_recorded_as_a_file_would_have_it_and_may_take_the_place_of_others() {
    let trial = Trial::with_a_surveyed_bank();
    let (eve, full) = (bank(&trial, "2021-03-09"), bank(&trial, "2021-03-10").0);
    let permit = "permit hill --basis spoken --cap-per-visit 300g --largest-party 4 --by Ida \
                  --on 2021-03-10 --recorded-on 2021-03-10";
    let beside = trial.run(permit).done();
    has(&beside, &["1 permission of the site holds beside it", "--instead"]);
    assert_eq!(bank(&trial, "2021-03-10").0, full);
    trial.run("undo --by Ida --sure").done();
    let instead = trial.run(&format!("{permit} --instead")).done();
    has(&instead, &["It takes the place of 1 permission", "300 g of nettle-tops instead of"]);
    assert_eq!(bank(&trial, "2021-03-10"), shut(300.0, "open"));
    assert_eq!(bank(&trial, "2021-03-09"), eve);
    let wrong = trial.run("permit hill --basis spoken --crops nettel-tops --by Ida").wrong();
    has(&wrong, &["nettel-tops", "nettle-tops", "nothing was recorded"]);
}

#[test]
fn a_moved_walk_takes_its_promises_along_and_says_what_that_changes() {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    let before = bank(&trial, "2021-03-15");
    let dry = "walk move spring 2021-03-25 --on 2021-03-12 --recorded-on 2021-03-12 --dry";
    has(&trial.run(dry).done(), &["spring walk would move from 20 Mar 2021 to 25 Mar 2021"]);
    assert_eq!(bank(&trial, "2021-03-15"), before);
    let said = trial.run(dry.trim_end_matches(" --dry")).done();
    has(&said, &["spring walk moves from 20 Mar 2021 to 25 Mar 2021", "went along"]);
    let split = trial.run("walk split \"spring walk\" --format json").done();
    let split: Value = serde_json::from_str(&split).unwrap();
    assert_eq!(split["held"], true);
    has(&trial.run("walk list --on 2021-03-12").done(), &["25 Mar 2021 spring walk"]);
    let past = "walk move \"spring walk\" 2021-03-01 --on 2021-03-12 --recorded-on 2021-03-12";
    has(&trial.run(past).wrong(), &["1 Mar 2021 has passed", "--sure"]);
}

#[test]
fn undoing_takes_back_all_that_the_last_command_recorded_and_only_this_hands() {
    let trial = Trial::with_a_walk();
    let free = bank(&trial, "2021-03-15");
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    let held = bank(&trial, "2021-03-15");
    assert!(held.0 < free.0, "{held:?} {free:?}");
    trial.run("glance bank 3kg --by Tomas --on 2021-03-11 --recorded-on 2021-03-11").done();
    let asked = trial.run("undo --by Ida").wrong();
    has(&asked, &["the last thing that Ida recorded is of 10 Mar 2021", "hold", "--sure"]);
    let said = trial.run("undo --by Ida --sure --on 2021-03-12").done();
    has(&said, &["Taken back", "hold", "spring walk", "hold"]);
    assert!(
        trial
            .history()
            .lines()
            .any(|line| line.ends_with("glance by Tomas: some 3 kg on Hill/Bank"))
    );
    let split = trial.run("walk split \"spring walk\" --on 2021-03-12 --format json").done();
    let split: Value = serde_json::from_str(&split).unwrap();
    assert_eq!(split["held"], false);
    // Once more: the walk itself, with the names of its parties.
    let said = trial.run("undo --by Ida --sure --on 2021-03-12").done();
    has(&said, &["Taken back", "walk", "spring walk on 2021-03-20", "names"]);
    has(&trial.run("undo --by Ida --sure").wrong(), &["nothing that `Ida` typed is left to undo"]);
    has(&trial.run("undo --by Tomas --sure --on 2021-03-12").done(), &["glance", "some 3 kg"]);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn undoing_a_correction_or_a_withdrawal_lets_the_fact_count_again_as_it_did() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 500g --by Ida --on 2021-03-08 --recorded-on 2021-03-08").done();
    let cut = bank(&trial, "2021-03-20");
    let id = trial.id_of("cut by Ida: 500 g");
    trial
        .run(&format!("correct {id} mass_g=900 --why misread --by Ida --recorded-on 2021-03-09"))
        .done();
    let said = trial.run("undo --by Ida --sure --on 2021-03-20").done();
    has(&said, &["Taken back", "900 g from Hill/Bank", "Counts again", "500 g from Hill/Bank"]);
    assert_eq!(bank(&trial, "2021-03-20"), cut);
    let id = trial.id_of("cut by Ida: 500 g");
    trial.run(&format!("withdraw {id} --why \"not mine\" --by Ida")).done();
    assert_ne!(bank(&trial, "2021-03-20"), cut);
    let said = trial.run("undo --by Ida --sure --on 2021-03-20").done();
    has(&said, &["Counts again", "500 g from Hill/Bank"]);
    assert!(!said.contains("Taken back"), "{said}");
    assert_eq!(bank(&trial, "2021-03-20"), cut);
    // The cut itself is next, though it stands under another id by now.
    has(&trial.run("undo --by Ida --sure --on 2021-03-20").done(), &["Taken back", "500 g"]);
    has(&trial.run("undo --by Ida --sure").wrong(), &["nothing that `Ida` typed is left"]);
    has(&trial.run("verify").done(), &["The book is whole"]);
    trial.run("export out --whole").done();
}

#[test]
fn what_another_hand_put_right_since_is_not_undone() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 500g --by Ida --on 2021-03-08 --recorded-on 2021-03-08").done();
    let id = trial.id_of("cut by Ida: 500 g");
    trial.run(&format!("correct {id} mass_g=900 --why misread --by Tomas")).done();
    let before = trial.history();
    let said = trial.run("undo --by Ida --sure").wrong();
    has(&said, &["put right since, by Tomas", "500 g from Hill/Bank", "nothing was recorded"]);
    assert_eq!(trial.history(), before);
}
