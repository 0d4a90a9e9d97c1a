//! `walk join`, `leave` and `name`: who comes along may change until the walk is settled.

use std::fs;

use serde_json::Value;

use crate::hill::NEW_WALK;
use crate::said::has;
use crate::trial::{Trial, in_a_file};

const HOLD: &str = "walk hold \"spring walk\" --recorded-on 2021-03-10";

/// Each party's people and what it may cut in all, in grams, by number.
fn shares(trial: &Trial) -> Vec<(u64, f64)> {
    let said = trial.run("walk split \"spring walk\" --format json").done();
    let split: Value = serde_json::from_str(&said).unwrap();
    let share = |party: &Value| {
        let people = party["adults"].as_u64().unwrap() + party["children"].as_u64().unwrap();
        let shares = party["shares"].as_array().unwrap().iter();
        (people, shares.map(|share| share["share_g"].as_f64().unwrap()).sum())
    };
    split["parties"].as_array().unwrap().iter().map(share).collect()
}

fn split(trial: &Trial) -> String {
    trial.run("walk split \"spring walk\"").done()
}

fn is_in_the_file(trial: &Trial, name: &str) -> bool {
    ["", "-wal"].iter().any(|end| {
        let bytes = fs::read(trial.path(&format!("stintbook.sqlite{end}"))).unwrap_or_default();
        bytes.windows(name.len()).any(|at| at == name.as_bytes())
    })
}

#[test]
fn a_party_that_joins_gets_the_next_number_and_its_share_of_what_is_set_aside() {
    let trial = Trial::with_a_walk();
    trial.run(HOLD).done();
    let before = shares(&trial);
    assert_eq!(before.iter().map(|(people, _)| *people).collect::<Vec<_>>(), [3, 1, 2]);
    let joined = "walk join \"spring walk\" 2+1 --called Zebedee --recorded-on 2021-03-11";
    let said = trial.run(joined).done();
    has(
        &said,
        &[
            "party 4, 2 adults and 1 child, called Zebedee, joins spring walk",
            "Now 9 people in 4 parties come to spring walk",
            "What is set aside on 3 patches stays",
            "splits it among 4 parties",
        ],
    );
    let after = shares(&trial);
    assert_eq!(after.iter().map(|(people, _)| *people).collect::<Vec<_>>(), [3, 1, 2, 3]);
    let in_all = |shares: &[(u64, f64)]| shares.iter().map(|(_, grams)| grams).sum::<f64>();
    // 6 kg of nettles and 300 g of ramsons, shared out whole before and after.
    assert_eq!((in_all(&before), in_all(&after)), (6300.0, 6300.0));
    // Weights are 2.5, 1, 2 and 2.5: a new party of 2.5 of 8, to 5 g of each of two crops.
    assert!((after[3].1 - 6300.0 * 2.5 / 8.0).abs() <= 10.0, "{after:?}");
    has(&split(&trial), &["1 Ann (2 adults, 1 child)", "4 Zebedee (2 adults, 1 child)"]);
    has(&trial.history(), &["replaced by", "on 2021-03-11 by", "a party joined"]);
    assert_eq!(trial.history().matches("hold by Ida").count(), 3, "what is set aside moved");
    let said = trial.run("walk join \"spring walk\" 1 --by Bea --recorded-on 2021-03-12").done();
    has(&said, &["party 5, 1 adult, joins spring walk", "Now 10 people in 5 parties"]);
    has(&trial.history(), &["on 2021-03-12 by", "Bea: a party joined"]);
}

#[test]
fn the_parties_behind_one_that_leaves_move_up_with_their_names() {
    in_a_file();
    let trial = Trial::with_a_walk();
    trial.run("walk join \"spring walk\" 0+2 --called Zebedee --recorded-on 2021-03-11").done();
    trial.run("walk name \"spring walk\" bo Quillon").done();
    assert!(is_in_the_file(&trial, "Quillon"));
    let said = trial.run("walk leave \"spring walk\" quillon --recorded-on 2021-03-12").done();
    has(
        &said,
        &[
            "party 2, 1 adult, leaves spring walk. Its name is deleted",
            "Parties 3 and 4 are parties 2 and 3 now",
            "Now 7 people in 3 parties come to spring walk",
        ],
    );
    assert!(!is_in_the_file(&trial, "Quillon"));
    let parties = ["1 Ann (2 adults, 1 child)", "2 Cy (2 adults)", "3 Zebedee (2 children)"];
    has(&split(&trial), &parties);
    let said = trial.run("walk leave \"spring walk\" 3 --recorded-on 2021-03-13").done();
    assert!(!said.contains(" now."), "nobody was behind it: {said}");
    let said = trial.run("walk leave \"spring walk\" 3").wrong();
    has(&said, &["no party of `spring walk` is called `3`; it has the parties 1 to 2"]);
    let said = trial.run("walk leave \"spring walk\" 1 --recorded-on 2021-03-13").done();
    has(&said, &["Party 2 is party 1 now", "Now 2 people in 1 party"]);
    let said = trial.run("walk leave \"spring walk\" Cy --recorded-on 2021-03-13").wrong();
    has(&said, &["nobody else comes along", "walk cancel \"spring walk\"", "nothing was recorded"]);
    assert_eq!(shares(&trial).iter().map(|(people, _)| *people).collect::<Vec<_>>(), [2]);
    // What a file of returns calls a party is what it is called now.
    trial.write("taken.csv", "party,crop,mass_g\nCy,nettle-tops,500\n");
    let settle = "walk settle \"spring walk\" taken.csv --assume-taken --recorded-on 2021-03-21";
    let said = trial.run(settle).done();
    assert!(!said.contains("unforeseen"), "{said}");
    has(&trial.run("verify").done(), &["whole"]);
}

#[test]
fn a_party_is_named_later_or_called_otherwise() {
    let trial = Trial::with_surveyed_patches();
    trial.run(&NEW_WALK.replace("new", "new --adults 3")).done();
    let history = trial.history();
    let said = trial.run("walk name \"Spring Walk\" 2 Zebedee").done();
    has(&said, &["Party 2 of spring walk is called Zebedee.", "not exported"]);
    has(&split(&trial), &["1 (1 adult)", "2 Zebedee (1 adult)", "3 (1 adult)"]);
    let said = trial.run("walk name \"spring walk\" zebedee Quillon").done();
    has(&said, &["Party 2 of spring walk is called Quillon. The name that it had is deleted"]);
    assert!(!is_in_the_file(&trial, "Zebedee"));
    let said = trial.run("walk name \"spring walk\" 2 Quillon").wrong();
    has(&said, &["party 2 of `spring walk` is called `Quillon` already"]);
    let said = trial.run("walk name \"spring walk\" 4 Bo").wrong();
    has(&said, &["no party of `spring walk` is called `4`", "the parties 1 to 3"]);
    assert_eq!(trial.history(), history, "a name is no fact");
}

#[test]
fn two_parties_of_one_name_are_told_apart_by_number() {
    let trial = Trial::with_a_walk();
    trial.run("walk name \"spring walk\" 3 Ann").done();
    let said = trial.run("walk leave \"spring walk\" ann").wrong();
    has(&said, &["parties 1 and 3 are all called `ann`"]);
    trial.run("walk leave \"spring walk\" 1 --recorded-on 2021-03-11").done();
    has(&split(&trial), &["1 Bo (1 adult)", "2 Ann (2 adults)"]);
}

#[test]
fn who_came_to_a_settled_walk_stays() {
    let trial = Trial::with_a_walk();
    trial.run("walk settle \"spring walk\" --all --recorded-on 2021-03-21").done();
    let history = trial.history();
    for asked in ["walk join \"spring walk\" 2", "walk leave \"spring walk\" Bo"] {
        let said = trial.run(asked).wrong();
        has(&said, &["`spring walk` is settled among those who came", "nothing was recorded"]);
    }
    assert_eq!(trial.history(), history);
    has(&split(&trial), &["2 Bo (1 adult)"]);
}

#[test]
fn a_new_walk_inherits_no_names_of_a_withdrawn_one() {
    let trial = Trial::with_a_walk();
    trial.run("walk name \"spring walk\" 2 Zebedee").done();
    let id = trial.id_of("walk by Ida");
    trial.run(&format!("withdraw {id} --why postponed --by Ida --recorded-on 2021-03-11")).done();
    let anew = NEW_WALK.replace("new", "new --adults 3").replace("03-10", "03-12");
    let said = trial.run(&anew).done();
    has(&said, &["An earlier walk was called like it. The names of 3 parties are deleted"]);
    has(&split(&trial), &["1 (1 adult)", "2 (1 adult)", "3 (1 adult)"]);
    assert!(!is_in_the_file(&trial, "Zebedee"));
}

#[test]
fn more_children_than_adults_can_mind_are_asked_about() {
    let trial = Trial::with_a_walk();
    let said = trial.run("walk join \"spring walk\" 1+90 --recorded-on 2021-03-11").wrong();
    has(&said, &["91 children with 6 adults", "--sure"]);
    let sure = "walk join \"spring walk\" 1+90 --sure --recorded-on 2021-03-11";
    has(&trial.run(sure).done(), &["party 4, 1 adult and 90 children, joins", "97 people"]);
}

#[test]
fn a_walk_put_right_keeps_no_name_of_a_party_that_it_has_no_longer() {
    in_a_file();
    let trial = Trial::with_a_walk();
    trial.run("walk name \"spring walk\" 2 Zebedee").done();
    trial.run("walk name \"spring walk\" 3 Quillon").done();
    let because = "--why \"fewer come\" --by Ida --recorded-on 2021-03-11";
    let id = trial.id_of("walk by Ida");
    let said = trial.run(&format!("correct {id} \"parties=2+1; 1\" {because}")).done();
    has(&said, &["`parties`", "The name of 1 party is deleted"]);
    assert!(!is_in_the_file(&trial, "Quillon") && is_in_the_file(&trial, "Zebedee"));
    // A third party that comes later bears no name that another had.
    let id = trial.id_of("walk by Ida");
    trial.run(&format!("correct {id} \"parties=2+1; 1; 4\" {because}")).done();
    has(&split(&trial), &["1 Ann (2 adults, 1 child)", "2 Zebedee (1 adult)", "3 (4 adults)"]);
    // The same by way of a file that was changed.
    trial.run("export copy --whole").done();
    let rows = trial.read("copy/walks.csv");
    assert!(rows.contains("2+1; 1; 4"), "{rows}");
    trial.write("copy/walks.csv", rows.replace("2+1; 1; 4", "2+1"));
    let said = trial.run("load copy/walks.csv --replace").done();
    has(&said, &["copy/walks.csv: 1 changed", "The name of 1 party is deleted"]);
    assert!(!is_in_the_file(&trial, "Zebedee") && is_in_the_file(&trial, "Ann"));
    has(&split(&trial), &["1 Ann (2 adults, 1 child)"]);
}

#[test]
fn a_walk_put_right_by_another_book_keeps_the_names_of_those_who_still_come() {
    let trial = Trial::with_a_walk();
    trial.copy_book("una.sqlite");
    let id = trial.id_of("walk by Ida");
    let because = "--why \"fewer come\" --by Una --recorded-on 2021-03-11";
    trial.run(&format!("correct {id} \"parties=2+1; 1\" {because} --book una.sqlite")).done();
    trial.run("export una --whole --book una.sqlite").done();
    trial.run("load una/walks.csv una/corrections.csv --replace").done();
    has(&split(&trial), &["1 Ann (2 adults, 1 child)", "2 Bo (1 adult)"]);
    assert!(!split(&trial).contains("Cy"));
}
