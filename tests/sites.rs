//! The demo's own data under `sites/`: whole, plausible and on nobody's land.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use geo::{BoundingRect, Geometry, Intersects, Rect, Validation};
use geojson::{Feature, FeatureCollection};
use jiff::civil::{Date, date};

use stintbook::catalogue::Catalogue;
use stintbook::records::{CropField, Habit};

/// Open sea: the nearest land lies near longitude -10.3.
const OPEN_SEA: [(f64, f64); 2] = [(-12.5, 53.0), (-12.2, 53.2)];
const TODAY: Date = date(2027, 3, 15);

fn text(file: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sites").join(file);
    fs::read_to_string(path).expect("a file of the demo")
}

fn features() -> Vec<Feature> {
    let files = ["estate.geojson", "shore.geojson", "commons.geojson"];
    let read = |file| text(file).parse::<FeatureCollection>().expect("a collection").features;
    files.into_iter().flat_map(read).collect()
}

fn property<'f>(feature: &'f Feature, name: &str) -> &'f str {
    feature.property(name).and_then(|value| value.as_str()).unwrap_or_default()
}

fn patches() -> Vec<Feature> {
    features().into_iter().filter(|feature| property(feature, "kind") == "patch").collect()
}

fn shape(feature: &Feature) -> Geometry {
    let geometry = feature.geometry.clone().expect("a feature with a geometry");
    geometry.try_into().expect("a shape")
}

/// The rows of a CSV, each field by its column's name.
fn rows(file: &str) -> Vec<csv::StringRecord> {
    let text = text(file);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let rows: Vec<_> = reader.records().map(|row| row.expect("a row")).collect();
    assert!(!rows.is_empty(), "{file} has no row");
    std::iter::once(header).chain(rows).collect()
}

fn column(file: &str, name: &str) -> Vec<String> {
    let rows = rows(file);
    let index = rows[0].iter().position(|column| column == name).expect("a column of that name");
    rows[1..].iter().map(|row| row[index].to_owned()).collect()
}

#[test]
fn the_patches_cover_every_habit_and_the_catalogue_knows_their_crops() {
    let patches = patches();
    assert_eq!(patches.len(), 28);
    let crops: BTreeSet<&str> = patches.iter().map(|patch| property(patch, "crop")).collect();
    let known = crops.iter().map(|crop| Catalogue::built_in().crop(crop).expect("a known crop"));
    let habits: Vec<Habit> = known.map(|crop| crop.habit).collect();
    assert!(Habit::ALL.into_iter().all(|habit| habits.contains(&habit)));
}

#[test]
fn every_shape_is_sound_and_lies_on_open_sea() {
    let sea = Rect::new(OPEN_SEA[0], OPEN_SEA[1]);
    // What is a patch no longer has no shape.
    let retired =
        |feature: &Feature| feature.geometry.is_none() && property(feature, "kind") == "redraw";
    for feature in features().into_iter().filter(|feature| !retired(feature)) {
        let (name, shape) = (property(&feature, "name").to_owned(), shape(&feature));
        assert!(shape.is_valid(), "{name}");
        let bounds = shape.bounding_rect().expect("a shape with bounds");
        let inside = [bounds.min(), bounds.max()].iter().all(|corner| sea.intersects(corner));
        assert!(inside, "{name} is not where it should be");
    }
}

#[test]
fn every_row_names_a_patch_that_is_mapped() {
    let named =
        |patch: &Feature| format!("{}/{}", property(patch, "site"), property(patch, "name"));
    let known: BTreeSet<String> = patches().iter().map(named).collect();
    for file in ["surveys.csv", "glances.csv", "cuts.csv", "corrections/cuts.csv"] {
        for patch in column(file, "patch").into_iter().filter(|patch| !patch.is_empty()) {
            assert!(known.contains(&patch), "{file}: {patch}");
        }
    }
}

#[test]
fn nothing_is_recorded_after_the_day_of_the_demo_or_before_it_happened() {
    for file in ["surveys.csv", "glances.csv", "cuts.csv", "corrections/cuts.csv"] {
        for (happened, recorded) in column(file, "date").iter().zip(column(file, "recorded_on")) {
            let happened: Date = happened.parse().expect("a day");
            let recorded: Date = recorded.parse().expect("a day");
            assert!(happened <= recorded && recorded <= TODAY, "{file}: {happened}, {recorded}");
        }
    }
}

#[test]
fn what_the_demo_knows_better_fits_the_crop() {
    let (crops, fields) = (column("overrides.csv", "crop"), column("overrides.csv", "field"));
    for (index, value) in column("overrides.csv", "value").iter().enumerate() {
        let mut crop = (**Catalogue::built_in().crop(&crops[index]).expect("a crop")).clone();
        let field: CropField = fields[index].parse().expect("a field of a crop");
        assert_eq!(crop.set(field, value, "our own record"), Ok(()));
    }
}

#[test]
fn what_was_cut_on_a_walk_was_cut_on_its_day() {
    let days = column("walks.csv", "walk").into_iter().zip(column("walks.csv", "day"));
    let mut days: BTreeMap<String, String> = days.collect();
    assert_eq!(days.len(), 10);
    // One was moved.
    let moved = column("corrections/walks.csv", "walk");
    days.extend(moved.into_iter().zip(column("corrections/walks.csv", "day")));
    for file in ["cuts.csv", "corrections/cuts.csv"] {
        let cuts = column(file, "walk").into_iter().zip(column(file, "date"));
        for cut in cuts.filter(|(walk, _)| !walk.is_empty()) {
            assert_eq!(days.get(&cut.0), Some(&cut.1), "{file}: {cut:?}");
        }
    }
}
