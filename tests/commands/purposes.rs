//! What a permission is for: own use unless it says more, and no walk and no box without it.

use crate::hill::{LIFTED, NEW_WALK, PARTIES};
use crate::said::has;
use crate::trial::Trial;

/// The hill's bank with leave for these uses; nothing is said where that is empty.
fn with_leave_for(uses: &str) -> Trial {
    let trial = Trial::with_surveyed_patches();
    trial.write("permissions.csv", LIFTED.replace("own use; walk; sale", uses));
    trial.run("load permissions.csv --replace --why \"asked anew\"").done();
    trial
}

fn grams_planned(trial: &Trial, purpose: &str) -> f64 {
    let plan = trial
        .run(&format!(
            "walk plan --on 2021-03-20 --want nettle-tops=1kg --for \"{purpose}\" --format json"
        ))
        .done();
    let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
    plan["wants"][0]["got_g"].as_f64().unwrap()
}

#[test]
fn each_use_draws_only_on_ground_whose_permission_says_so() {
    let boxes = "box --month 2021-03 --count 4 --each nettle-tops=100g --recorded-on 2021-03-10 \
                 --format json";
    for (uses, own, walk, sale) in [
        ("", 1000.0, 0.0, 0.0),
        ("own use", 1000.0, 0.0, 0.0),
        ("walk", 0.0, 1000.0, 0.0),
        ("sale; own use", 1000.0, 0.0, 400.0),
    ] {
        let trial = with_leave_for(uses);
        assert_eq!(grams_planned(&trial, "own use"), own, "own use by `{uses}`");
        assert_eq!(grams_planned(&trial, "walk"), walk, "a walk by `{uses}`");
        let plan = trial.run(boxes).done();
        let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
        assert_eq!(plan["wants"][0]["got_g"].as_f64().unwrap(), sale, "boxes by `{uses}`");
    }
}

#[test]
fn what_no_permission_says_is_not_assumed_and_the_reason_is_told() {
    let trial = with_leave_for("");
    let plan = trial.run("walk plan --on 2021-03-20 --want nettle-tops=1kg").done();
    let plan = plan.split_whitespace().collect::<Vec<_>>().join(" ");
    has(
        &plan,
        &["the written permission is for own use only, since it does not say what for, and not \
             for walks"],
    );
    // Whoever asks without saying what for sees what it is for.
    let check = trial.run("check bank --on 2021-03-20 --full").done();
    has(&check, &["written permission for own use until further notice"]);
}

#[test]
fn what_a_permission_is_for_is_asked_for_until_someone_says_it() {
    let trial = with_leave_for("");
    trial.write("parties.csv", PARTIES);
    trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
    let due = |words: &str| {
        let said = trial.run(&format!("due --on 2021-03-15 {words}")).done();
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let said = due("");
    has(&said, &["today say what leave on Hill is for: the written one does not say"]);
    has(&said, &["Sat 20 Mar no leave on Hill: no permission there is for walks, as spring walk"]);
    trial.run("walk hold \"spring walk\" --on 2021-03-15").no();
    let id = trial.id_of("written for Hill");
    trial
        .run(&format!(
            "correct {id} \"for=own use; walk\" --why \"said at the gate\" --by Ida --on 2021-03-15"
        ))
        .done();
    let said = due("");
    assert!(!said.contains("what leave on Hill") && !said.contains("no leave"), "{said}");
    trial.run("walk hold \"spring walk\" --on 2021-03-15").done();
}

#[test]
fn a_right_or_a_custom_is_for_own_use_and_nobody_is_asked() {
    let trial = Trial::with_surveyed_patches();
    let common = LIFTED.replace("written,own use; walk; sale", "custom,").replace(",yes,", ",,");
    trial.write("permissions.csv", common);
    trial.run("load permissions.csv --replace --why \"a common\"").done();
    let said = trial.run("due --on 2021-03-15").done();
    assert!(!said.contains("what leave"), "{said}");
    assert_eq!(grams_planned(&trial, "walk"), 0.0);
}

#[test]
fn a_week_of_boxes_is_held_as_sale_and_split_by_leave_for_sale() {
    let trial = with_leave_for("sale");
    trial
        .run(
            "box --month 2021-03 --count 4 --each nettle-tops=100g --recorded-on 2021-03-10 \
             --hold boxes --leader Ida",
        )
        .done();
    let walks = trial.run("walk list --on 2021-03-10").done();
    has(&walks, &["boxes 2021-W11 1 in 1 party Hill, for sale, led by Ida"]);
    let split = trial.run("walk split \"boxes 2021-W11\" --on 2021-03-10").done();
    has(&split, &["Hill/"]);
}

#[test]
fn the_sheet_says_what_leave_was_given_for() {
    let trial = with_leave_for("walk");
    trial.write("parties.csv", PARTIES);
    trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
    trial.run("walk hold \"spring walk\" --on 2021-03-15").done();
    trial.run("walk sheet \"spring walk\" --on 2021-03-15 --out sheet.html").done();
    has(&trial.read("sheet.html"), &["Given for walks."]);
}

#[test]
fn the_report_says_whether_the_use_that_was_agreed_was_kept() {
    let told = |uses: &str| {
        let trial = with_leave_for("walk");
        trial.write("parties.csv", PARTIES);
        trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
        let cut = "patch,date,by,mass_g,taken,people,walk,recorded_on\n\
                   Hill/Bank,2021-03-20,Ida,200,,6,spring walk,2021-03-20\n";
        trial.load("cuts.csv", cut).done();
        trial.write("permissions.csv", LIFTED.replace("own use; walk; sale", uses));
        trial.run("load permissions.csv --replace --why \"read again\"").done();
        trial.run("report Hill --season 2020/21 --format md").done();
        trial.read("reports/hill-2020-21.md").split_whitespace().collect::<Vec<_>>().join(" ")
    };
    has(&told("walk"), &["walks", "kept"]);
    has(&told("own use"), &["1 cut on walks or for boxes, where own use was agreed"]);
    has(&told(""), &["whether walks and boxes were agreed, for 1 cut"]);
}

#[test]
fn week_check_and_calendar_can_be_asked_for_one_use() {
    let trial = with_leave_for("own use");
    let verdict = |words: &str| {
        let said = trial.run(&format!("week --on 2021-03-20 --crop nettle {words} --format json"));
        let week: serde_json::Value = serde_json::from_str(&said.done()).unwrap();
        week["patches"][0]["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(verdict(""), "open");
    assert_eq!(verdict("--for \"own use\""), "open");
    assert_eq!(verdict("--for walk"), "no permission");
    trial.run("check bank --on 2021-03-20").done();
    has(&trial.run("check bank --on 2021-03-20 --for sale").no(), &["is for own use only"]);
    let walk = trial.run("calendar --on 2021-03-10 --month 2021-04 --crop nettle").done();
    has(&walk, &["What a walk of April 2021 can cook with", "if it is permitted first"]);
    let own = "calendar --on 2021-03-10 --month 2021-04 --crop nettle --for \"own use\"";
    let own = trial.run(own).done();
    has(&own, &["What one's own kitchen in April 2021 can cook with", "on one day from 2 patches"]);
    assert!(!own.contains("permitted first"), "{own}");
}
