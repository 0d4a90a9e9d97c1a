//! `visit`: what was seen and said acts on limits, on the sheet and on the report.

use serde_json::Value;

use crate::said::has;
use crate::trial::Trial;

fn check(trial: &Trial, day: &str) -> Value {
    let said = trial.run(&format!("check bank --on {day} --format json"));
    serde_json::from_str(&said.out).unwrap()
}

fn most(trial: &Trial, day: &str) -> f64 {
    check(trial, day)["most_g"].as_f64().unwrap()
}

fn visit(trial: &Trial, words: &str, day: &str) -> String {
    trial.run(&format!("visit {words} --by Ida --on {day} --recorded-on {day}")).done()
}

#[test]
fn spray_shuts_a_patch_until_somebody_says_that_it_is_over() {
    let trial = Trial::with_a_surveyed_bank();
    let open = most(&trial, "2021-03-20");
    assert!(open > 1000.0);
    let said = visit(&trial, "bank --trouble sprayed", "2021-03-10");
    has(&said, &["Hill/Bank: it was sprayed", "Hill/Bank: closed from 10 Mar 2021 to 23 Mar 2021"]);
    for day in ["2021-03-10", "2021-04-10"] {
        let found = check(&trial, day);
        assert_eq!((&found["verdict"], &found["most_g"]), (&"closed".into(), &0.0.into()), "{day}");
        assert_eq!(found["binding_rule"], "trouble");
        assert!(found["opens"].is_null(), "{found}");
    }
    assert!(most(&trial, "2021-03-09") > 1000.0);
    let said = visit(&trial, "bank --over sprayed", "2021-03-18");
    has(&said, &["no longer sprayed", "may be cut from 18 Mar 2021"]);
    assert_eq!(most(&trial, "2021-03-17"), 0.0);
    assert_eq!(most(&trial, "2021-03-20"), open);
    let asked = trial.run("visit bank --over sewage --by Ida --on 2021-03-19").wrong();
    has(&asked, &["nobody found Hill/Bank sewage", "--sure"]);
}

#[test]
fn sewage_on_a_site_shuts_all_its_patches_and_one_may_be_lifted_alone() {
    let trial = Trial::with_surveyed_patches();
    let said = visit(&trial, "hill --trouble sewage", "2021-03-10");
    has(&said, &["Hill/Bank: closed", "Hill/Field: closed"]);
    visit(&trial, "field --over sewage", "2021-03-12");
    let week = trial.run("week --on 2021-03-15 --format json").done();
    let week: Value = serde_json::from_str(&week).unwrap();
    let verdict = |name: &str| {
        let mut patches = week["patches"].as_array().unwrap().iter();
        patches.find(|patch| patch["patch"] == name).unwrap()["verdict"].clone()
    };
    assert_eq!([verdict("Bank"), verdict("Field")], ["closed", "open"]);
}

#[test]
fn what_others_cut_widens_the_doubt_and_leaves_the_best_estimate() {
    let trial = Trial::with_a_surveyed_bank();
    let before = check(&trial, "2021-03-20");
    visit(&trial, "bank --trouble \"cut by others\"", "2021-03-20");
    let after = check(&trial, "2021-03-20");
    assert_eq!(after["state"]["standing_g"], before["state"]["standing_g"]);
    // The low bound is B·exp(−0.5·√v), and the doubt of a glance, 0.16, comes on top of v.
    let doubt = |found: &Value| {
        let of = |name: &str| found["state"][name].as_f64().unwrap();
        (2.0 * (of("standing_g") / of("standing_low_g")).ln()).powi(2)
    };
    let more = doubt(&after) - doubt(&before);
    assert!((more - 0.16).abs() < 1e-3, "{more}");
    let most = |found: &Value| found["most_g"].as_f64().unwrap();
    assert!(most(&after) < 0.95 * most(&before), "{} {}", most(&after), most(&before));
}

#[test]
fn a_look_alike_found_stands_before_all_else_until_someone_clears_it() {
    let trial = Trial::with_a_walk();
    let asked =
        trial.run("visit wood --look-alike \"green cheese\" --by Ida --on 2021-03-12").wrong();
    has(&asked, &["`green cheese` is not among the look-alikes", "lily of the valley", "--sure"]);
    // Two patches of nettles have one among theirs, and it is named once.
    let of_site = trial.run("visit hill/ --look-alike moss --by Ida --on 2021-03-12").wrong();
    assert_eq!(of_site.matches("dead-nettles").count(), 1, "{of_site}");
    visit(&trial, "wood --look-alike \"lily of the valley\"", "2021-03-12");
    let first = "FATAL: lily of the valley was found growing on Hill/Wood on 12 Mar 2021, by Ida";
    let said = trial.run("check wood --on 2021-03-15").out;
    has(&said[..400], &[first]);
    let [found, verdict] = ["FATAL: ", "OPEN: "].map(|text| said.find(text).unwrap());
    assert!(found < verdict, "{said}");
    let week = trial.run("week --on 2021-03-15").done();
    has(&week, &[first]);
    trial.run("walk sheet \"spring walk\" --on 2021-03-15 --out sheet.html").done();
    let sheet = trial.read("sheet.html");
    let [at, stops] = [first, "id=\"stops\""].map(|text| sheet.find(text).unwrap());
    assert!(at < stops);
    let asked = trial.run("visit wood --cleared hemlock --by Ida --on 2021-03-16").wrong();
    has(&asked, &["nobody found `hemlock`", "`lily of the valley` was"]);
    visit(&trial, "wood --cleared \"lily of the valley\"", "2021-03-16");
    assert!(!trial.run("week --on 2021-03-17").done().to_lowercase().contains("found growing"));
    // As things stood the day before, it was there.
    has(&trial.run("week --on 2021-03-15").done(), &[first]);
}

#[test]
fn a_yes_satisfies_who_wants_to_be_asked_on_that_day_and_a_no_shuts_it() {
    let trial = Trial::with_a_surveyed_bank();
    let permit = "permit hill --basis written --for walk --lifts-code-cap --ask-first --instead --by Ida \
                  --from 2020-09-01 --on 2021-03-01 --recorded-on 2020-09-01 --sure";
    assert_eq!(check(&trial, "2021-03-20")["ask_first"], false);
    trial.run(permit).done();
    let asks = |day: &str| check(&trial, day)["ask_first"].clone();
    assert_eq!(asks("2021-03-20"), true);
    let said = visit(&trial, "hill --asked yes --for 2021-03-20 --whom \"Old Tam\"", "2021-03-18");
    has(&said, &["Hill: asked for 2021-03-20: yes"]);
    assert!(!said.contains("Tam"), "{said}");
    assert_eq!([asks("2021-03-19"), asks("2021-03-20"), asks("2021-03-21")], [true, false, true]);
    let said = visit(&trial, "hill --asked no --for 2021-03-22", "2021-03-18");
    has(&said, &["Hill/Bank: no permission on 22 Mar 2021"]);
    assert_eq!(most(&trial, "2021-03-22"), 0.0);
    assert!(most(&trial, "2021-03-21") > 1000.0 && most(&trial, "2021-03-23") > 1000.0);
    for day in ["2021-03-20", "2021-04-20"] {
        let cut = "cut bank 200g --part --by Ida --people 2";
        trial.run(&format!("{cut} --on {day} --recorded-on {day}")).done();
    }
    trial.run("report hill --season 2020/21 --on 2021-05-01").done();
    let report = trial.read("reports/hill-2020-21.html").replace('\u{a0}', " ");
    has(&report, &["the answer was yes, on 1 of 2 days with a cut"]);
    assert!(!report.contains("Old Tam"));
}

#[test]
fn a_photo_is_kept_by_reference_and_a_missing_or_changed_file_is_said() {
    let trial = Trial::with_a_surveyed_bank();
    trial.write("seen/a, b.jpg", b"not a picture");
    let said = visit(&trial, "bank --photo \"seen/a, b.jpg\"", "2021-03-10");
    has(&said, &["photo seen/a, b.jpg"]);
    // SHA-256 of these bytes, by coreutils' sha256sum.
    trial.run("export out --whole").done();
    let visits = trial.read("out/visits.csv");
    has(&visits, &["13 bytes, SHA-256", &sum(b"not a picture")]);
    assert!(!trial.run("verify").done().contains("PHOTOS"));
    trial.write("seen/a, b.jpg", b"another picture");
    has(&trial.run("verify").out, &["PHOTOS", "seen/a, b.jpg", "is another picture by now"]);
    std::fs::remove_file(trial.path("seen/a, b.jpg")).unwrap();
    has(&trial.run("verify").out, &["PHOTOS", "is missing"]);
}

fn sum(bytes: &[u8]) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn a_visit_that_says_nothing_is_refused() {
    let trial = Trial::with_a_surveyed_bank();
    let said = trial.run("visit bank --by Ida --on 2021-03-10").wrong();
    has(
        &said,
        &[
            "the visit says nothing",
            "something that was seen or said",
            "--stage, --ripe, --trouble",
            "--note",
            "nothing was recorded",
        ],
    );
    assert!(!said.contains("`stage`"), "{said}");
    let said = trial.run("visit bank --trouble rain --by Ida").wrong();
    has(&said, &["`rain` is not a trouble", "sprayed"]);
}
