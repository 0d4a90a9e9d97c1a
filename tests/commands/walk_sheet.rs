//! The page that a leader prints, or carries on a phone.

use crate::said::has;
use crate::trial::Trial;

const AS_OF: &str = "--book demo.sqlite --recorded-on 2027-03-15";

/// The demo, with a walk of two named parties on its wood.
fn demo_walk() -> Trial {
    let trial = Trial::new();
    trial.run("demo").done();
    trial.write("parties.csv", "party,adults,children\nWren,2,1\nMoss,1,0\n");
    let new = "walk new \"spring walk\" --on 2027-03-20 --leader Ida --site Wendlestow";
    let who = "--parties parties.csv --want ramsons-leaf=1kg --seed 7";
    trial.run(&format!("{new} {who} {AS_OF}")).done();
    trial
}

fn sheet(trial: &Trial, options: &str) -> String {
    trial.run(&format!("walk sheet \"spring walk\" {options} {AS_OF}")).done()
}

const USUAL: &str = "reports/spring-walk-2027-03-20.html";

#[test]
fn a_sheet_goes_where_it_is_wanted_and_comes_with_the_cautions() {
    let trial = demo_walk();
    let said = sheet(&trial, "");
    let cautions = ["lily of the valley", "This tool does not identify plants."];
    has(&said, &[&format!("Written: {USUAL}"), "Nothing is set aside for this walk"]);
    has(&said, &cautions);
    sheet(&trial, "--out here/to-print.html");
    assert_eq!(trial.read("here/to-print.html"), trial.read(USUAL));
}

#[test]
fn a_sheet_made_after_the_hold_says_that_it_is_held() {
    let trial = demo_walk();
    sheet(&trial, "");
    assert!(trial.read(USUAL).contains("Not held."));
    trial.run(&format!("walk hold \"spring walk\" {AS_OF}")).done();
    let said = sheet(&trial, "");
    assert!(!said.contains("Nothing is set aside"), "{said}");
    let page = trial.read(USUAL);
    assert!(page.contains("Held. ") && !page.contains("Not held."), "{page}");
}

#[test]
fn a_sheet_names_neither_who_leads_nor_who_comes() {
    let trial = demo_walk();
    sheet(&trial, "");
    let page = trial.read(USUAL);
    assert!(page.contains("Party 1: 2 adults and 1 child"));
    for name in ["Ida", "Wren", "Moss"] {
        assert!(!page.contains(name), "{name} is named");
    }
}

#[test]
fn a_sheet_begins_where_the_walk_does() {
    let trial = demo_walk();
    sheet(&trial, "--start -12.4001,53.1001");
    let page = trial.read(USUAL);
    assert!(page.contains("53.10010, -12.40010 (latitude, longitude)"));
    assert!(page.contains("class=\"map-start\""), "the start is not on the map");
}

#[test]
fn a_walk_that_nobody_planned_is_refused_with_the_nearest_name() {
    let trial = demo_walk();
    let said = trial.run(&format!("walk sheet \"sprig walk\" {AS_OF}")).wrong();
    assert!(said.contains("did you mean `spring walk`?"), "{said}");
}
