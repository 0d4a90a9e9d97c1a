//! The answers that come as pages and for machines too: each says in every format what it says on
//! a terminal.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

fn json(trial: &Trial, words: &str) -> Value {
    serde_json::from_str(&trial.run(&format!("{words} --format json")).done()).unwrap()
}

#[test]
fn a_history_counts_each_fact_and_names_what_took_its_place() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 5kg --part --by Ida --on 2021-03-10 --recorded-on 2021-03-10").done();
    let id = trial.id_of("cut by Ida");
    let right = format!("correct {id} mass_g=500 --why slip --by Tomas --recorded-on 2021-03-12");
    trial.run(&right).done();
    let facts = json(&trial, "history bank");
    let facts = facts["facts"].as_array().unwrap();
    let cuts: Vec<&Value> = facts.iter().filter(|fact| fact["kind"] == "cut").collect();
    let [wrong, right] = cuts[..] else { panic!("not two cuts: {cuts:?}") };
    assert_eq!((&wrong["counts"], &right["counts"]), (&false.into(), &true.into()));
    assert_eq!(wrong["counts_instead"], right["id"]);
    assert_eq!((&wrong["put_right_by"], &wrong["why"]), (&"Tomas".into(), &"slip".into()));
    assert_eq!(
        (&right["day"], &right["recorded_on"]),
        (&"2021-03-10".into(), &"2021-03-12".into())
    );
    trial
        .run(&format!("withdraw {} --why no --by Ida", right["short_id"].as_str().unwrap()))
        .done();
    let csv = trial.run("history bank --format csv").done();
    assert_eq!(csv.lines().count(), facts.len() + 1, "{csv}");
    let ids = csv.lines().skip(1).map(|line| line.split(',').next().unwrap());
    assert!(ids.clone().count() > 3 && ids.clone().all(|id| id.parse::<f64>().is_err()));
    assert!(!csv.contains("short_id"), "a spreadsheet would make numbers of some");
    let last = csv.lines().last().unwrap();
    assert!(last.contains(",false,,true,"), "withdrawn, and nothing counts instead: {last}");
    has(&trial.run("history bank --format html").done(), &["<h1>Hill/Bank from the beginning:"]);
    has(&trial.run("history bank --format md").done(), &["2021-03-10", "NO LONGER COUNTS"]);
}

#[test]
fn the_list_of_walks_has_people_wants_and_what_is_set_aside() {
    let trial = Trial::with_a_walk();
    assert_eq!(json(&trial, "walk list --on 2021-03-10")["walks"][0]["patches_set_aside"], 0);
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    let walks = json(&trial, "walk list --on 2021-03-10");
    let walk = &walks["walks"][0];
    assert_eq!((&walk["people"], &walk["parties"]), (&6.into(), &3.into()));
    assert_eq!((&walk["day"], &walk["led_by"]), (&"2021-03-20".into(), &"Ida".into()));
    let patches = walk["patches_set_aside"].as_u64().unwrap();
    assert!(patches > 0, "{walk}");
    let told = format!("set aside on {patches} patch");
    has(&trial.run("walk list --on 2021-03-10 --format html").done(), &["6 in 3 parties", &told]);
    let csv = trial.run("walk list --on 2021-03-10 --format csv").done();
    has(&csv, &["walk,day,sites,for,", "spring walk,2021-03-20,Hill,"]);
}

#[test]
fn a_book_that_is_looked_through_tells_machines_whether_it_is_in_order() {
    let trial = Trial::with_a_surveyed_bank();
    let whole = json(&trial, "verify");
    assert_eq!((&whole["in_order"], &whole["facts"]), (&true.into(), &8.into()));
    assert_eq!(whole["found"].as_array().map(Vec::len), Some(0));
    trial.run("cut bank 9kg --by Ida --on 2021-03-15").done();
    let amiss: Value = serde_json::from_str(&trial.run("verify --format json").no()).unwrap();
    assert_eq!(amiss["in_order"], false);
    assert_eq!(amiss["found"][0]["sort"], "contradictions");
    let said = amiss["found"][0]["said"][0].as_str().unwrap();
    assert!(said.contains("of 9 kg on 15 Mar 2021, but 5.67 kg was the most allowed"), "{said}");
    has(
        &trial.run("verify --format html").no().replace('\u{a0}', " "),
        &["<h2", "Facts that do not agree", "of 9 kg on 15 Mar 2021"],
    );
}

#[test]
fn a_rehearsal_is_a_page_with_its_drawing() {
    let trial = Trial::with_a_surveyed_bank();
    let asked = "rehearse --on 2021-03-02 --runs 20 --weekly 300g --format html";
    let page = trial.run(asked).done();
    has(&page, &["<h1>Rehearsal of the season 2020/21, played 20 times", "March 2021", "<svg"]);
    assert!(!trial.path("reports/2020-21-rehearsal.svg").exists(), "a page holds its drawing");
}
