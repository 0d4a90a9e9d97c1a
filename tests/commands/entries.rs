//! `cut`, `survey`, `glance`: what is typed at the keyboard.

use crate::hill::{PERMISSION, SURVEY, places, polygon};
use crate::said::{has, nameless, without_ids};
use crate::trial::Trial;

const ON: &str = "--on 2021-03-15 --by Ida --recorded-on 2021-03-15";

fn most(trial: &Trial, day: &str) -> f64 {
    let json = trial.run(&format!("week --on {day} --crop nettle-tops --format json")).done();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let patches = json["patches"].as_array().unwrap();
    let bank = patches.iter().find(|patch| patch["patch"] == "Bank").unwrap();
    bank["most_g"].as_f64().unwrap()
}

#[test]
fn a_cut_spends_the_share_which_refills_as_the_plant_regrows() {
    let trial = Trial::with_a_surveyed_bank();
    let before = most(&trial, "2021-03-15");
    let said = trial.run(&format!("cut bank 4kg --people 9 {ON}")).done();
    has(
        &without_ids(&said),
        &["Recorded as ########: 4 kg of nettle-tops from Hill/Bank on 15 Mar 2021, all that \
             was allowed, so the share is spent. It opens again on"],
    );
    has(&trial.run("check bank --on 2021-03-15").no(), &["RESTING", "0 % refilled"]);
    let later: Vec<f64> = ["2021-03-15", "2021-04-01", "2021-04-15", "2021-05-15"]
        .map(|day| most(&trial, day))
        .to_vec();
    assert!(later[0] == 0.0 && later.is_sorted() && later[1] < later[3], "{later:?}");
    assert!(later[3] > 0.5 * before, "{later:?} after {before}");
}

#[test]
fn a_party_that_stopped_short_is_charged_by_weight() {
    let trial = Trial::with_a_surveyed_bank();
    let before = most(&trial, "2021-03-15");
    has(
        &trial.run(&format!("cut bank 500g --part {ON}")).done(),
        &["charged by weight.", "may still be cut that day."],
    );
    let left = most(&trial, "2021-03-15");
    assert!(left > 0.8 * before && left < before, "{left} of {before}");
}

/// What is said to be left is left: whoever takes it is not told afterwards that it was too much.
#[test]
fn many_small_baskets_of_a_day_come_to_no_more_than_one_large_one() {
    let trial = Trial::with_a_surveyed_bank();
    let limit = most(&trial, "2021-03-15");
    let mut taken = 0.0;
    for n in 1..=30 {
        let said = trial
            .run(&format!(
                "cut bank 250g --part --by P{n} --on 2021-03-15 --recorded-on 2021-03-15"
            ))
            .done();
        taken += 250.0;
        assert!(!said.contains("more than"), "{taken} of {limit}: {said}");
        let Some((left, _)) = said.split_once(" may still be cut") else {
            assert!(taken > 0.9 * limit, "{taken} of {limit}: {said}");
            break;
        };
        let left = left.rsplit(". ").next().unwrap().replace("\n", " ");
        let (number, unit) = left.trim().split_once(' ').unwrap();
        let left = number.parse::<f64>().unwrap() * if unit == "kg" { 1000.0 } else { 1.0 };
        assert!(left <= limit - taken + 10.0, "{left} left after {taken} of {limit}");
        if left < 250.0 {
            let said = trial
                .run(&format!(
                    "cut bank {left}g --part --by Q --on 2021-03-15 --recorded-on 2021-03-15"
                ))
                .done();
            assert!(!said.contains("more than"), "{said}");
            break;
        }
    }
    assert!(taken > 0.9 * limit, "{taken} of {limit}");
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn a_party_that_counted_otherwise_says_so() {
    let trial = Trial::with_a_surveyed_bank();
    let before = most(&trial, "2021-03-15");
    has(
        &trial.run(&format!("cut bank 500g --one-in 40 {ON}")).done(),
        &["1 in 40 of what was seen"],
    );
    let left = most(&trial, "2021-03-15");
    assert!(left > 0.0 && left < 0.9 * before, "{left} of {before}");
    let said = trial.run(&format!("cut bank 500g --one-in 40 --part {ON}")).wrong();
    has(&said, &["--one-in", "cannot be used with", "--part"]);
}

#[test]
fn a_basket_far_under_the_limit_is_asked_about() {
    let trial = Trial::with_a_surveyed_bank();
    has(&trial.run(&format!("cut bank 300g {ON}")).done(), &["record it with --part"]);
}

#[test]
fn a_cut_over_the_limit_is_recorded_and_said_so() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run(&format!("cut bank 9kg {ON}")).done();
    has(
        &said,
        &["9 kg of nettle-tops", "3.33 kg more than the 5.67 kg allowed; charged by weight."],
    );
    has(&trial.history(), &["9 kg from Hill/Bank, taken part"]);
}

#[test]
fn a_cut_on_a_patch_that_was_shut_is_recorded_and_said_so() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run("cut bank 1kg --on 2021-07-15 --by Ida").done();
    has(&said, &["though the patch was out of season; charged by weight."]);
    has(&trial.history(), &["2021-07-15 cut by Ida: 1 kg from Hill/Bank"]);
}

#[test]
fn a_visit_that_took_nothing_has_spent_nothing() {
    let trial = Trial::with_a_surveyed_bank();
    let before = most(&trial, "2021-03-15");
    has(&trial.run(&format!("cut bank 0g {ON}")).done(), &["charged by weight"]);
    assert_eq!(most(&trial, "2021-03-15"), before);
}

#[test]
fn amounts_in_the_wrong_measure_are_refused_with_the_right_one() {
    let trial = Trial::new();
    trial.run("demo").done();
    let run = |words: &str| trial.run(&format!("--book demo.sqlite {words} --by Ida")).wrong();
    has(&run("cut \"mill bank\" 650"), &["`ramsons-leaf` is weighed; write grams, like `650g`"]);
    has(
        &run("cut \"elder row\" 2kg"),
        &["`elder-flower` is counted; write pieces, like `14 heads`"],
    );
    has(&run("glance \"mill bank\" 14"), &["`ramsons-leaf` is reckoned in grams"]);
    has(&run("cut \"mill bank\" 1,2kg"), &["`1,2kg` has a decimal comma; write it with a point"]);
}

#[test]
fn a_typed_survey_says_the_same_as_one_in_a_file() {
    let typed = Trial::on_hill();
    let said = typed
        .run(
            "survey bank 30 20 40 25 35 30 28 32 24 36 --frame 0.25 --by Ida --on 2021-03-01 \
              --recorded-on 2021-03-01",
        )
        .done();
    has(&said, &["10 quadrats on Hill/Bank on 1 Mar 2021.", "`stintbook check` shows"]);
    let loaded = Trial::on_hill();
    loaded.load("surveys.csv", SURVEY).done();
    for trial in [&typed, &loaded] {
        trial.load("permissions.csv", PERMISSION).done();
    }
    let week = |trial: &Trial| trial.run("week --on 2021-03-15").done();
    assert_eq!(week(&typed), week(&loaded));
    let export = |trial: &Trial| {
        trial.run("export out --whole").done();
        nameless(&trial.read("out/surveys.csv"))
    };
    assert_eq!(export(&typed), export(&loaded));
}

#[test]
fn a_survey_in_parts_weighs_each_by_its_ground() {
    let trial = Trial::on_hill();
    trial.load("permissions.csv", PERMISSION).done();
    trial
        .run(
            "survey bank --frame 0.25 --by Ida --on 2021-03-01 --recorded-on 2021-03-01 \
              --stratum \"dense 132: 40 50 45 45\" --stratum \"thin 200: 10 12 8 10\"",
        )
        .done();
    // (132 m² × 180 g/m² + 200 m² × 40 g/m²) / 332 m², on the patch's 331.6 m²: 31.7 kg.
    has(&trial.run("check bank --on 2021-03-01").done(), &["standing crop 31.7 kg", "8 quadrats"]);
}

#[test]
fn what_is_typed_wrongly_is_refused_as_in_a_file() {
    let trial = Trial::on_hill();
    let history = trial.history();
    for (words, said) in [
        ("survey bank 30 nan --frame 0.25", "`nan` is not a number"),
        ("survey bank 30 -3 --frame 0.25", "`-3` is not a mass"),
        ("survey bank 30 1e308 --frame 0.25", "is too much for a mass"),
        ("survey bank 30 20 --frame 0", "`0` is not an area"),
        ("survey bank 30 20 --frame -1", "`-1` is not an area"),
        ("survey bank 30 --frame 0.25", "one quadrat in the whole patch"),
        ("survey bank 30 20", "in square metres, like `0.25`"),
        ("survey bank --frame 0.25", "nothing was measured"),
        ("survey bank --stratum dense --frame 0.25", "`dense` is not a part of a patch"),
        ("survey bank --stratum \"dense 0: 3 4\" --frame 0.25", "`0` is not an area"),
        ("glance bank 0g", "`0 g` is nothing to go by"),
        ("glance bank lots", "`lots` is not an amount; write `250g`, `1.2kg` or `14 stems`"),
        ("cut bank 99999999999999999999g", "is too much for a mass"),
        ("cut bank 5g --people 0", "`0` is not a number of people; write 1 or more"),
        ("cut bank 5g --people -4", "`-4` is not a number of people"),
        ("cut bank 5g --people 99999999999", "`99999999999` is not a number of people"),
        ("cut bank 5g --one-in 0", "`0` is not a whole number, 1 or more"),
        ("cut bank 5g --recorded-on 2021-03-01", "`2021-03-01` is before the day itself"),
    ] {
        has(&trial.run(&format!("{words} --by Ida --on 2021-03-15")).wrong(), &[said]);
    }
    for by in ["", "\u{1b}[31m", "a\nb"] {
        trial.run(&format!("cut bank 5g --by \"{by}\" --on 2021-03-15")).wrong();
    }
    assert_eq!(trial.history(), history);
}

#[test]
fn a_glance_moves_what_is_thought_to_stand() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run(&format!("glance bank 20kg {ON}")).done();
    has(
        &without_ids(&said),
        &["Recorded as ########: Ida saw some 20 kg on Hill/Bank on 15 Mar 2021."],
    );
    let said = trial.run("check bank --on 2021-03-15").done();
    let standing = said.split("standing crop").nth(1).unwrap().split_whitespace().next().unwrap();
    let standing: f64 = standing.parse().unwrap();
    assert!(20.0 < standing && standing < 39.8, "{standing} kg");
}

#[test]
fn two_alike_on_one_day_are_two_only_if_someone_says_so() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run(&format!("cut bank 200g --part {ON}")).done();
    let first = trial.id_of("cut by Ida: 200 g");
    let said = trial.run(&format!("cut bank 200g --part {ON}")).wrong();
    has(&said, &["is in the book already", &first, "typed", "--again", "nothing was recorded"]);
    assert_eq!(trial.history().matches("cut by Ida: 200 g").count(), 1);
    trial.run(&format!("cut bank 200g --part {ON} --again")).done();
    assert_eq!(trial.history().matches("cut by Ida: 200 g").count(), 2);
}

#[test]
fn a_patch_whose_plants_are_counted_is_surveyed_by_the_plant() {
    let trial = Trial::on_hill();
    let point = "{\"type\": \"Point\", \"coordinates\": [-19.993, 48.003]}";
    let tree = crate::hill::patch_with("Tree", "elder-flower", ", \"plants\": 6", point);
    trial.load("trees.geojson", places(&[tree])).done();
    trial.load("permissions.csv", PERMISSION).done();
    trial.run("survey tree 40 50 60 --by Ida --on 2021-05-25 --recorded-on 2021-05-25").done();
    let said = trial.run("survey tree 40 50 --frame 0.25 --by Ida --on 2021-05-25").wrong();
    has(&said, &["expected one plant's amount each and no frame: its plants are counted"]);
    has(&trial.run("check tree --on 2021-05-25").done(), &["standing crop 300 heads", "3 plants"]);
    let line = polygon(&[(-19.99, 48.0), (-19.98, 48.0), (-19.99, 48.0)]);
    trial.load("line.geojson", places(&[crate::hill::patch_of("Line", "sloe", &line)])).wrong();
}
