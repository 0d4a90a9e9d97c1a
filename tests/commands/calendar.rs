//! `calendar`: twelve months of patches and of the kitchen, and what is planned, for an owner.

use serde_json::Value;
use unicode_width::UnicodeWidthStr;

use crate::said::has;
use crate::trial::Trial;

const DEMO: &str = "--book demo.sqlite --on 2027-03-15";

fn demo() -> Trial {
    let trial = Trial::new();
    trial.run("demo").done();
    trial
}

fn json(trial: &Trial, words: &str) -> Value {
    serde_json::from_str(&trial.run(words).done()).unwrap()
}

/// What is promised to the walk of 18 March is kept in a calendar and has lapsed for a week that
/// is asked about a later day.
const PROMISED: &str = "Gullhythe/Creek edge";

#[test]
fn what_a_month_is_expected_to_bring_is_what_the_week_of_its_best_day_says() {
    let trial = demo();
    let calendar = json(&trial, &format!("{DEMO} calendar --format json"));
    let mut compared = 0;
    for month in 0..3 {
        for patch in calendar["patches"].as_array().unwrap() {
            let opens = &patch["months"][month]["opens"];
            let is_firm = opens["needs_survey"] == false && opens["needs_permission"] == false;
            if !is_firm || patch["patch"] == PROMISED {
                continue;
            }
            let best = opens["best"].as_str().unwrap();
            let check = json(
                &trial,
                &format!(
                    "--book demo.sqlite --on {best} check \"{}\" --format json",
                    patch["patch"].as_str().unwrap()
                ),
            );
            let unit = if opens["most_g"].is_null() { "most_count" } else { "most_g" };
            assert_eq!(opens[unit], check[unit], "{} on {best}", patch["patch"]);
            compared += 1;
        }
    }
    assert!(compared > 8, "only {compared} were compared");
}

/// Closures and what a permission leaves out take turns in shutting the bank from 10 March to
/// 27 April 2021; each pushes the day of opening on into the other.
#[test]
fn a_patch_opens_on_the_day_after_the_last_of_many_rules_that_take_turns() {
    let trial = Trial::with_surveyed_patches();
    let closures = [
        ("2021-03-10", "2021-03-16"),
        ("2021-03-20", "2021-03-24"),
        ("2021-03-28", "2021-04-02"),
        ("2021-04-08", "2021-04-12"),
        ("2021-04-18", "2021-04-22"),
    ];
    let rows = closures.map(|(from, to)| format!("Hill,{from},{to},nesting,Ida,2021-03-09\n"));
    let header = "site,from,to,reason,by,recorded_on\n";
    trial.load("closures.csv", format!("{header}{}", rows.concat())).done();
    let id = trial.id_of("permission");
    let until = "to=2021-03-16 --why misread --by Ida --recorded-on 2021-03-09 --sure";
    trial.run(&format!("correct {id} {until}")).done();
    let granted = [
        ("2021-03-20", "2021-03-24"),
        ("2021-03-28", "2021-04-02"),
        ("2021-04-08", "2021-04-12"),
        ("2021-04-18", "2021-04-22"),
        ("2021-04-28", "2021-12-31"),
    ];
    let rows =
        granted.map(|(from, to)| format!("Hill,written,walk,{from},{to},yes,Ida,2021-03-09\n"));
    let header = "site,basis,for,from,to,lifts_code_cap,by,recorded_on\n";
    trial.load("granted.csv", format!("{header}{}", rows.concat())).done();
    let check = |day: &str| -> Value {
        let said = trial.run(&format!("check bank --on {day} --format json"));
        serde_json::from_str(&said.out).unwrap()
    };
    let asked = check("2021-03-12");
    assert_eq!(asked["opens_on"], "2021-04-28", "{asked}");
    let mut day: jiff::civil::Date = "2021-03-12".parse().unwrap();
    while day.to_string() != "2021-04-28" {
        let verdict = check(&day.to_string())["verdict"].clone();
        assert_ne!(verdict, "open", "{day}");
        day =
            day.checked_add(jiff::Span::new().days(3)).unwrap().min("2021-04-28".parse().unwrap());
    }
}

#[test]
fn a_month_that_outlives_the_last_survey_asks_for_one() {
    let trial = Trial::with_a_surveyed_bank();
    let calendar = json(&trial, "calendar --on 2021-03-10 --format json");
    let bank = &calendar["patches"].as_array().unwrap()[0];
    assert_eq!(bank["patch"], "Hill/Bank");
    let needs = |n: usize| &bank["months"][n]["opens"]["needs_survey"];
    // Surveyed on 1 March, and believed for 90 days.
    assert_eq!(needs(0), false);
    assert_eq!(needs(2), false, "{:#}", bank["months"][2]);
    assert_eq!(bank["months"][2]["opens"]["to"], "2021-05-30");
    // Before a first survey nothing is known of how much.
    let field = calendar["patches"].as_array().unwrap().iter();
    let field = field.clone().find(|patch| patch["patch"] == "Hill/Field").unwrap();
    assert_eq!(field["months"][0]["opens"]["needs_survey"], true);
    assert_eq!(field["months"][0]["opens"]["most_g"], Value::Null);
}

#[test]
fn the_book_s_own_cuts_of_earlier_years_mark_their_months() {
    let trial = Trial::with_a_surveyed_bank();
    for day in ["2020-03-20", "2020-04-02"] {
        trial.run(&format!("cut bank 200g --by Ida --on {day} --recorded-on {day} --sure")).done();
    }
    let calendar = json(&trial, "calendar --on 2021-03-10 --crop nettle-tops --format json");
    let bank = &calendar["patches"][0];
    let marked: Vec<&str> = bank["months"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|month| month["cut_in_years"] == 1)
        .map(|month| month["month"].as_str().unwrap())
        .collect();
    assert_eq!(marked, ["2021-03", "2021-04"]);
    let cut = serde_json::json!([
        { "season": "2019/20", "first": "2020-03-20", "last": "2020-04-02" }
    ]);
    assert_eq!(bank["cut"], cut);
}

#[test]
fn a_role_has_no_more_than_the_permission_leaves_its_crops_on_a_day() {
    let trial = Trial::with_surveyed_patches();
    trial.write(
        "capped.csv",
        "site,basis,for,from,cap_per_visit_g,lifts_code_cap,by,recorded_on\n\
         Hill,written,own use; walk,2020-01-01,700,yes,Ida,2020-01-01\n",
    );
    trial.run("load capped.csv --replace --why \"less\"").done();
    let calendar = json(&trial, "calendar --on 2021-03-10 --crop nettle-tops --format json");
    let april = &calendar["kitchen"][0]["months"][1];
    assert_eq!(april["month"], "2021-04");
    assert_eq!(april["firm_g"], 700.0, "two patches of nettles, one cap: {april:#}");
    let text = trial.run("calendar --on 2021-03-10 --month 2021-04 --crop nettle-tops").done();
    has(
        &text,
        &[
            "What a walk of April 2021 can cook with",
            "GREEN LEAF",
            "700 g on one day from 2 patches",
        ],
    );
    let late = trial.run("calendar --on 2021-03-10 --month 2022-03").wrong();
    has(&late, &["--month 2022-03 is not among the twelve from 2021-03 on"]);
}

#[test]
fn a_calendar_keeps_to_its_width_and_every_form_names_every_patch() {
    let trial = demo();
    for width in [60, 80, 120] {
        let mut command = trial.command(&format!("{DEMO} calendar"));
        let said = crate::said::Said::by(command.env("COLUMNS", width.to_string())).done();
        let widest = said.lines().map(UnicodeWidthStr::width).max().unwrap();
        assert!(widest <= width, "{widest} cells at {width}:\n{said}");
        has(&said, &["Wendlestow", "IN THE KITCHEN"]);
    }
    for form in ["html", "svg", "json"] {
        let said = trial.run(&format!("{DEMO} calendar --format {form}")).done();
        has(&said, &["Creek edge", "Beech hanger"]);
        for name in ["Ida", "Tomas"] {
            assert!(!said.contains(name), "{form} names {name}");
        }
    }
    let year = trial.run(&format!("{DEMO} calendar --year 2027 --site Ammerlow")).done();
    has(&year, &["The months from Jan 2027 to Dec 2027", "Jan Feb Mar"]);
}

#[test]
fn an_owner_sees_what_is_planned_by_day_and_amount_and_nobody_s_name() {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --on 2021-03-10").done();
    let ahead = "calendar --on 2021-03-10 --site Hill --ahead \"1 month\"";
    let planned = json(&trial, &format!("{ahead} --format json"));
    assert_eq!(planned["until"], "2021-04-10");
    let held = trial.run("walk split \"spring walk\" --on 2021-03-10 --format json").done();
    let held: Value = serde_json::from_str(&held).unwrap();
    let of_walk: f64 = held["stops"]
        .as_array()
        .unwrap()
        .iter()
        .map(|stop| stop["quota_g"].as_f64().unwrap())
        .sum();
    let total: f64 = planned["totals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|total| total["amount_g"].as_f64().unwrap())
        .sum();
    assert!(of_walk > 0.0 && (total - of_walk).abs() < 1.0, "{total} of {of_walk}");
    let said = trial.run(ahead).done();
    has(&said, &["Sat 20 Mar 2021, a walk, 6 people: set aside", "Bank: ", "ALTOGETHER"]);
    for name in ["Ida", "Ann", "spring walk"] {
        assert!(!said.contains(name), "{name} is in:\n{said}");
    }
    let early = "walk new early --on 2021-03-14 --leader Ida --site hill --want nettle-tops=1kg \
                 --adults 2 --recorded-on 2021-03-10";
    trial.run(early).done();
    let planned = json(&trial, &format!("{ahead} --format json"));
    let days = planned["visits"].as_array().unwrap().iter().map(|visit| &visit["day"]);
    assert!(days.eq(["2021-03-14", "2021-03-20"]), "{planned}");
    let later = trial.run("calendar --on 2021-03-21 --site Hill --ahead \"2 weeks\"").done();
    has(&later, &["No walk and no box is planned on Hill from 21 Mar 2021 to 4 Apr 2021"]);
    let odd = trial.run("calendar --on 2021-03-21 --site Hill --ahead soon").wrong();
    has(&odd, &["write it like `1 month` or `6 weeks`"]);
}

#[test]
fn how_far_the_plants_were_on_visits_is_told_by_season_patch_and_site() {
    let trial = Trial::with_surveyed_patches();
    for (place, stage, day) in [
        ("bank", "leaf", "2020-03-20"),
        ("bank", "leaf", "2020-04-02"),
        ("bank", "flower", "2020-05-15"),
        ("bank", "leaf", "2021-03-04"),
        ("hill/", "bud", "2020-04-20"),
        // Of a day that is still to come nothing is known.
        ("bank", "fruit", "2021-03-20"),
    ] {
        let place = place.trim_end_matches('/');
        trial.run(&format!("visit {place} --stage \"{stage}\" --by Ida --on {day}")).done();
    }
    let calendar = json(&trial, "calendar --on 2021-03-10 --format json");
    let of = |name: &str| -> Vec<String> {
        let patches = calendar["patches"].as_array().unwrap();
        let patch = patches.iter().find(|patch| patch["patch"] == name).unwrap();
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        let stages = patch["stages"].as_array().unwrap().iter();
        let told = stages.map(|it| [&it["season"], &it["stage"], &it["first"], &it["last"]]);
        told.map(|words| words.map(text).join(" ")).collect()
    };
    let bud = "2019/20 bud 2020-04-20 2020-04-20".to_owned();
    assert_eq!(of("Hill/Field"), std::slice::from_ref(&bud));
    let leaf = "2019/20 leaf 2020-03-20 2020-04-02".to_owned();
    let flower = "2019/20 flower 2020-05-15 2020-05-15".to_owned();
    let again = "2020/21 leaf 2021-03-04 2021-03-04".to_owned();
    assert_eq!(of("Hill/Bank"), [leaf, bud, flower, again]);
    let said = trial.run("calendar --on 2021-03-10").done();
    has(&said, &["Seen on visits", "Bank: in leaf 20 Mar 2020 to 2 Apr 2020; in bud 20 Apr 2020"]);
}
