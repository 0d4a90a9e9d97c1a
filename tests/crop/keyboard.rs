//! Surveys typed at the keyboard, each way of measuring, and what `check` then says.

use std::path::Path;
use std::process::Command;

use stintbook::book::{Book, Scope};
use stintbook::records::{Counted, Kind, Placement, Record, Survey, SurveyMethod};

const PLACES: &str = r#"{"type":"FeatureCollection","by":"Ada","date":"2026-01-05",
    "recorded_on":"2026-01-05","features":[
    {"type":"Feature","properties":{"kind":"site","name":"holm"},"geometry":{"type":"Polygon",
    "coordinates":[[[-20,47],[-19.9,47],[-19.9,47.1],[-20,47.1],[-20,47]]]}},
    {"type":"Feature","properties":{"kind":"patch","name":"bank","site":"holm",
    "crop":"nettle-tops","width_m":2},
    "geometry":{"type":"LineString","coordinates":[[-19.95,47.05],[-19.95,47.051]]}}]}"#;

fn stintbook(folder: &Path, asked: &[&str]) -> (String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .current_dir(folder)
        .args(["--book", "book.sqlite", "--on", "2027-03-15"])
        .args(asked)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

fn with_one_patch() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    Book::create(&folder.path().join("book.sqlite")).unwrap();
    std::fs::write(folder.path().join("places.geojson"), PLACES).unwrap();
    let (_, problems) = stintbook(folder.path(), &["load", "places.geojson"]);
    assert_eq!(problems, "");
    folder
}

fn surveys(folder: &Path) -> Vec<Survey> {
    let book = Book::open(&folder.join("book.sqlite")).unwrap();
    let lines = book.history(&Scope::All).unwrap().into_iter();
    let records = lines.map(|line| line.fact.record).filter(|it| it.kind() == Kind::Survey);
    let survey = |record| match record {
        Record::Survey(survey) => survey,
        other => panic!("{other:?} is no survey"),
    };
    records.map(survey).collect()
}

#[test]
fn every_way_of_measuring_can_be_typed() {
    let folder = with_one_patch();
    let ways: [&[&str]; 6] = [
        &["31", "18", "40", "--frame", "0.25", "--placed", "drawn: by lot"],
        &["50", "70", "66", "--length", "2", "--placed", "by choice"],
        &["--judged", "30=27 45 20=21 10=8", "--frame", "0.25"],
        &["--units", "3 1.5 2", "--unit", "handful", "--unit-grams", "41 36", "--length", "2"],
        &["--units-in-all", "140", "--unit", "rosette", "--unit-grams", "41 36 38"],
        &["--cover", "D F D", "--scale", "D 75-100; F 25-50", "--full-cover", "900 1100 1000 950"],
    ];
    for way in ways {
        let asked = [&["survey", "bank", "--by", "Ida"], way].concat();
        let (said, problems) = stintbook(folder.path(), &asked);
        assert!(said.starts_with("Recorded as "), "{way:?}: {said}{problems}");
    }
    let surveys = surveys(folder.path());
    let placements: Vec<_> = surveys.iter().map(|survey| survey.placement.clone()).collect();
    assert_eq!(
        placements[..3],
        [Placement::Drawn { plan: Some("by lot".into()) }, Placement::ByChoice, Placement::NotSaid]
    );
    let counts = surveys.iter().map(|survey| match &survey.method {
        SurveyMethod::Quadrats(strata) => (strata[0].quadrats.len(), 0),
        SurveyMethod::Judged(judged) => {
            let measured = judged.quadrats.iter().filter(|one| one.measured.is_some());
            (judged.quadrats.len(), measured.count())
        }
        SurveyMethod::Units(units) => match &units.counted {
            Counted::InAll(_) => (1, units.weighings.len()),
            Counted::Sampled(strata) => (strata[0].quadrats.len(), units.weighings.len()),
        },
        SurveyMethod::Cover(cover) => (cover.quadrats.len(), cover.full_cover.len()),
    });
    assert_eq!(counts.collect::<Vec<_>>(), [(3, 0), (3, 0), (4, 3), (3, 2), (1, 3), (3, 4)]);
}

#[test]
fn check_says_how_the_number_was_found_and_who_chose_the_places() {
    let folder = with_one_patch();
    for (way, told) in [
        (
            &["--judged", "30=27 45 20=21 10=8", "--frame", "0.25"][..],
            "4 judged by eye are put right by 3 measured ones, by",
        ),
        (
            &["50", "70", "66", "--length", "2", "--placed", "by choice"],
            "quadrats placed by choice: the estimate is divided by 1.15",
        ),
    ] {
        stintbook(folder.path(), &[&["survey", "bank", "--by", "Ida"], way].concat());
        let (said, problems) = stintbook(folder.path(), &["check", "bank", "--full"]);
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(told), "{said}{problems}");
    }
}

#[test]
fn what_is_typed_wrongly_is_refused_with_the_way_out() {
    let folder = with_one_patch();
    for (way, told) in [
        (&[][..], "nothing was measured; write what stood in each quadrat, like `31 18 40`"),
        (&["5", "--cover", "30"], "cannot be used with"),
        (&["--units", "3 4"], "--unit <NAME>"),
        (&["--judged", "30=27 45 20", "--frame", "1"], "expected 3 or more of them measured"),
        (&["--cover", "D", "--scale", "DAFOR"], "DAFOR has no one standard"),
        (&["5", "6", "--placed", "where it grew"], "does not say who chose the places"),
    ] {
        let asked = [&["survey", "bank", "--by", "Ida"], way].concat();
        let (said, problems) = stintbook(folder.path(), &asked);
        assert_eq!(said, "", "{way:?}");
        assert!(problems.contains(told), "{way:?}: {problems}");
    }
    assert!(surveys(folder.path()).is_empty());
}
