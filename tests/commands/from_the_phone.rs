//! What was recorded on a phone comes home: each record once, however often the file comes, and
//! to the same book as if it had been typed.

use serde_json::{Value, json};

use crate::trial::Trial;

/// An id as a phone draws it: version 7.
fn id(number: u32) -> String {
    format!("01780000-0000-7000-8000-{number:012x}")
}

fn cut(number: u32, patch: &str, grams: &str, taken: &str) -> Value {
    json!({
        "kind": "cut", "fact": id(number), "patch": patch, "date": "2021-03-15", "by": "Ida",
        "mass_g": grams, "taken": taken, "people": "2", "recorded_on": "2021-03-15",
    })
}

fn file(records: &[Value]) -> String {
    json!({ "schema": "stintbook-field-records/1", "book": "x", "records": records }).to_string()
}

fn glance(number: u32) -> Value {
    json!({
        "kind": "glance", "fact": id(number), "patch": "Hill/Field", "date": "2021-03-15",
        "by": "Ida", "standing": "3000g", "recorded_on": "2021-03-15",
    })
}

fn visit(number: u32) -> Value {
    json!({
        "kind": "visit", "fact": id(number), "site": "Hill", "patch": "Wood", "date": "2021-03-15",
        "by": "Ida", "trouble": "sprayed", "note": "by the gate", "recorded_on": "2021-03-15",
    })
}

/// What the book answers for the coming weeks.
fn outlook(trial: &Trial) -> Vec<String> {
    let days = ["2021-03-15", "2021-03-16", "2021-04-01", "2021-05-01"];
    days.map(|on| trial.run(&format!("week --on {on} --format json")).done()).to_vec()
}

/// Everything but the ids, which no two hands draw alike.
fn said(answers: Vec<String>) -> Vec<Value> {
    let figures = |answer: &String| {
        let week: Value = serde_json::from_str(answer).unwrap();
        let patches = week["patches"].as_array().unwrap().iter();
        let kept = ["patch", "verdict", "most_g", "one_in", "ceilings"];
        patches.map(|patch| Value::Array(kept.map(|name| patch[name].clone()).to_vec())).collect()
    };
    answers.iter().map(figures).collect()
}

#[test]
fn brought_home_twice_it_adds_each_record_once_and_answers_as_if_it_were_typed() {
    let phone = Trial::with_surveyed_patches();
    let records =
        [cut(1, "Hill/Bank", "60", ""), cut(2, "Hill/Field", "40", "part"), glance(3), visit(4)];
    let first = phone.load("field.json", file(&records)).done();
    has(&first, "field.json: 1 glance, 2 cuts, 1 visit");
    let again = phone.run("load field.json").done();
    has(&again, "nothing new");
    // The same under another name, and beside one record more.
    let more = [&records[..], &[cut(5, "Hill/Bank", "10", "part")]].concat();
    has(&phone.load("field-2.txt", file(&more)).done(), "1 cut, 4 known already");

    let typed = Trial::with_surveyed_patches();
    let on = "--by Ida --on 2021-03-15 --recorded-on 2021-03-15";
    typed.run(&format!("cut bank 60g --people 2 {on}")).done();
    typed.run(&format!("cut field 40g --part --people 2 {on}")).done();
    typed.run(&format!("glance field 3kg {on}")).done();
    typed.run(&format!("visit wood --trouble sprayed --note \"by the gate\" {on}")).done();
    typed.run(&format!("cut bank 10g --part --people 2 {on}")).done();
    assert_eq!(said(outlook(&phone)), said(outlook(&typed)));
}

/// What a cut spends is ruled by the book that takes it in: all of a basket that another rule
/// limited is no whole share.
#[test]
fn a_cut_from_a_phone_spends_what_the_same_cut_would_if_it_were_typed() {
    let phone = Trial::with_surveyed_patches();
    phone.load("field.json", file(&[cut(1, "Hill/Bank", "500000", "all")])).wrong();
    let with_all = |taken: &str, words: &str| {
        let (phone, typed) = (Trial::with_surveyed_patches(), Trial::with_surveyed_patches());
        phone.load("field.json", file(&[cut(1, "Hill/Bank", "300", taken)])).done();
        typed
            .run(&format!(
                "cut bank 300g {words} --people 2 --by Ida --on 2021-03-15 --recorded-on 2021-03-15"
            ))
            .done();
        assert_eq!(said(outlook(&phone)), said(outlook(&typed)), "{taken}");
        phone.run("load field.json").done();
    };
    with_all("", "");
    with_all("part", "--part");
    with_all("1 in 30", "--one-in 30");
}

#[test]
fn two_hundred_records_come_home_twice() {
    let trial = Trial::with_surveyed_patches();
    let record = |n: u32| {
        let mut cut = cut(n, ["Hill/Bank", "Hill/Field", "Hill/Wood"][n as usize % 3], "1", "part");
        cut["mass_g"] = format!("{}", 1 + n / 3).into();
        cut
    };
    let records: Vec<Value> =
        (0..200).map(|n| if n % 5 == 0 { visit(n) } else { record(n) }).collect();
    trial.write("field.json", file(&records));
    has(&trial.run("load field.json --sure").done(), "160 cuts, 40 visits");
    let before = trial.history();
    has(&trial.load("again.json", file(&records)).done(), "nothing new; 200 known already");
    assert_eq!(trial.history(), before);
}

#[test]
fn what_no_longer_fits_is_named_and_nothing_is_dropped() {
    let trial = Trial::with_surveyed_patches();
    let records = [
        cut(1, "Hill/Bank", "60", ""),
        cut(2, "Hill/Gone", "40", ""),
        cut(3, "Hill/Wood", "x", ""),
    ];
    let why = trial.load("field.json", file(&records)).wrong();
    has(&why, "record 2 (`cut Hill/Gone 2021-03-15`), `patch`");
    has(&why, "Gone");
    has(&why, "record 3 (`cut Hill/Wood 2021-03-15`), `mass_g`: `x`");
    has(&why, "nothing was recorded");
    // A patch that bears another name by now is found.
    let id = trial.id_of("patch by Ida: Hill/Bank");
    trial.run(&format!("correct {id} \"name=Mill bank\" --why renamed --by Ida")).done();
    has(&trial.load("field.json", file(&records[..1])).done(), "1 cut");
}

/// A patch may be one no longer by the time the phone comes home.
#[test]
fn a_cut_from_a_patch_that_was_retired_before_is_named() {
    let trial = Trial::with_surveyed_patches();
    let retire =
        "retire field --why \"built over\" --by Ida --on 2021-03-14 --recorded-on 2021-03-14";
    trial.run(retire).done();
    let said = trial.load("field.json", file(&[cut(1, "Hill/Field", "60", "")]));
    // It happened, so it is recorded; and it is said that it should not have.
    has(&said.done(), "60 g of nettle-tops from Hill/Field on 15 Mar 2021, though the patch was");
}

#[test]
fn a_record_without_an_id_and_a_file_of_a_later_page_are_refused() {
    let trial = Trial::with_surveyed_patches();
    let mut bare = cut(1, "Hill/Bank", "60", "");
    bare["fact"] = "".into();
    has(&trial.load("field.json", file(&[bare])).wrong(), "the id that the phone gave");
    let later = file(&[]).replace("records/1", "records/9");
    has(&trial.load("later.json", later).wrong(), "its layout is `stintbook-field-records/9`");
    let kind = json!({ "kind": "site", "fact": id(1) });
    has(&trial.load("kind.json", file(&[kind])).wrong(), "no kind of record that a phone makes");
}

#[test]
fn a_clock_that_ran_ahead_is_named() {
    let trial = Trial::with_surveyed_patches();
    let mut ahead = cut(1, "Hill/Bank", "60", "");
    ahead["date"] = "2999-01-01".into();
    ahead["recorded_on"] = "2999-01-01".into();
    has(&trial.load("field.json", file(&[ahead])).wrong(), "2999-01-01");
}

#[test]
fn what_was_struck_out_after_it_had_left_is_named() {
    let trial = Trial::with_surveyed_patches();
    let records = [cut(1, "Hill/Bank", "60", "")];
    trial.load("field.json", file(&records)).done();
    let struck = json!({
        "schema": "stintbook-field-records/1", "records": [], "struck": [records[0]],
    });
    let said = trial.load("later.json", struck.to_string()).done();
    has(&said, "struck out on the phone");
    has(&said, "withdraw 00000001");
}

#[test]
fn what_came_back_from_a_walk_settles_it_and_no_other() {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    let split: Value =
        serde_json::from_str(&trial.run("walk split \"spring walk\" --format json").done())
            .unwrap();
    let mut rows = Vec::new();
    for party in split["parties"].as_array().unwrap() {
        for share in party["shares"].as_array().unwrap() {
            rows.push(json!({
                "party": party["party"].to_string(), "patch": share["patch"],
                "mass_g": share["share_g"].to_string(), "taken": "all",
            }));
        }
    }
    let file = |walk: &str| {
        json!({
            "schema": "stintbook-field-records/1", "records": [],
            "returns": { "walk": walk, "day": "2021-03-20", "rows": rows },
        })
        .to_string()
    };
    trial.write("other.json", file("autumn walk")).write("back.json", file("spring walk"));
    has(
        &trial.run("walk settle \"spring walk\" other.json --recorded-on 2021-03-21").wrong(),
        "autumn walk",
    );
    has(&trial.run("load back.json").done(), "`walk settle` takes this file");
    let said = trial.run("walk settle \"spring walk\" back.json --recorded-on 2021-03-21").done();
    has(&said, "Settled spring walk");

    let typed = Trial::with_a_walk();
    typed.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    typed.run("walk settle \"spring walk\" --all --recorded-on 2021-03-21").done();
    let later = |trial: &Trial| said_on(trial, "2021-03-25");
    assert_eq!(later(&trial), later(&typed));
}

fn said_on(trial: &Trial, on: &str) -> Vec<Value> {
    said(vec![trial.run(&format!("week --on {on} --format json")).done()])
}

fn has(text: &str, part: &str) {
    crate::said::has(text, &[part]);
}
