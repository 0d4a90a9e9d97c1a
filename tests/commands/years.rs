//! Year beside year: the same stretch of two seasons, for patches, sites and the owner's report.

use serde_json::{Value, json};

use crate::said::has;
use crate::trial::Trial;

/// Cuts of two seasons, one of them after the day of the year that is asked about.
fn two_seasons() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    for (day, words) in [
        ("2020-03-20", "200g --people 3"),
        ("2020-05-10", "100g"),
        ("2021-03-10", "300g --people 2"),
    ] {
        trial
            .run(&format!("cut bank {words} --part --by Ida --on {day} --recorded-on {day} --sure"))
            .done();
    }
    trial
}

#[test]
fn a_season_is_held_against_the_same_stretch_of_another_and_against_its_whole() {
    let trial = two_seasons();
    let asked = "pressure --on 2021-03-25 --beside 2019/20";
    let years: Value =
        serde_json::from_str(&trial.run(&format!("{asked} --format json")).done()).unwrap();
    let site = &years["sites"][0];
    assert_eq!(site["site"], "Hill");
    let bank = site["patches"].as_array().unwrap().iter();
    let bank = bank.clone().find(|patch| patch["patch"] == "Hill/Bank").unwrap();
    let told: Vec<Value> = bank["seasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| {
            json!([
                it["season"],
                it["to"],
                it["taken_g"],
                it["days"],
                it["people"],
                it["cuts_uncounted"]
            ])
        })
        .collect();
    assert_eq!(
        told,
        [
            json!(["2020/21", "2021-03-25", 300.0, 1, 2, 0]),
            json!(["2019/20", "2020-03-25", 200.0, 1, 3, 0]),
            json!(["2019/20", "2020-08-31", 300.0, 2, 3, 1]),
        ]
    );
    // Surveyed on 1 March 2021 only: of the season before nobody knew what stood.
    assert_eq!(bank["seasons"][1]["stood_g"], Value::Null);
    assert!(bank["seasons"][0]["stood_g"].as_f64().unwrap() > 0.0);
    let on_site: Vec<Value> = site["seasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| {
            json!([it["days"], it["people"], it["days_uncounted"], it["taken"][0]["taken_g"]])
        })
        .collect();
    assert_eq!(
        on_site,
        [json!([1, 2, 0, 300.0]), json!([1, 3, 0, 200.0]), json!([2, 3, 1, 300.0])]
    );
    let text = trial.run(asked).done();
    let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
    has(
        &joined,
        &[
            "Year beside year: 2020/21, to 25 Mar; 2019/20, to 25 Mar; 2019/20, whole",
            "2019/20, whole: 2 days, 3 people and 1 day on which nobody counted; 300 g taken",
            "Bank, Common nettle, tops",
        ],
    );
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn a_season_that_cannot_be_beside_it_is_refused_in_words() {
    let trial = two_seasons();
    let refused = |words: &str| trial.run(&format!("pressure --on 2021-03-25 {words}")).wrong();
    has(&refused("--beside 2020/21"), &["--beside 2020/21 is the season itself"]);
    has(&refused("--beside 2022/23"), &["the season 2022/23 has not begun by 25 Mar 2021"]);
    has(&refused("--beside 2019/20 --format csv"), &["`--beside` makes no `csv`"]);
}

#[test]
fn the_owner_s_report_has_the_years_of_each_patch_that_was_cut() {
    let trial = two_seasons();
    trial.run("report Hill --season 2020/21 --on 2021-03-25 --format md").done();
    let report = trial.read("reports/hill-2020-21.md");
    let years = report.split("Year beside year").nth(1).unwrap();
    let years = years.split("\n#").next().unwrap();
    let years = years.split_whitespace().collect::<Vec<_>>().join(" ");
    has(&years, &["2020/21, to 25 Mar; 2019/20, to 25 Mar", "Bank: 2020/21 300 g of"]);
    has(&years, &["2 people; 2019/20 200 g of an unknown stand, 3 people"]);
    assert!(!years.contains("Field"), "nobody ever cut there: {years}");
}
