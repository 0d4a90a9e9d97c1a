//! What is said of a crop after a cut does not change what was allowed on the cut's day.

use crate::said::has;
use crate::trial::Trial;

const COLUMNS: &str = "site,patch,crop,field,value,source,date,by,recorded_on\n";

/// What `pressure` says was cut and allowed on 20 March, in grams, and whether that was over it.
fn ruled(trial: &Trial) -> (f64, f64, bool) {
    let text = trial.run("pressure --season 2020/21 --format csv --on 2021-05-01").done();
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let names = table.headers().unwrap().clone();
    let at = |name: &str| names.iter().position(|column| column == name).unwrap();
    let rows = table.records().map(Result::unwrap);
    let of_day =
        rows.into_iter().find(|row| &row[at("day")] == "2021-03-20" && &row[at("patch")] == "Bank");
    let row = of_day.unwrap();
    let amount = |name: &str| row[at(name)].parse().unwrap();
    (amount("cut_g"), amount("allowed_g"), &row[at("over")] == "true")
}

fn cut(trial: &Trial, amount: &str) {
    trial
        .run(&format!(
            "cut bank {amount} --people 3 --by Ida --on 2021-03-20 --recorded-on 2021-03-20"
        ))
        .done();
}

fn override_of(trial: &Trial, day: &str) {
    let row = format!(
        "Hill,Bank,nettle-tops,smallest_useful,2kg,our own,{day},Ida,{day}\n\
                       Hill,Bank,nettle-tops,kept_standing,0.95,our own,{day},Ida,{day}\n"
    );
    trial.load("overrides.csv", format!("{COLUMNS}{row}")).done();
}

#[test]
fn an_override_of_a_later_day_leaves_the_ruling_of_an_earlier_cut() {
    let trial = Trial::with_a_surveyed_bank();
    cut(&trial, "1500g");
    let before = ruled(&trial);
    assert!(before.0 == 1500.0 && before.1 > 1500.0 && !before.2, "{before:?}");
    override_of(&trial, "2021-04-01");
    assert_eq!(ruled(&trial), before);
    has(&trial.run("verify").done(), &["The book is whole"]);
    // From its own day on it counts.
    let then: serde_json::Value =
        serde_json::from_str(&trial.run("check bank --format json --on 2021-03-31").out).unwrap();
    let now: serde_json::Value =
        serde_json::from_str(&trial.run("check bank --format json --on 2021-04-01").out).unwrap();
    assert_ne!(then["most_g"], now["most_g"]);
}

#[test]
fn an_override_of_an_earlier_day_counts_and_an_overrun_tells_of_a_later_one() {
    let trial = Trial::with_a_surveyed_bank();
    cut(&trial, "1500g");
    let before = ruled(&trial);
    override_of(&trial, "2021-03-10");
    let after = ruled(&trial);
    assert!(after.1 < before.1 && after.2, "{before:?} {after:?}");
    let trial = Trial::with_a_surveyed_bank();
    cut(&trial, "12kg");
    override_of(&trial, "2021-04-01");
    let said = trial.run("verify").no();
    has(
        &said,
        &["was the most allowed; the crop was put right later: `smallest_useful` since 1 Apr 2021"],
    );
}
