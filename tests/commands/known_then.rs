//! `--as-known-on`: an answer once given can be given again, whatever is recorded later.

use crate::hill::SURVEY;
use crate::said::has;
use crate::trial::Trial;

const THEN: &str = "--on 2021-04-01 --as-known-on 2021-04-01";

/// Whole answers of 1 April, in every way they are given.
fn answers(trial: &Trial) -> Vec<String> {
    ["week", "week --format json", "check bank", "check bank --format json"]
        .map(|words| trial.run(&format!("{words} {THEN}")).out)
        .to_vec()
}

/// Things that may be recorded after 1 April; each changes what is known now.
const LATER: [&str; 8] = [
    "survey bank 3 4 5 6 --frame 0.25 --by Ida --on 2021-04-05 --recorded-on 2021-04-05",
    "survey bank 9 8 7 6 --frame 0.25 --by Tomas --on 2021-03-20 --recorded-on 2021-04-02",
    "cut bank 2kg --by Ida --on 2021-03-25 --recorded-on 2021-04-03",
    "cut bank 1kg --part --by Tomas --on 2021-04-06 --recorded-on 2021-04-06",
    "glance bank 9kg --by Ida --on 2021-03-28 --recorded-on 2021-04-02",
    "correct CUT mass_g=100 --why misread --by Ida --recorded-on 2021-04-02",
    "withdraw SURVEY --why \"entered twice\" --by Ida --recorded-on 2021-04-07",
    "correct PATCH name=\"Low bank\" --why \"its new name\" --by Ida --recorded-on 2021-04-08",
];

fn known_on_the_first_of_april() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 3kg --part --by Ida --on 2021-03-10 --recorded-on 2021-03-10").done();
    trial
}

/// Records one of `LATER`, the facts it names looked up beforehand.
fn record(trial: &Trial, words: &str, [cut, survey, patch]: &[String; 3]) {
    let words = words.replace("CUT", cut).replace("SURVEY", survey).replace("PATCH", patch);
    let words = if trial.history().contains("Hill/Low bank") {
        words.replace(" bank ", " \"low bank\" ")
    } else {
        words
    };
    trial.run(&words).done();
}

fn named(trial: &Trial) -> [String; 3] {
    ["cut by Ida: 3 kg", "survey by Ida", "patch by Ida: Hill/Bank"].map(|words| trial.id_of(words))
}

/// Every order is one of many: the seeds are fixed, so that a failure can be seen again.
#[test]
fn whatever_is_recorded_later_in_whatever_order_an_earlier_answer_stays() {
    for seed in 0..6 {
        let trial = known_on_the_first_of_april();
        let (names, before) = (named(&trial), answers(&trial));
        has(&before[0], &["From what was known on 1 Apr 2021:", "OPEN: 1 patch"]);
        let now = trial.run("week --on 2021-04-01").done();
        let mut order = LATER;
        fastrand::Rng::with_seed(seed).shuffle(&mut order);
        for words in order {
            record(&trial, words, &names);
            let renamed = |said: &String| said.replace("Low bank", "Bank");
            let after: Vec<String> = answers(&trial).iter().map(renamed).collect();
            assert_eq!(after, before, "seed {seed}, after `{words}`");
        }
        assert_ne!(trial.run("week --on 2021-04-01").done(), now, "nothing changed");
    }
}

#[test]
fn each_of_them_alone_changes_what_is_known_now() {
    for words in LATER {
        let trial = known_on_the_first_of_april();
        let week = "week --on 2021-04-06";
        let before = trial.run(week).done();
        record(&trial, words, &named(&trial));
        assert_ne!(trial.run(week).done(), before, "`{words}`");
    }
}

#[test]
fn what_was_not_known_yet_is_not_asked_after() {
    let trial = Trial::on_hill();
    trial.load("surveys.csv", SURVEY).done();
    let said = trial.run("check bank --on 2021-03-15 --as-known-on 2019-01-01").wrong();
    has(&said, &["no patch is called `bank`"]);
    let said = trial.run("check bank --full --on 2021-03-15 --as-known-on 2021-02-28").no();
    has(&said, &["From what was known on 28 Feb 2021:", "never surveyed"]);
}
