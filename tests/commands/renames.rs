//! A place that is called otherwise by now: what was written under its former name finds it, in
//! its own book and in another's.

use crate::hill::{patch, places, site};
use crate::said::{has, unfolded};
use crate::trial::Trial;

const BECAUSE: &str = "--why \"its real name\" --by Ida --recorded-on 2021-03-12";
const CUTS: &str = "patch,date,by,mass_g,taken\nHill/Bank,2021-03-10,Ida,400,part\n";
const UNA: &str = "--book una.sqlite";

/// Ida's book with a cut on the bank, and Una's, which began as a copy.
fn two_books() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.load("cuts.csv", CUTS).done();
    trial.copy_book("una.sqlite");
    trial
}

fn rename(trial: &Trial, fact: &str, name: &str, book: &str) {
    let id = trial.id_of(fact);
    trial.run(&format!("correct {id} name=\"{name}\" {BECAUSE} {book}")).done();
}

/// Loads all that one book exports into another.
fn told(trial: &Trial, from: &str, to: &str) -> String {
    let folder = format!("from{}", from.len());
    trial.run(&format!("export {folder} --whole {from}")).done();
    let files = trial.files(&folder);
    let files: Vec<String> = files.iter().map(|file| format!("{folder}/{file}")).collect();
    trial.run(&format!("load {} --replace --again {to}", files.join(" "))).done()
}

/// What a book says of the week, and what was cut from which patch.
fn answers(trial: &Trial, book: &str) -> (String, Vec<String>) {
    let week = trial.run(&format!("week --on 2021-03-20 {book}")).done();
    let history = unfolded(&trial.run(&format!("history {book}")).done());
    let cuts = history.lines().filter_map(|line| line.split_once(" cut by "));
    let mut cuts: Vec<String> =
        cuts.map(|(_, cut)| cut.split(',').next().unwrap().to_owned()).collect();
    cuts.sort();
    (week, cuts)
}

#[test]
fn an_export_under_a_former_name_finds_the_patch_and_both_books_give_one_answer() {
    let trial = two_books();
    rename(&trial, "patch by Ida: Hill/Bank", "Terrace", "");
    trial.run("cut terrace 300g --part --by Ida --on 2021-03-14").done();
    trial.run(&format!("cut bank 350g --part --by Una --on 2021-03-15 {UNA}")).done();
    // Una's tables say Bank, which Ida's book calls Terrace.
    let said = told(&trial, UNA, "");
    has(
        &said,
        &[
            "cuts.csv: 1 cut, 1 known already",
            "`Hill/Bank` is called `Hill/Terrace` since 12 Mar 2021",
        ],
    );
    told(&trial, "", UNA);
    let ida = answers(&trial, "");
    assert_eq!(answers(&trial, UNA), ida);
    let cuts = ["Ida: 300 g", "Ida: 400 g", "Una: 350 g"];
    assert_eq!(ida.1, cuts.map(|cut| format!("{cut} from Hill/Terrace")));
}

#[test]
fn a_file_that_was_written_when_patch_and_site_were_called_otherwise_adds_nothing() {
    let trial = two_books();
    rename(&trial, "patch by Ida: Hill/Bank", "Terrace", "");
    rename(&trial, "site by Ida: Hill", "Down", "");
    let history = trial.history();
    for (file, known) in [
        ("cuts.csv", "nothing new; 1 known already"),
        ("surveys.csv", "nothing new; 1 known already"),
        ("permissions.csv", "nothing new; 1 known already"),
        ("places.geojson", "nothing new; 2 known already, 2 corrected or withdrawn since"),
    ] {
        let said = trial.run(&format!("load {file}")).done();
        has(&said, &[&format!("{file}: {known}")]);
    }
    has(
        &trial.run("load cuts.csv").done(),
        &["`Hill/Bank` is called `Down/Terrace` since 12 Mar 2021"],
    );
    trial.write("cuts.csv", CUTS.replace("Hill/Bank", "Down/Terrace"));
    has(&trial.run("load cuts.csv").done(), &["nothing new; 1 known already"]);
    assert_eq!(trial.history(), history);
    // And what is new in it goes to the patch.
    trial.write("cuts.csv", format!("{CUTS}Hill/Bank,2021-03-11,Ida,250,part\n"));
    has(&trial.run("load cuts.csv").done(), &["cuts.csv: 1 cut, 1 known already"]);
    has(&trial.history(), &["250 g from Down/Terrace"]);
    has(&trial.run("cut bank 100g --part --by Ida --on 2021-03-16").done(), &["Down/Terrace"]);
}

/// The rows of the table bear no ids: they are known by what they say, as the patch was called when
/// they were loaded.
#[test]
fn a_table_that_comes_with_the_map_that_renames_its_patch_is_known() {
    let trial = two_books();
    rename(&trial, "patch by Ida: Hill/Bank", "Terrace", UNA);
    trial.run(&format!("export una --whole {UNA}")).done();
    trial.write("cuts.csv", CUTS.replace("Hill/Bank", "Hill/Terrace"));
    let files = "una/places.geojson una/corrections.csv cuts.csv";
    has(&trial.run(&format!("load {files} --replace")).done(), &["cuts.csv: nothing new; 1 known"]);
    assert_eq!(answers(&trial, "").1, ["Ida: 400 g from Hill/Terrace"]);
}

#[test]
fn two_patches_that_changed_names_keep_what_was_recorded_on_each_in_both_books() {
    let trial = two_books();
    trial.run("cut field 90g --part --by Ida --on 2021-03-09").done();
    trial.run(&format!("cut bank 350g --part --by Una --on 2021-03-15 {UNA}")).done();
    rename(&trial, "patch by Ida: Hill/Bank", "Meadow", "");
    rename(&trial, "patch by Ida: Hill/Field", "Bank", "");
    let said = told(&trial, UNA, "");
    has(&said, &["`Hill/Bank` is called `Hill/Meadow` since 12 Mar 2021"]);
    told(&trial, "", UNA);
    assert_eq!(answers(&trial, UNA), answers(&trial, ""));
    has(&trial.history(), &["400 g from Hill/Meadow"]);
    has(&trial.history(), &["350 g from Hill/Meadow"]);
    has(&trial.history(), &["90 g from Hill/Bank"]);
}

#[test]
fn two_sites_that_changed_names_keep_what_holds_on_each_in_both_books() {
    let trial = Trial::with_a_surveyed_bank();
    let dell = site().replace("Hill", "Dell").replace(",48", ",49");
    trial.load("dell.geojson", places(&[dell])).done();
    trial.copy_book("una.sqlite");
    let day = "--from 2021-03-18 --on 2021-03-10 --recorded-on 2021-03-10";
    trial.run(&format!("close hill --why flood --by Una {day} {UNA}")).done();
    rename(&trial, "site by Ida: Hill", "Moor", "");
    rename(&trial, "site by Ida: Dell", "Hill", "");
    let said = told(&trial, UNA, "");
    has(&said, &["`Hill` is called `Moor` since 12 Mar 2021"]);
    has(&trial.run("check moor/bank --on 2021-03-20").no(), &["CLOSED", "flood"]);
    told(&trial, "", UNA);
    assert_eq!(answers(&trial, UNA), answers(&trial, ""));
    has(&trial.history(), &["closure by Una: Moor"]);
}

#[test]
fn a_new_patch_may_not_lie_on_one_that_bore_its_name_before() {
    let trial = two_books();
    rename(&trial, "patch by Ida: Hill/Bank", "Terrace", "");
    let history = trial.history();
    let anew = places(&[patch("Bank", "nettle-tops", 1)]).replace("2020-01-02", "2021-03-14");
    let said = trial.load("anew.geojson", anew).wrong();
    has(&said, &["of it lie on `Hill/Terrace`, a patch of the same crop", "nothing was recorded"]);
    assert_eq!(trial.history(), history);
}

const WALK_THERE: &str = "walk new \"spring walk\" --on 2021-03-20 --leader Ida --site Moor \
    --site Hill --adults 3 --want nettle-tops=1kg --seed 7 --recorded-on 2021-03-10";

/// A walk that starts on one site and goes to another, which is renamed afterwards.
#[test]
fn a_walk_goes_to_the_site_that_was_meant_whatever_it_is_called_by_now() {
    let trial = Trial::with_a_surveyed_bank();
    let moor =
        site().replace("Hill", "Moor").replace("-20,", "-19.97,").replace("-19.99,", "-19.96,");
    trial.load("moor.geojson", places(&[moor])).done();
    trial.run(WALK_THERE).done();
    let plan = |name: &str| trial.run(&format!("walk plan --walk \"{name}\" --format json")).done();
    let taken = |name: &str| {
        let found: serde_json::Value = serde_json::from_str(&plan(name)).unwrap();
        found["stops"].as_array().unwrap().len()
    };
    let before = taken("spring walk");
    assert_eq!(before, 1);
    trial.run("export old --whole").done();
    rename(&trial, "site by Ida: Hill", "Height", "");
    let shown = trial.run("walk list").done();
    has(&shown, &["Moor and Height"]);
    assert!(!shown.contains("Hill"), "{shown}");
    assert_eq!(taken("spring walk"), before);
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-11").done();
    trial.run("walk sheet \"spring walk\" --recorded-on 2021-03-11 --out sheet.html").done();
    let sheet = trial.read("sheet.html");
    assert!(sheet.contains("Height") && !sheet.contains("Hill"), "the sheet has the old name");
    has(&trial.run("week --all --on 2021-03-20").done(), &["OPEN", "Height", "holds"]);
    // What is exported says so too, and neither it nor an older export adds anything.
    trial.run("export new --whole").done();
    has(&trial.read("new/walks.csv"), &[",Height,"]);
    let history = trial.history();
    for folder in ["new", "old"] {
        let files =
            trial.files(folder).iter().map(|it| format!("{folder}/{it} ")).collect::<String>();
        let said = trial.run(&format!("load {files}")).done();
        assert!(!said.contains("1 walk"), "{said}");
        assert_eq!(trial.history(), history, "{folder}");
    }
    has(&trial.run("load old/walks.csv").done(), &["nothing new"]);
    assert_eq!(trial.history(), history);
    // A new site of the old name is not where the walk goes.
    let other = site().replace("-20,", "-19.94,").replace("-19.99,", "-19.93,");
    trial.load("other.geojson", places(&[other]).replace("2020-01-02", "2021-03-14")).done();
    has(&trial.run("walk list").done(), &["Moor and Height"]);
    assert_eq!(taken("spring walk"), before);
}

#[test]
fn a_map_tells_of_the_site_that_bears_its_name_now_and_not_of_the_one_that_did() {
    let trial = Trial::on_hill();
    let north = |feature: String| feature.replace(",48.0", ",48.1").replace(",48]", ",48.1]");
    trial.load("dell.geojson", places(&[north(site().replace("Hill", "Dell"))])).done();
    rename(&trial, "site by Ida: Hill", "Ridge", "");
    rename(&trial, "site by Ida: Dell", "Hill", "");
    let map = places(&[north(site()), north(patch("New", "sloe", 1))]);
    has(&trial.load("new.geojson", map).done(), &["1 patch"]);
    has(&trial.history(), &["patch by Ida: Hill/New, sloe", "patch by Ida: Ridge/Bank"]);
}

#[test]
fn a_map_of_patches_goes_to_the_site_of_another_map_and_not_to_one_that_was_called_so() {
    for order in ["site.geojson patches.geojson", "patches.geojson site.geojson"] {
        let trial = Trial::on_hill();
        rename(&trial, "site by Ida: Hill", "Ridge", "");
        // Drawn since, to the north of what has another name by now.
        let north = |feature: String| {
            let map = places(&[feature.replace(",48.0", ",48.1").replace(",48]", ",48.1]")]);
            map.replace("2020-01-02", "2021-03-14")
        };
        trial.write("site.geojson", north(site()));
        trial.write("patches.geojson", north(patch("New", "sloe", 1)));
        has(&trial.run(&format!("load {order}")).done(), &["1 "]);
        let history = trial.history();
        for patch in ["patch by Ida: Hill/New, sloe", "patch by Ida: Ridge/Bank"] {
            has(&history, &[patch]);
        }
    }
}
