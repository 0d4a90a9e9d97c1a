//! `rehearse`: what a planned season may come to.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

const ASK: &str = "rehearse --on 2021-03-02 --runs 40";

fn walks(rows: &str) -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.write("walks.csv", format!("date,want,mass_g\n{rows}"));
    trial
}

#[test]
fn a_season_is_played_told_and_drawn() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run(&format!("{ASK} --weekly 300g")).done();
    has(
        &said,
        &[
            "Rehearsal of the season 2020/21, played 40 times from 2 Mar 2021 to 31 Aug 2021",
            "The weak one is Hill/Bank",
            "Of 100 walks,",
            "March 2021",
            "300 g a week",
            "dips in 100",
            "Hill/Bank",
            "nettle-tops",
            "What would change, by the first 40 of the same seasons",
            "as planned",
            "survey every 45 days",
            "ask for half",
            "2 groups a week",
            "shares a quarter smaller",
            "Never surveyed, so nobody can tell: Hill/Field, Hill/Wood.",
            "Taken for granted:",
            "One group comes each week and wants 300 g",
            "Chance was drawn from the seed 1.",
            "A rehearsal invites nobody to pick",
            "Drawn: reports/rehearsal-2020-21.svg",
        ],
    );
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let drawing = trial.read("reports/rehearsal-2020-21.svg");
    let svg = roxmltree::Document::parse(&drawing).unwrap();
    assert_eq!(svg.root_element().attribute("role"), Some("img"));
    assert!(drawing.contains("Bank, nettle-tops"), "{drawing}");
}

#[test]
fn the_same_seed_tells_the_same_and_another_another() {
    let trial = Trial::with_a_surveyed_bank();
    let json = |seed: u32| trial.run(&format!("{ASK} --seed {seed} --format json")).done();
    assert_eq!(json(7), json(7));
    assert_ne!(json(7), json(8));
}

#[test]
fn machines_get_the_odds_with_their_intervals_and_the_fan() {
    let trial = walks("2021-03-20,nettle-tops,200\n2021-04-20,Green leaf,100\n");
    let json = trial.run(&format!("{ASK} --walks walks.csv --format json")).done();
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["schema"], "stintbook.rehearsal/1");
    assert_eq!(json["runs"], 40);
    let walks = json["walks"].as_array().unwrap();
    assert_eq!(walks.len(), 2);
    assert_eq!(walks[1]["wants"], "100 g of green leaf");
    let odds = &walks[0]["finds_all"];
    let [low, part, high] = ["low", "part", "high"].map(|key| odds[key].as_f64().unwrap());
    assert!(low <= part && part <= high, "{odds}");
    let patches = json["patches"].as_array().unwrap();
    assert_eq!(patches.len(), 1);
    let weeks = json["weeks_ending"].as_array().unwrap().len();
    assert_eq!(patches[0]["part_of_twin"].as_array().unwrap().len(), weeks);
    assert!(json["changes"].as_array().unwrap().len() >= 4);
    let csv = trial.run(&format!("{ASK} --format csv")).done();
    has(&csv, &["site,patch,crop,dips,", "Hill,Bank,nettle-tops,"]);
    has(
        &trial.run(&format!("{ASK} --format geojson")).wrong(),
        &["`rehearse` writes `table`, `csv` or `json`"],
    );
}

#[test]
fn walks_that_lie_behind_are_left_out_and_said() {
    let trial = walks("2021-02-20,nettle-tops,200\n2021-03-20,nettle-tops,200\n");
    let said = trial.run(&format!("{ASK} --walks walks.csv")).done();
    has(&said, &["20 Mar 2021", "200 g of nettle-tops", "1 walk lies before 2 Mar 2021"]);
}

#[test]
fn every_problem_of_a_plan_names_its_line_and_field() {
    let trial = walks(
        "2021-02-30,nettle-tops,200\n2021-03-20,nettle-top,200\n2022-03-20,nettle-tops,200\n\
         2021-03-20,nettle-tops,\n2021-03-20,nettle-tops,-5\n2021-03-20,nettle-tops,0\n\
         2021-03-20,nettle-tops\n",
    );
    has(
        &trial.run(&format!("{ASK} --walks walks.csv")).wrong(),
        &[
            "walks.csv, line 2, `date`: `2021-02-30` is not a day",
            "line 3, `want`: no patch that is played has `nettle-top`; did you mean `nettle-tops`?",
            "line 4, `date`: `2022-03-20` lies outside the season 2020/21",
            "expected a day from 2020-09-01 to 2021-08-31",
            "line 5, `mass_g`: nothing is there",
            "line 6, `mass_g`: `-5` is not a mass",
            "line 7, `mass_g`: nothing is wanted",
            "line 8: there are 2 fields where the header has 3",
        ],
    );
    for (text, told) in [
        ("", "walks.csv: it is empty"),
        ("date,want,mass_g\n", "no walk is planned in it"),
        ("date,want,grams\n", "`grams` is no column of planned walks"),
        ("date,mass_g\n", "`want`: this column is missing"),
        ("date,want,count\n2021-03-20,nettle-tops,5\n", "`nettle-tops` is not reckoned so"),
    ] {
        trial.write("walks.csv", text);
        has(&trial.run(&format!("{ASK} --walks walks.csv")).wrong(), &[told]);
    }
    has(&trial.run(&format!("{ASK} --walks none.csv")).wrong(), &["could not read `none.csv`"]);
}

#[test]
fn questions_that_cannot_be_are_refused() {
    let trial = Trial::with_a_surveyed_bank();
    for (asked, told) in [
        ("--season 2019/20", "the season 2019/20 was over on 31 Aug 2020"),
        ("--rest bonk", "no patch"),
        ("--theta 1", "`1` is no part that is kept"),
        ("--theta NaN", "`NaN` is no part that is kept"),
        ("--survey-every 0d", "`0d` is no number of days"),
        ("--survey-every soon", "write `90d`, `never` or `lapsed`"),
        ("--weekly 0kg", "`--weekly` of nothing"),
        ("--weekly lots", "is not an amount"),
        ("--groups 0", "1..=7"),
        ("--runs 1", "2..=1000000"),
        ("--crop nettle", "no crop is called `nettle`"),
    ] {
        let said = trial.run(&format!("rehearse --on 2021-03-02 {asked}"));
        assert_eq!(said.status, 2, "{asked}: {said:?}");
        has(&said.err, &[told]);
    }
}

#[test]
fn a_book_with_nothing_to_play_says_so() {
    let said = Trial::with_book().run(ASK).done();
    has(&said, &["There is nothing to rehearse"]);
    let said = Trial::with_book().run(&format!("{ASK} --format json")).done();
    let json: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(json["patches"].as_array().unwrap().len(), 0);
}

#[test]
fn resting_the_only_patch_leaves_every_walk_empty() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run(&format!("{ASK} --weekly 300g --rest bank --survey-every never")).done();
    has(&said, &["Of 100 walks, 0 find all they want", "Never cut in it: Hill/Bank"]);
    has(&said, &["No patch is surveyed again.", "Nobody cuts Hill/Bank."]);
}
