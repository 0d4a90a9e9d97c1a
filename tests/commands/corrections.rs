//! `correct` and `withdraw`: facts put right by new facts, in plain sight.

use crate::said::{has, without_ids};
use crate::trial::Trial;

const CUTS: &str = "\
patch,date,by,mass_g,taken,recorded_on
Hill/Bank,2021-03-10,Ida,5000,part,2021-03-10
";

const BECAUSE: &str = "--why \"misread the scale\" --by Tomas --recorded-on 2021-03-20";

fn with_a_cut() -> (Trial, String) {
    let trial = Trial::with_a_surveyed_bank();
    trial.load("cuts.csv", CUTS).done();
    let id = trial.id_of("cut by Ida");
    (trial, id)
}

#[test]
fn a_correction_stands_beside_what_it_corrects_and_changes_the_answer() {
    let (trial, id) = with_a_cut();
    let before = trial.run("week --on 2021-03-20").done();
    let said = trial.run(&format!("correct {id} mass_g=500 people=4 {BECAUSE}")).done();
    assert_eq!(
        without_ids(&said),
        "Recorded as ########, which takes the place of ########:\n  \
         - `mass_g`: `5000` is now `500`\n  - `people`: nothing is now `4`\n"
    );
    has(
        &without_ids(&trial.run("history bank").done()),
        &[
            "######## 2021-03-10 cut by Ida: 5 kg from Hill/Bank, taken part; NO LONGER COUNTS: \
             replaced by ######## on 2021-03-20 by Tomas: misread the scale",
            "######## 2021-03-10 cut by Ida: 500 g from Hill/Bank, taken part, 4 people (written \
             down 2021-03-20)",
        ],
    );
    assert_ne!(trial.run("week --on 2021-03-20").done(), before);
}

#[test]
fn what_is_withdrawn_stays_in_the_history_and_counts_no_longer() {
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.run("week --on 2021-03-20").done();
    trial.load("cuts.csv", CUTS).done();
    assert_ne!(trial.run("week --on 2021-03-20").done(), before);
    let id = trial.id_of("cut by Ida");
    let said = trial.run(&format!("withdraw {id} {BECAUSE}")).done();
    has(&said, &["Withdrawn: the cut", "(Hill/Bank 2021-03-10 Ida). It stays in the history."]);
    has(&trial.history(), &["5 kg", "NO LONGER COUNTS: withdrawn on 2021-03-20 by Tomas: misread"]);
    assert_eq!(trial.run("week --on 2021-03-20").done(), before);
}

#[test]
fn the_file_that_a_corrected_fact_came_from_adds_nothing_when_loaded_again() {
    let (trial, id) = with_a_cut();
    trial.run(&format!("correct {id} mass_g=500 {BECAUSE}")).done();
    let history = trial.history();
    let again = "cuts.csv: nothing new; 1 corrected or withdrawn since, left as they are\n";
    assert_eq!(trial.run("load cuts.csv").done(), again);
    assert_eq!(trial.run("load cuts.csv --replace").done(), again);
    let newest = trial.id_of("cut by Ida: 500 g");
    trial.run(&format!("withdraw {newest} {BECAUSE}")).done();
    assert_eq!(trial.run("load cuts.csv").done(), again);
    assert_eq!(
        trial.history().matches("cut by Ida").count(),
        history.matches("cut by Ida").count()
    );
}

#[test]
fn one_quadrat_of_a_survey_is_put_right() {
    let trial = Trial::with_a_surveyed_bank();
    let id = trial.id_of("survey by Ida");
    let said = trial.run(&format!("correct {id} 3.mass_g=14 {BECAUSE}")).done();
    has(&said, &["`3.mass_g`: `40` is now `14`"]);
    has(&trial.run("check bank --on 2021-03-20").done(), &["standing crop 36.4 kg"]);
}

#[test]
fn a_patch_that_is_renamed_keeps_its_history_and_its_old_answers() {
    let (trial, _) = with_a_cut();
    let then = "--on 2021-03-15 --as-known-on 2021-03-15";
    let answer = trial.run(&format!("check bank {then}")).done();
    let id = trial.id_of("patch by Ida: Hill/Bank");
    trial.run(&format!("correct {id} name=\"Low bank\" {BECAUSE}")).done();
    has(&trial.run("history \"low bank\"").done(), &["survey by Ida", "cut by Ida"]);
    let now = trial.run("check \"low bank\" --on 2021-03-25").done();
    assert!(now.starts_with("Hill/Low bank"), "{now}");
    assert_eq!(trial.run("check bank --on 2021-03-25").done(), now, "nobody else is called so");
    let again = trial.run(&format!("check bank {then}")).done();
    let outset = |said: &str| said.split("LATEST RECORDS").next().unwrap().to_owned();
    assert_eq!(outset(&again), outset(&answer));
}

#[test]
fn corrections_that_cannot_be_are_refused_and_nothing_is_recorded() {
    let (trial, id) = with_a_cut();
    let survey = trial.id_of("survey by Ida");
    let site = trial.id_of("site by Ida");
    let history = trial.history();
    for (words, said) in [
        (format!("correct {id} mass_g=5000 {BECAUSE}"), "that is what the fact says already"),
        (format!("correct {id} mass=5 {BECAUSE}"), "did you mean `mass_g`?"),
        (format!("correct {id} mass_g=-5 {BECAUSE}"), "`-5` is not a mass"),
        (format!("correct {id} mass_g {BECAUSE}"), "`mass_g` is not a change; write FIELD=VALUE"),
        (format!("correct {id} date=2021-04-31 {BECAUSE}"), "April 2021 has 30 days"),
        (format!("correct {id} recorded_on=2021-03-11 {BECAUSE}"), "`recorded_on` stays as it is"),
        (format!("correct {id} patch=Hill/Bnak {BECAUSE}"), "did you mean `Hill/Bank`?"),
        (format!("correct {survey} mass_g=5 {BECAUSE}"), "the survey has 10 quadrats"),
        (format!("correct {survey} 11.mass_g=5 {BECAUSE}"), "there is no quadrat `11`"),
        (format!("withdraw {site} {BECAUSE}"), "site `Hill` still has 3 patches"),
        (format!("withdraw zzzz {BECAUSE}"), "`zzzz` is not the name of a fact"),
        (format!("withdraw 00000000 {BECAUSE}"), "no fact is called `00000000`"),
        (format!("withdraw {id} --why \"\" --by Ida"), "nothing is there; write it in words"),
        (
            format!("withdraw {id} --why \"\u{1b}[2J\" --by Ida"),
            "has the control character U+001B in it",
        ),
        (format!("withdraw {id} --why x --by \"\""), "nothing is there"),
        (format!("withdraw {id} --why x --by Ida --recorded-on 2021-03-09"), "after the day of"),
    ] {
        has(&trial.run(&words).wrong(), &[said]);
    }
    assert_eq!(trial.history(), history);
}

#[test]
fn a_fact_is_corrected_at_its_newest_and_not_once_it_is_withdrawn() {
    let (trial, id) = with_a_cut();
    trial.run(&format!("correct {id} mass_g=500 {BECAUSE}")).done();
    let newest = trial.id_of("cut by Ida: 500 g");
    let said = trial.run(&format!("correct {id} mass_g=600 {BECAUSE}")).wrong();
    has(&said, &[&format!("fact `{id}` was corrected already; correct the newest, `{newest}`")]);
    trial.run(&format!("withdraw {newest} {BECAUSE}")).done();
    let said = trial.run(&format!("withdraw {newest} {BECAUSE}")).wrong();
    has(&said, &["was withdrawn on 2021-03-20; record it anew instead"]);
}
