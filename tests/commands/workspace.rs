//! `new`, `export`, `crops`: a folder of one's own, its way out, and what is known of crops.

use crate::hill::{LIFTED, PERMISSION};
use crate::said::{has, nameless};
use crate::trial::Trial;

#[test]
fn a_new_folder_has_templates_reports_and_a_book() {
    let trial = Trial::new();
    let said = trial.run("new myland").done();
    has(&said, &["Made `myland`", "stintbook load sites/*.geojson sites/*.csv"]);
    assert_eq!(trial.files("myland"), ["reports", "sites", "stintbook.sqlite"]);
    assert_eq!(
        trial.files("myland/sites"),
        [
            "clippings.csv",
            "closures.csv",
            "crops.toml",
            "cuts.csv",
            "emergencies.csv",
            "glances.csv",
            "holds.csv",
            "overrides.csv",
            "permissions.csv",
            "places.geojson",
            "surveys.csv",
            "visits.csv",
            "walks.csv"
        ]
    );
}

#[test]
fn untouched_templates_are_loaded_and_add_nothing() {
    let trial = Trial::with_book();
    let files = trial.files("sites");
    let files = files.iter().filter(|file| !file.ends_with(".toml"));
    let files: String = files.map(|file| format!("sites/{file} ")).collect();
    let said = trial.run(&format!("load {files}")).done();
    assert_eq!(said.matches("nothing in it").count(), 12, "{said}");
    has(&said, &["sites/places.geojson: nothing in it yet: no features"]);
    has(&said, &["sites/cuts.csv: nothing in it yet: a header for cuts and no row under it"]);
    assert_eq!(trial.history(), "Nothing is recorded yet.");
}

#[test]
fn a_book_is_never_made_in_the_place_of_another() {
    let trial = Trial::on_hill();
    let history = trial.history();
    has(&trial.run("new .").wrong(), &["stintbook.sqlite` is there already"]);
    assert_eq!(trial.history(), history);
}

#[test]
fn templates_that_were_filled_in_are_kept_by_a_second_new() {
    let trial = Trial::new();
    trial.write("sites/permissions.csv", PERMISSION).run("new .").done();
    assert_eq!(trial.read("sites/permissions.csv"), PERMISSION);
}

/// A book's facts in files, loaded into a second book, come out as the same files.
#[test]
fn what_is_exported_loaded_and_exported_again_is_the_same() {
    let trial = Trial::new();
    trial.run("demo").done();
    trial.run("--book demo.sqlite export out --whole").done();
    trial.run("new second").done();
    let files = trial.files("out");
    assert!(files.len() > 5, "{files:?}");
    let named =
        |folder: &str| -> String { files.iter().map(|file| format!(" {folder}/{file}")).collect() };
    trial
        .run(&format!("--book second/stintbook.sqlite --on 2027-03-15 load{}", named("out")))
        .done();
    trial.run("--book second/stintbook.sqlite export again --whole").done();
    assert_eq!(trial.files("again"), files);
    for file in &files {
        let (first, second) =
            (trial.read(&format!("out/{file}")), trial.read(&format!("again/{file}")));
        let (first, second) = (nameless(&first), nameless(&second));
        assert!(first == second, "{file} differs:\n{first}\n{second}");
        assert!(first.lines().count() > 1, "{file} is empty");
    }
    let week = |book: &str| trial.run(&format!("--book {book} week --on 2027-03-15")).done();
    assert_eq!(week("second/stintbook.sqlite"), week("demo.sqlite"));
}

#[test]
fn an_export_takes_the_place_of_no_file() {
    let trial = Trial::on_hill();
    trial.write("out/permissions.csv", LIFTED).write("permissions.csv", PERMISSION);
    trial.run("load permissions.csv").done();
    has(&trial.run("export out --whole").wrong(), &["`out/permissions.csv` is there already"]);
    assert_eq!(trial.files("out"), ["permissions.csv"]);
    assert_eq!(trial.read("out/permissions.csv"), LIFTED);
}

#[test]
fn the_catalogue_is_listed_and_every_crop_of_it_shows_its_sources() {
    let trial = Trial::new();
    let list = trial.run("crops").done();
    let names: Vec<&str> =
        list.lines().skip(1).filter_map(|line| line.split_whitespace().next()).collect();
    assert!(list.contains("ramsons-leaf") && names.len() > 20, "{list}");
    let ramsons = list.lines().find(|line| line.trim_start().starts_with("ramsons-leaf"));
    assert!(ramsons.unwrap().ends_with(" fatal"), "{list}");
    let json = trial.run("crops --format json").done();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let crops = json["crops"].as_array().unwrap();
    for crop in crops {
        let name = crop["name"].as_str().unwrap();
        let said = trial.run(&format!("crops {name}")).done();
        has(&said, &["season", "source:", "recovery", "source:", "cautions", "source:"]);
        has(&said, &["This tool does not identify plants."]);
    }
    assert!(crops.len() > 20);
}

#[test]
fn a_crop_that_is_misspelt_is_guessed_at() {
    let said = Trial::new().run("crops ramsens-leef").wrong();
    has(&said, &["no crop is called `ramsens-leef`; did you mean `ramsons-leaf`?"]);
    has(&Trial::new().run("crops qqqq").wrong(), &["`stintbook crops` lists them"]);
}
