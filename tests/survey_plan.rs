//! `survey plan` and `survey advise`, as a user meets them.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use geojson::FeatureCollection;
use tempfile::TempDir;

/// Plainly synthetic, on open water.
const PLACES: &str = r#"{ "type": "FeatureCollection", "by": "Ana", "date": "2027-01-01", "features": [
  { "type": "Feature", "properties": { "kind": "site", "name": "marsh" }, "geometry": { "type": "Polygon",
    "coordinates": [[[-20.01,48.0],[-20.0,48.0],[-20.0,48.01],[-20.01,48.01],[-20.01,48.0]]] } },
  { "type": "Feature", "properties": { "kind": "patch", "site": "marsh", "name": "bank", "crop": "nettle-tops" },
    "geometry": { "type": "Polygon", "coordinates":
    [[[-20.005,48.002],[-20.004,48.002],[-20.004,48.003],[-20.005,48.002]]] } },
  { "type": "Feature", "properties": { "kind": "patch", "site": "marsh", "name": "grove", "crop": "elder-flower",
    "plants": 9 }, "geometry": { "type": "Point", "coordinates": [-20.002, 48.005] } }
] }"#;

struct Book {
    folder: TempDir,
}

struct Answer {
    said: String,
    problem: String,
    status: i32,
}

impl Book {
    fn new() -> Self {
        let book = Self { folder: TempDir::new().unwrap() };
        fs::write(book.path("places.geojson"), PLACES).unwrap();
        book.run(&["new", "."]).expect_status(0);
        book.run(&["load", "places.geojson"]).expect_status(0);
        book
    }

    fn path(&self, file: &str) -> std::path::PathBuf {
        Path::new(self.folder.path()).join(file)
    }

    fn run(&self, arguments: &[&str]) -> Answer {
        let output = Command::new(env!("CARGO_BIN_EXE_stintbook"))
            .current_dir(self.folder.path())
            .env_remove("STINTBOOK")
            .env("COLUMNS", "80")
            .args(arguments)
            .output()
            .unwrap();
        Answer {
            said: String::from_utf8(output.stdout).unwrap(),
            problem: String::from_utf8(output.stderr).unwrap(),
            status: output.status.code().unwrap(),
        }
    }

    fn plan(&self, rest: &[&str]) -> Answer {
        self.run(&[&["survey", "plan", "bank", "--seed", "7"], rest].concat())
    }
}

impl Answer {
    fn expect_status(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{}{}", self.said, self.problem);
        self
    }
}

/// Frozen: a seed must draw the same on every machine and in every later version.
#[test]
fn a_plan_is_a_numbered_list_in_walking_order() {
    let said = Book::new().plan(&["--quadrats", "3"]).expect_status(0).said;
    let rows: Vec<&str> = said.lines().skip(4).take(3).map(str::trim_end).collect();
    assert_eq!(
        rows,
        [
            "  1   -20.004553  48.002051  27U WP 74252 17007     38 m",
            "  2   -20.004224  48.002316  27U WP 74276 17037      4 m",
            "  3   -20.004168  48.002327  27U WP 74280 17038",
        ]
    );
    assert!(said.starts_with("3 quadrats on marsh/bank, random, seed 7\n"), "{said}");
    assert!(said.contains("a\nbare quadrat counts as 0"), "{said}");
}

#[test]
fn without_a_seed_one_is_drawn_and_shown_so_that_it_can_be_drawn_again() {
    let book = Book::new();
    let first = book.run(&["survey", "plan", "bank"]).expect_status(0).said;
    let seed = first.split("--seed ").nth(1).unwrap().trim_end_matches(".\n").to_owned();
    let again = book.run(&["survey", "plan", "bank", "--seed", &seed]).expect_status(0).said;
    assert_eq!(first, again);
}

#[test]
fn every_format_holds_the_same_places() {
    let book = Book::new();
    let said = |format| book.plan(&["--frame", "0.25", "--format", format]).expect_status(0).said;
    let collection: FeatureCollection = said("geojson").parse().unwrap();
    let mut places: Vec<String> = Vec::new();
    for feature in collection.features {
        let point: geo::Point = feature.geometry.unwrap().try_into().unwrap();
        places.push(format!("{:.6} {:.6}", point.x(), point.y()));
    }
    assert_eq!(places.len(), 12);
    let gpx = gpx::read(said("gpx").as_bytes()).unwrap();
    let waypoint = |point: &gpx::Waypoint| {
        let point = point.point();
        format!("{:.6} {:.6}", point.x(), point.y())
    };
    assert_eq!(gpx.waypoints.iter().map(waypoint).collect::<Vec<_>>(), places);
    let names: Vec<&str> = gpx.waypoints.iter().filter_map(|w| w.name.as_deref()).collect();
    assert_eq!((names[0], names[11]), ("01", "12"));
    let csv = said("csv");
    let mut rows = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(csv.as_bytes());
    let rows: Vec<String> = rows
        .records()
        .map(|row| row.unwrap())
        .map(|row| format!("{} {}", &row[3], &row[4]))
        .collect();
    assert_eq!(rows, places);
    let table = said("table");
    assert!(places.iter().all(|place| {
        let (lon, lat) = place.split_once(' ').unwrap();
        table.contains(lon) && table.contains(lat)
    }));
}

#[test]
fn a_plan_is_filled_in_and_loaded_as_a_survey() {
    let book = Book::new();
    let csv = book.plan(&["--frame", "0.25", "--format", "csv"]).expect_status(0).said;
    fs::write(book.path("empty.csv"), &csv).unwrap();
    let problem = book.run(&["load", "empty.csv"]).expect_status(2).problem;
    assert!(problem.contains("`by`") && problem.contains("nothing was recorded"), "{problem}");

    let filled = csv.replace("marsh/bank,,,", "marsh/bank,2027-03-01,Ana,");
    let filled = filled.replace(",0.25,,", ",0.25,30,");
    fs::write(book.path("filled.csv"), filled).unwrap();
    book.run(&["load", "filled.csv", "--on", "2027-06-01"]).expect_status(0);
    let history = book.run(&["history", "bank"]).expect_status(0).said;
    assert!(history.contains("survey"), "{history}");
    let check = book.run(&["check", "bank", "--on", "2027-03-02"]).said;
    assert!(check.contains("12 quadrats"), "{check}");
}

#[test]
fn counted_plants_are_drawn_by_number_and_loaded_too() {
    let book = Book::new();
    let grove = |rest: &[&str]| {
        book.run(&[&["survey", "plan", "grove", "--quadrats", "4", "--seed", "7"], rest].concat())
    };
    let said = grove(&[]).expect_status(0).said;
    assert!(said.starts_with("4 plants on marsh/grove, random, seed 7\n\nnumbers "), "{said}");
    let csv = grove(&["--format", "csv"]).expect_status(0).said;
    let filled = csv.replace("marsh/grove,,,", "marsh/grove,2027-06-01,Ana,");
    let filled = filled.replace("Ana,,,,,", "Ana,,,,30,");
    fs::write(book.path("grove.csv"), &filled).unwrap();
    book.run(&["load", "grove.csv", "--on", "2027-06-01"]).expect_status(0);
    let problem = grove(&["--format", "gpx"]).expect_status(2).problem;
    assert!(problem.contains("counted, not mapped"), "{problem}");
}

#[test]
fn what_cannot_be_planned_is_refused_with_the_way_out() {
    let book = Book::new();
    for (rest, said) in [
        (&["--quadrats", "1"][..], "write a number from 2 to 1000"),
        (&["--quadrats", "-3"], "is not a whole number"),
        (&["--design", "zigzag"], "write `random`, `stratified` or `systematic`"),
        (&["--seed", "1", "--format", "csv"], "like `--frame 0.25`"),
        (&["--frame", "0"], "is not an area"),
        (&["--frame", "NaN"], "is not a number"),
        (&["--start", "54,-3,1"], "is not a place"),
    ] {
        let answer = book.run(&[&["survey", "plan", "bank"], rest].concat()).expect_status(2);
        assert!(answer.problem.contains(said), "{}", answer.problem);
    }
    let problem = book.run(&["survey", "plan", "bamk"]).expect_status(2).problem;
    assert!(problem.contains("did you mean `bank`?"), "{problem}");
}

#[test]
fn a_survey_is_still_recorded_by_naming_its_patch() {
    let book = Book::new();
    let typed = ["survey", "bank", "31", "18", "40", "--frame", "0.25", "--by", "Ana"];
    book.run(&[&typed[..], &["--on", "2027-03-01"]].concat()).expect_status(0);
    // What holds for every command may stand anywhere.
    book.run(&["survey", "--on", "2027-03-01", "advise"]).expect_status(0);
    book.run(&["survey", "bank", "--by", "Ana", "advise"]).expect_status(2);
    book.run(&["survey", "bank", "31", "advise"]).expect_status(2);
    let nothing = book.run(&["survey"]).expect_status(2).problem;
    assert!(nothing.contains("<PATCH>"), "{nothing}");
}

#[test]
fn advice_is_given_in_each_format_and_by_site_and_crop() {
    let book = Book::new();
    let said = |rest: &[&str]| {
        book.run(&[&["survey", "advise", "--on", "2027-04-01"], rest].concat())
            .expect_status(0)
            .said
    };
    // Nothing is permitted yet.
    assert!(said(&[]).contains("2 patches could not be cut within 60 days"), "{}", said(&[]));
    let permissions = "site,basis,from,by\nmarsh,spoken,2027-01-01,Ana\n";
    fs::write(book.path("permissions.csv"), permissions).unwrap();
    book.run(&["load", "permissions.csv"]).expect_status(0);
    assert!(said(&["--site", "marsh"]).contains("never surveyed"), "{}", said(&[]));
    assert!(said(&["--format", "json", "--precision", "0.1"]).contains("\"precision\": 0.1"));
    assert!(said(&["--format", "csv", "--crop", "nettle-tops"]).contains("marsh,bank,nettle-tops"));
    for (bad, problem) in [("0%", "is not a precision"), ("many", "is not a precision")] {
        let answer = book.run(&["survey", "advise", "--precision", bad]).expect_status(2);
        assert!(answer.problem.contains(problem), "{}", answer.problem);
    }
}

#[test]
fn the_help_of_each_shows_examples() {
    let book = Book::new();
    for name in ["plan", "advise"] {
        let help = book.run(&["survey", name, "--help"]).expect_status(0).said;
        assert!(help.contains(&format!("  stintbook survey {name}")), "{help}");
    }
}
