//! `rehearse`: what a planned season may come to.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

const ASK: &str = "rehearse --on 2021-03-02 --runs 40";

const HEADER: &str = "by,walk,day,site,parties,wants\n";

fn walks(rows: &str) -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.write("walks.csv", format!("{HEADER}{rows}"));
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
            "Played is a walk each week for 300 g of whatever is open.",
            "Of 100 walks,",
            "The weak one is Hill/Bank",
            "March 2021",
            "300 g a week",
            "dips",
            "Hill/Bank",
            "nettle-tops",
            "WHAT WOULD CHANGE, by the first 40 of the same seasons",
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
            "Drawn: reports/2020-21-rehearsal.svg",
        ],
    );
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let drawing = trial.read("reports/2020-21-rehearsal.svg");
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
    let trial = walks(
        "Ida,first,2021-03-20,Hill,2+1; 3,nettle-tops=200g\n\
         Ida,second,2021-04-20,hill,4,Green leaf=100g; nettle-tops=50g\n",
    );
    let json = trial.run(&format!("{ASK} --walks walks.csv --format json")).done();
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["schema"], "stintbook.rehearsal/1");
    assert_eq!(json["runs"], 40);
    let walks = json["walks"].as_array().unwrap();
    assert_eq!(walks.len(), 2);
    assert_eq!((&walks[0]["walk"], &walks[0]["people"]), (&"first".into(), &6.into()));
    let wants = walks[1]["wants"].as_array().unwrap();
    assert_eq!(wants.len(), 2);
    assert_eq!(wants[0]["what"], "100 g of green leaf");
    assert_eq!(wants[0]["patches"], 1);
    assert!(wants[0]["finds_all"]["part"].as_f64().unwrap() > 0.0);
    let odds = &walks[0]["finds_all"];
    let [low, part, high] = ["low", "part", "high"].map(|key| odds[key].as_f64().unwrap());
    assert!(low <= part && part <= high, "{odds}");
    let patches = json["patches"].as_array().unwrap();
    assert_eq!(patches.len(), 1);
    let weeks = json["weeks_ending"].as_array().unwrap().len();
    assert_eq!(patches[0]["part_of_twin"].as_array().unwrap().len(), weeks);
    // All of it is wanted, and found each time.
    assert_eq!(json["outcome"]["taken_mean_g"], 350.0, "{json}");
    assert!(json["changes"].as_array().unwrap().len() >= 4);
    let csv = trial.run(&format!("{ASK} --format csv")).done();
    has(&csv, &["site,patch,crop,dips,", "Hill,Bank,nettle-tops,"]);
    has(
        &trial.run(&format!("{ASK} --format geojson")).wrong(),
        &["possible values: table, html, md, csv, json"],
    );
}

#[test]
fn walks_that_lie_behind_or_beyond_the_season_are_left_out_and_said() {
    let trial = walks(
        "Ida,early,2021-02-20,Hill,3,nettle-tops=200g\nIda,spring,2021-03-20,Hill,3,nettle-tops=200g\n\
         Ida,late,2021-09-20,Hill,3,nettle-tops=200g\n",
    );
    let said = trial.run(&format!("{ASK} --walks walks.csv")).done();
    has(
        &said,
        &[
            "Played is the one walk of `walks.csv`.",
            "Left out: 1 walk before 2 Mar 2021",
            "spring, 20 Mar 2021",
            "200 g of nettle-tops",
        ],
    );
    let said = trial.run(&format!("{ASK} --season 2021/22 --walks walks.csv")).done();
    has(&said, &["Left out: 2 walks before 1 Sep 2021.", "late, 20 Sep 2021"]);
    let said = trial.run(&format!("{ASK} --season 2022/23 --walks walks.csv")).wrong();
    has(&said, &["no walk of `walks.csv` is left to play from 1 Sep 2022 to 31 Aug 2023"]);
}

#[test]
fn a_file_of_walks_is_read_like_the_books_own() {
    let trial = walks(
        "Ida,one,2021-02-30,Hill,3,nettle-tops=200g\nIda,two,2021-03-20,Hil,3,nettle-tops=200g\n\
         Ida,three,2021-03-20,Hill,none,nettle-tops\n",
    );
    has(
        &trial.run(&format!("{ASK} --walks walks.csv")).wrong(),
        &[
            "walks.csv, line 2, `day`: `2021-02-30` is not a day",
            "line 3, `site`: no site",
            "did you mean `Hill`?",
            "line 4, `parties`: `none` is not a party",
            "`wants`: `nettle-tops` does not say what is wanted",
        ],
    );
    for (text, told) in [
        ("".to_owned(), "walks.csv: it is empty"),
        (HEADER.to_owned(), "no walk stands in `walks.csv`"),
        (
            format!("{HEADER}Ida,one,2021-03-20,Hill,3,nettle-top=2kg\n"),
            "`walks.csv`, `one`: `nettle-top` is neither a crop nor a kitchen role; did you mean \
             `nettle-tops`?",
        ),
        (format!("{HEADER}Ida,one,2021-03-20,Hill,3,nettle-tops=5\n"), "`nettle-tops` is weighed"),
        (crate::hill::PERMISSION.to_owned(), "`walks.csv` holds permissions; `rehearse --walks`"),
    ] {
        trial.write("walks.csv", text);
        has(&trial.run(&format!("{ASK} --walks walks.csv")).wrong(), &[told]);
    }
    has(&trial.run(&format!("{ASK} --walks none.csv")).wrong(), &["could not read `none.csv`"]);
}

#[test]
fn a_walk_that_the_book_plans_is_rehearsed_by_name() {
    let trial = Trial::with_a_walk();
    let ask = "rehearse --on 2021-03-12 --runs 40";
    let said = trial.run(ask).done();
    has(
        &said,
        &[
            "Played is the one walk that the book has from 12 Mar 2021 on.",
            "spring walk, 20 Mar 2021",
            "6 kg of nettle-tops",
            "300 g of ramsons-leaf",
        ],
    );
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    // Once its day is over it is no longer played.
    let said = trial.run("rehearse --on 2021-03-21 --runs 40").done();
    has(&said, &["The book has no walk to play from 21 Mar 2021 on"]);
    assert!(!said.contains("spring walk"), "{said}");
    let said = trial.run(&format!("{ask} --site hill --crop ramsons-leaf")).done();
    has(&said, &["300 g of ramsons-leaf"]);
    assert!(!said.contains("nettle-tops"), "{said}");
}

#[test]
fn what_is_set_aside_for_a_walk_does_not_shut_it_out() {
    let trial = Trial::with_a_walk();
    let odds = || {
        let json = trial.run("rehearse --on 2021-03-12 --runs 40 --format json").done();
        let json: Value = serde_json::from_str(&json).unwrap();
        json["walks"][0]["wants"].clone()
    };
    let before = odds();
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    assert_eq!(odds(), before);
    assert!(before[1]["finds_all"]["part"].as_f64().unwrap() > 0.0, "{before}");
}

#[test]
fn a_party_larger_than_the_permission_is_for_never_finds_anything() {
    let trial = Trial::with_a_surveyed_bank();
    trial.write(
        "few.csv",
        "site,basis,for,from,to,largest_party,by,recorded_on\n\
         Hill,written,own use; walk; sale,2020-01-01,,12,Ida,2021-03-01\n",
    );
    trial.run("load few.csv --replace").done();
    trial.write(
        "walks.csv",
        format!(
            "{HEADER}Ida,crowd,2021-03-20,Hill,9; 8,nettle-tops=200g\nIda,few,2021-03-20,Hill,9,\n"
        ),
    );
    let said = trial.run(&format!("{ASK} --walks walks.csv")).done();
    let wanted = "200 g of nettle-tops never nothing: no permission";
    has(&said, &["crowd, 20 Mar 2021", wanted, "few, 20 Mar 2021", "100 of 100"]);
}

#[test]
fn questions_that_cannot_be_are_refused() {
    let trial = Trial::with_a_surveyed_bank();
    for (asked, told) in [
        ("--season 2019/20", "the season 2019/20 was over on 31 Aug 2020"),
        ("--rest bonk", "no patch"),
        ("--theta 1", "`1` is not a part that is kept"),
        ("--theta NaN", "`NaN` is not a part that is kept"),
        ("--survey-every 0d", "`0d` is no number of days"),
        ("--survey-every soon", "write `90d`, `never` or `lapsed`"),
        ("--weekly 0kg", "`--weekly` of nothing"),
        ("--weekly lots", "is not an amount"),
        ("--groups 0", "from 1 to 7"),
        ("--runs 1", "from 2 to 1000000"),
        ("--crop thistledown", "no crop is called `thistledown`"),
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
