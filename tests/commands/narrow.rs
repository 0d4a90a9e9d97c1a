//! Tables at the narrowest and the widest terminal, with names that are long and end in a number.

use crate::hill::{LIFTED, SURVEY, patch, places, site};
use crate::said::Said;
use crate::trial::Trial;

const SITE: &str = "The Great Estate of Hollowdene and the Longer Marsh 31407";
const BANK: &str = "Green lane bank along the old mill stream 86411";

/// One surveyed bank whose name no column has room for, and a walk that asks for it.
fn estate() -> Trial {
    let trial = Trial::with_book();
    let named = |text: &str| text.replace("Hill", SITE).replace("/Bank", &format!("/{BANK}"));
    let features = [site(), patch(BANK, "nettle-tops", 1)].map(|text| named(&text));
    trial.load("places.geojson", places(&features)).done();
    trial.write("permissions.csv", named(LIFTED)).write("surveys.csv", named(SURVEY));
    trial.run("load permissions.csv surveys.csv").done();
    let header = "by,walk,day,site,parties,wants\n";
    trial.write("walks.csv", format!("{header}Ida,spring,2021-03-20,{SITE},2,nettle-tops=123g\n"));
    trial
}

fn at(trial: &Trial, words: &str, width: usize) -> String {
    let said = Said::by(trial.command(words).env("COLUMNS", width.to_string()));
    said.done()
}

#[test]
fn a_reason_reads_in_words_beside_a_name_that_is_wider_than_the_terminal() {
    let trial = estate();
    for words in ["week --on 2021-03-15", "week --on 2021-12-01", "survey advise --on 2021-05-15"] {
        for width in [60, 80, 120, 130, 140] {
            let said = at(&trial, words, width);
            let stubs = said.lines().filter(|line| line.trim().chars().count() == 1).count();
            assert_eq!(stubs, 0, "`{words}` at {width}:\n{said}");
            let words_of = said.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words_of.contains(BANK), "`{words}` at {width}:\n{said}");
        }
    }
}

#[test]
fn a_walk_is_rehearsed_on_the_narrowest_terminal() {
    let trial = estate();
    for width in 60..=80 {
        let said = at(&trial, "rehearse --on 2021-03-02 --runs 4 --walks walks.csv", width);
        assert!(said.contains("spring"), "at {width}:\n{said}");
    }
}
