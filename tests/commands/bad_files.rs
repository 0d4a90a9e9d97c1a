//! `load` of files that are no such files, and of shapes that are no such shapes.

use crate::hill::{SOUTH, WEST, patch, patch_of, patch_with, places, polygon, site, square};
use crate::said::has;
use crate::trial::Trial;

/// Refused with all of these words in order, a way out, and a book as it was.
fn refused(trial: &Trial, file: &str, text: impl AsRef<[u8]>, parts: &[&str]) {
    let history = trial.history();
    let said = trial.load(file, text).wrong();
    has(&said, parts);
    has(&said, &[file, "expected", "nothing was recorded"]);
    assert_eq!(trial.history(), history, "{file}");
}

/// A patch `New` of sloe with this geometry.
fn shaped(geometry: &str) -> String {
    places(&[patch_of("New", "sloe", geometry)])
}

#[test]
fn files_that_are_no_such_files_are_called_what_they_are() {
    let trial = Trial::on_hill();
    let mut chance = fastrand::Rng::with_seed(7);
    let noise: Vec<u8> = (0..3 << 20).map(|_| chance.u8(..)).collect();
    refused(&trial, "noise.csv", &noise, &["it is not text"]);
    let letters: Vec<u8> = noise.iter().map(|byte| b'a' + byte % 26).collect();
    refused(&trial, "letters.csv", &letters, &["line 1: this line is more than 64 kB long"]);
    let lines: Vec<u8> =
        noise.iter().map(|byte| if byte % 60 == 0 { b'\n' } else { b'a' + byte % 26 }).collect();
    refused(&trial, "lines.csv", &lines, &["is no header that tells"]);
    refused(&trial, "empty.csv", "", &["it is empty"]);
    refused(&trial, "empty.geojson", " \n\n", &["it is empty"]);
    refused(&trial, "wide.csv", "p\0a\0t\0", &["it is not text"]);
    refused(&trial, "utf16.csv", b"\xff\xfep\0a\0", &["it is saved as UTF-16"]);
    refused(&trial, "latin.geojson", b"{\"name\": \"caf\xe9\"}", &["it is not UTF-8 text"]);
    refused(
        &trial,
        "cut.geojson",
        "{\"type\": \"FeatureColl",
        &["line 1", "it ends in the middle"],
    );
    refused(&trial, "deep.geojson", "[".repeat(300_000), &["this is not JSON"]);
    refused(&trial, "list.geojson", "[1, 2]", &["`[1,2]` is no collection of features"]);
    let bare = "{\"type\": \"Feature\", \"properties\": {}, \"geometry\": null}";
    refused(
        &trial,
        "bare.geojson",
        bare,
        &["is no collection of features", "`stintbook bring` takes"],
    );
    refused(&trial, "odd.geojson", "{\"type\": \"Topology\"}", &["is no collection of features"]);
}

#[test]
fn a_missing_file_and_a_folder_are_named() {
    let trial = Trial::on_hill();
    has(&trial.run("load nowhere.csv").wrong(), &["could not read `nowhere.csv`", "No such file"]);
    has(&trial.run("load sites").wrong(), &["`sites` is a folder; name the files in it"]);
    has(&trial.run("load places.geojson nowhere.csv").wrong(), &["`nowhere.csv`"]);
    trial.run("load").wrong();
}

#[test]
fn shapes_that_cover_no_ground_are_refused_with_their_place() {
    let trial = Trial::on_hill();
    let (w, s) = (WEST + 0.007, SOUTH + 0.007);
    let (e, n) = (w + 0.0002, s + 0.0002);
    let huge = square(w, s).replacen(&format!("{w}"), "1e308", 1);
    let nan = square(w, s).replacen(&format!("{w}"), "NaN", 1);
    let text = square(w, s).replacen(&format!("{w}"), "\"west\"", 1);
    for (geometry, said) in [
        (
            polygon(&[(w, s), (e, n), (e, s), (w, n), (w, s)]),
            "crosses or touches itself, like a bow tie",
        ),
        (polygon(&[(w, s), (e, s), (e, n), (w, n)]), "a ring is not closed: it starts at"),
        (polygon(&[(w, s), (w, n), (w, s + 0.0001), (w, s)]), "a ring encloses no ground"),
        (polygon(&[(w, s), (w, s), (w, s), (w, s)]), "a ring encloses no ground"),
        (polygon(&[(s, w), (s, w + 0.0002), (s + 0.0002, w), (s, w)]), "with its axes swapped"),
        (huge, "`1e+308` is no longitude"),
        (text, "`[\"west\",48.007]` is no position"),
        (
            format!("{{\"type\": \"Point\", \"coordinates\": [{w}, {s}]}}"),
            "a point alone covers no ground",
        ),
        ("null".to_owned(), "it has no geometry"),
        ("{}".to_owned(), "the geometry has no type"),
        ("{\"type\": \"Blob\", \"coordinates\": []}".to_owned(), "Blob"),
        ("{\"type\": \"Polygon\", \"coordinates\": []}".to_owned(), "expected"),
        ("{\"type\": \"Polygon\", \"coordinates\": [[[0]]]}".to_owned(), "is no position"),
    ] {
        refused(&trial, "new.geojson", shaped(&geometry), &["feature 1 (`New`), `geometry`", said]);
    }
    refused(
        &trial,
        "new.geojson",
        shaped(&nan),
        &["line 1: this is not JSON at `NaN", "`NaN` is none"],
    );
    let line = format!("{{\"type\": \"LineString\", \"coordinates\": [[{w},{s}],[{e},{n}]]}}");
    refused(&trial, "new.geojson", shaped(&line), &["`width_m`: nothing is there"]);
}

/// RFC 7946, 3.1.6: exterior rings run counterclockwise, but parsers should take others.
#[test]
fn a_clockwise_ring_covers_the_same_ground() {
    let (w, s) = (WEST + 0.007, SOUTH + 0.007);
    let (e, n) = (w + 0.0002, s + 0.0002);
    let ground = |ring: &[(f64, f64)]| {
        let trial = Trial::on_hill();
        trial.load("new.geojson", shaped(&polygon(ring))).done();
        let said = trial.run("check new --full --on 2021-03-15").no();
        said.lines().find(|line| line.contains("may be harvested")).unwrap().to_owned()
    };
    let around = ground(&[(w, s), (e, s), (e, n), (w, n), (w, s)]);
    assert_eq!(ground(&[(w, s), (w, n), (e, n), (e, s), (w, s)]), around);
    assert!(around.ends_with(" 332 m² may be harvested"), "{around}");
}

#[test]
fn a_patch_must_lie_on_its_site_and_on_no_other_of_its_crop() {
    let trial = Trial::on_hill();
    let away = square(WEST - 1.0, SOUTH);
    let expected = "expected a patch on its site; see that longitude comes before latitude";
    refused(
        &trial,
        "new.geojson",
        shaped(&away),
        &["`geometry`: it lies wholly outside `Hill`", expected],
    );
    let edge = square(WEST - 0.00015, SOUTH + 0.005);
    refused(&trial, "new.geojson", shaped(&edge), &["75 % of it lies outside `Hill`"]);
    let beside = square(WEST + 0.0011, SOUTH + 0.005);
    let two = places(&[patch_of("New", "nettle-tops", &beside)]);
    refused(
        &trial,
        "new.geojson",
        two,
        &["166 m² of it lie on `Hill/Bank`, a patch of the same crop"],
    );
    trial.load("new.geojson", shaped(&beside)).done();
}

#[test]
fn properties_that_are_wrong_are_named_with_what_would_be_right() {
    let trial = Trial::on_hill();
    let point = "{\"type\": \"Point\", \"coordinates\": [-19.993, 48.007]}";
    for (more, said) in [
        (", \"radius_m\": \"five\"", "`radius_m`: `five` is not a number"),
        (", \"radius_m\": [5]", "`radius_m`"),
        (", \"radius_m\": true", "`radius_m`"),
        (", \"radius_m\": -5", "`radius_m`"),
        (", \"radius_m\": 501", "`radius_m`"),
        (", \"radius_m\": \"2,5\"", "`radius_m`: `2,5` has a decimal comma"),
        (", \"plants\": 0", "`plants`"),
        (", \"plants\": 2.5", "`plants`"),
        (
            ", \"radius_m\": 5, \"date\": \"2021-04-31\"",
            "`date`: `2021-04-31` is not a day: April 2021 has 30",
        ),
        (", \"radius_m\": 5, \"recorded_on\": \"9999-01-01\"", "`9999-01-01` is too far off"),
        (", \"radius_m\": 5, \"name\": \"a/b\"", "`name`"),
        (", \"radius_m\": 5, \"site\": \"Hlil\"", "no site is called `Hlil`; did you mean `Hill`?"),
        (", \"radius_m\": 5, \"crop\": \"slo\"", "no crop is called `slo`; did you mean `sloe`?"),
        (", \"radius_m\": 5, \"kind\": \"pach\"", "`kind`"),
    ] {
        let text = places(&[patch_with("New", "sloe", more, point)]);
        refused(&trial, "new.geojson", text, &["feature 1", said]);
    }
    let no_day = places(&[patch("New", "sloe", 7)]).replace("\"recorded_on\": \"2020-01-02\",", "");
    let way_out = "`date`: nothing is there expected the day it was set down, like `2027-03-14`; may \
                   be left out where `recorded_on` is given";
    refused(&trial, "new.geojson", no_day, &[way_out]);
    let no_name = places(&[patch("New", "sloe", 7)]).replace("\"by\": \"Ida\", ", "");
    refused(&trial, "new.geojson", no_name, &["`by`: nothing is there"]);
    refused(
        &trial,
        "new.geojson",
        places(&[patch("New", "sloe", 7), patch("New", "haw", 8)]),
        &["`New`"],
    );
}

#[test]
fn every_problem_of_a_file_is_told_at_once() {
    let trial = Trial::with_book();
    let bow = polygon(&[(-20.0, 48.0), (-19.9, 48.1), (-19.9, 48.0), (-20.0, 48.1), (-20.0, 48.0)]);
    let text = places(&[site(), patch_of("A", "slo", &bow), patch("B", "nettle", 2)]);
    refused(
        &trial,
        "all.geojson",
        text,
        &["feature 2 (`A`)", "bow tie", "feature 2 (`A`)", "`slo`", "feature 3 (`B`)", "`nettle`"],
    );
}
