//! Recovery tests: begun and finished at the keyboard, and what they do to a limit.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

/// What the refilling share and the permission each leave of `orchard floor` in the demo, in
/// grams, nine days after a test whose second basket weighed so much.
fn left_after(second: &str) -> [f64; 2] {
    let trial = Trial::new();
    trial.run("demo").done();
    let begun = trial.run(
        "--book demo.sqlite recovery start \"orchard floor\" 1.4kg --squares 8 --square 0.25 \
         --by Ida --on 2027-03-15 --recorded-on 2027-03-15",
    );
    has(&begun.done(), &["best on 26 Apr 2027", "8 Apr 2027 on and by 24 May 2027"]);
    let due = trial.run("--book demo.sqlite due --on 2027-04-15").done();
    has(&due, &["Mon 26 Apr", "the second cut of the recovery test begun on 15 Mar 2027"]);
    let early = trial.run(
        "--book demo.sqlite recovery finish \"orchard floor\" 700g --uncut 1.4kg --by Ida \
         --on 2027-03-15 --recorded-on 2027-03-15",
    );
    assert_eq!(early.status, 2, "{}", early.out);
    let finish = format!(
        "--book demo.sqlite recovery finish \"orchard floor\" {second} --uncut 1.4kg --by Ida \
         --on 2027-04-20 --recorded-on 2027-04-20"
    );
    trial.run(&finish).done();
    let survey = "--book demo.sqlite survey \"orchard floor\" 30 28 33 31 29 35 --frame 0.25 \
                  --by Ida --on 2027-04-21 --recorded-on 2027-04-21";
    trial.run(survey).done();
    let check = "--book demo.sqlite check \"orchard floor\" --on 2027-04-29 --format json";
    let answer: Value = serde_json::from_str(&trial.run(check).out).unwrap();
    let ceilings = answer["ceilings"].as_array().unwrap();
    ["refilling share", "permission"].map(|rule| {
        let ceiling = ceilings.iter().find(|ceiling| ceiling["rule"] == rule).unwrap();
        ceiling["most_g"].as_f64().unwrap()
    })
}

/// Before the test 3.33 kg are left of the season's 9 kg; the baskets of both its days count.
#[test]
fn the_slower_its_squares_come_back_the_less_a_patch_allows_and_its_baskets_count_as_cut() {
    let [slow, middling, fast] = ["300g", "500g", "520g"].map(left_after);
    assert!(slow[0] > 1000.0 && slow[0] < middling[0] && middling[0] < fast[0], "{slow:?}");
    let left = [slow[1], middling[1], fast[1]].map(f64::round);
    assert_eq!(left, [230.0, 30.0, 10.0]);
}
