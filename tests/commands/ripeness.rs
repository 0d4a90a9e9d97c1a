//! Fruit that is surveyed before all of it is ripe.

use serde_json::Value;

use crate::hill::{LIFTED, SURVEY, patch, places, site};
use crate::said::has;
use crate::trial::Trial;

/// 332 m² of brambles on which 39.8 kg of ripe fruit stood on 10 August 2021.
fn brambles(ripe: &str) -> Trial {
    let trial = Trial::with_book();
    let features = [site(), patch("Bank", "blackberry", 1), patch("Wood", "nettle-tops", 5)];
    trial.load("places.geojson", places(&features)).done();
    trial.load("permissions.csv", LIFTED).done();
    let survey = SURVEY.replace("2021-03-01", "2021-08-10").replace("mass_g,", "mass_g,ripe,");
    let rows = survey.lines().map(|row| match row.rsplit_once(',') {
        Some((row, day)) if row.contains("Hill/Bank") => format!("{row},{ripe},{day}\n"),
        _ => format!("{row}\n"),
    });
    trial.load("surveys.csv", rows.collect::<String>()).done();
    trial
}

fn check(trial: &Trial, day: &str) -> Value {
    let said = trial.run(&format!("check bank --on {day} --format json"));
    serde_json::from_str(&said.out).unwrap_or_else(|_| panic!("{} {}", said.out, said.err))
}

fn near(found: &Value, expected: f64) {
    let found = found.as_f64().unwrap();
    assert!((found / expected - 1.0).abs() <= 5e-3, "{found} is not {expected}");
}

/// The share is 0.35·(1 − e^(−0.7788·rR)), rR = ln(19·0.15/0.85), a third of it a visit: one in 15.
/// By weight it is that of the low bound, 0.969 of what stands, as far as it is ripe.
const A_VISIT_G: f64 = 39_800.0 / 0.4 * 0.969 * 0.0712;

#[test]
fn a_survey_of_what_is_ripe_tells_of_all_that_will_ripen_and_so_much_may_go_as_is_ripe() {
    let trial = brambles("40 %");
    let august = check(&trial, "2021-08-10");
    near(&august["state"]["standing_g"], 99_500.0);
    near(&august["most_g"], 0.4 * A_VISIT_G);
    assert_eq!(august["one_in"], 15);
    assert_eq!(august["state"]["ripe"]["part"], 0.4);
    let said = trial.run("check bank --on 2021-08-20").done();
    has(&said, &["standing crop 99.6 kg", "40 % of that ripe, as seen on 10 Aug 2021"]);

    // Nobody has said more by then.
    near(&check(&trial, "2021-08-24")["most_g"], 0.4 * A_VISIT_G);
    let visit = "visit bank --ripe 90% --by Ida --on 2021-08-24 --recorded-on 2021-08-24";
    has(&trial.run(visit).done(), &["Hill/Bank: 90 % ripe", "24 Aug 2021"]);
    let later = check(&trial, "2021-08-24");
    near(&later["most_g"], 0.9 * A_VISIT_G);
    assert_eq!(later["state"]["ripe"]["part"], 0.9);
}

#[test]
fn who_says_nothing_of_ripeness_has_what_was_found() {
    let trial = brambles("");
    let august = check(&trial, "2021-08-10");
    near(&august["state"]["standing_g"], 39_800.0);
    near(&august["most_g"], 0.4 * A_VISIT_G);
    assert_eq!(august["state"]["ripe"], Value::Null);
}

/// One in fifteen of two fifths is a thirty-seventh.
#[test]
fn a_visit_spends_what_it_took_of_all_that_will_ripen() {
    let trial = brambles("40 %");
    let before = check(&trial, "2021-08-10")["share"]["left"].as_f64().unwrap();
    trial.run("cut bank 2.7kg --by Ida --on 2021-08-10 --recorded-on 2021-08-10").done();
    let left = check(&trial, "2021-08-10")["share"]["left"].as_f64().unwrap();
    let spent = before / 3.0 * 0.4;
    assert!((before - left - spent).abs() < 1e-4, "{before} and {left}");
}

#[test]
fn what_was_ripe_last_year_says_nothing_of_this_one() {
    let trial = brambles("40 %");
    let next = check(&trial, "2022-08-10");
    assert_eq!(next["state"]["ripe"], Value::Null);
    near(&next["state"]["standing_g"], 99_500.0);
}

#[test]
fn ripeness_that_cannot_be_is_refused_with_what_would_be_right() {
    let trial = brambles("");
    let said = trial.run("visit wood --ripe 40% --by Ida --on 2021-03-10").wrong();
    has(&said, &["nettle-tops", "does not ripen", "comes once a year"]);
    for bad in ["0.4", "140%", "some"] {
        let said = trial.run(&format!("visit bank --ripe {bad} --by Ida --on 2021-08-12")).wrong();
        has(&said, &[bad, "from `1 %` to `100 %`"]);
    }
    let rows = "patch,date,by,frame_area_m2,mass_g,ripe,recorded_on\n\
                Hill/Bank,2021-08-14,Una,0.25,30,40 %,2021-08-14\n\
                Hill/Bank,2021-08-14,Una,0.25,20,50 %,2021-08-14\n";
    let said = trial.load("two.csv", rows).wrong();
    has(&said, &["line 3", "ripe", "`50 %` where another row has `40 %`"]);
}

#[test]
fn ripeness_goes_out_and_comes_back() {
    let trial = brambles("40 %");
    trial.run("visit bank --ripe 90% --by Ida --on 2021-08-24 --recorded-on 2021-08-24").done();
    trial.run("export out --whole").done();
    assert!(trial.read("out/surveys.csv").contains("40 %"));
    assert!(trial.read("out/visits.csv").contains("90 %"));
    let before = trial.history();
    trial.run("load out/surveys.csv out/visits.csv").done();
    assert_eq!(trial.history(), before);
}
