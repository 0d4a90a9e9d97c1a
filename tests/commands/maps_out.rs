//! `export --format` and `week --format geojson`: what leaves as a map, read as others read it.

use std::process::Command;

use geo::{Centroid, Geometry};
use geojson::FeatureCollection;
use serde_json::Value;

use crate::hill::{LIFTED, SOUTH, SURVEY, WEST, patch, patch_with, places, site};
use crate::said::{Said, has};
use crate::trial::Trial;

const ON: &str = "--on 2021-03-15";

const WAYS: &str = r#"{"type": "FeatureCollection", "by": "Ida", "date": "2020-01-02", "features": [
 {"type": "Feature", "properties": {"kind": "zone", "name": "edge & \"verge\"", "site": "Hill", "buffer_m": 2, "reason": "dogs", "recorded_on": "2020-01-02"},
  "geometry": {"type": "LineString", "coordinates": [[-20.0,48.002],[-19.995,48.002]]}},
 {"type": "Feature", "properties": {"kind": "landmark", "name": "lower gate", "site": "Hill", "what": "gate", "note": "tied with string", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Point", "coordinates": [-19.999, 48.0005]}}
]}"#;

fn hill() -> Trial {
    let trial = Trial::with_book();
    let stand = patch_with(
        "Lane",
        "nettle-tops",
        ", \"width_m\": 2, \"note\": \"ask Mr Holt\"",
        &format!(
            "{{\"type\": \"LineString\", \"coordinates\": [[{WEST},{SOUTH}],[{},{SOUTH}]]}}",
            WEST + 0.001
        ),
    );
    let site = site().replace("\"Hill\"", "\"Hill\", \"occupier\": \"Mr Holt\"");
    let features = [site, patch("Bank", "nettle-tops", 1), patch("Wood", "ramsons-leaf", 5), stand];
    trial.write("ways.geojson", WAYS.replace("edge & \\\"verge\\\"", "edge"));
    trial.write("permissions.csv", LIFTED).write("surveys.csv", SURVEY);
    trial.write("places.geojson", places(&features));
    trial.run("load places.geojson ways.geojson permissions.csv surveys.csv").done();
    trial
}

/// The features of a GeoJSON export, by kind and name.
fn exported(trial: &Trial, more: &str) -> FeatureCollection {
    trial.run(&format!("export out --format geojson {ON} {more}")).done();
    trial.read("out/map.geojson").parse().unwrap()
}

fn named<'c>(map: &'c FeatureCollection, name: &str) -> &'c geojson::Feature {
    let is_named = |feature: &&geojson::Feature| feature.property("name").unwrap() == name;
    map.features.iter().find(is_named).unwrap()
}

fn text<'f>(feature: &'f geojson::Feature, name: &str) -> &'f str {
    feature.property(name).and_then(Value::as_str).unwrap_or_else(|| panic!("no `{name}`"))
}

#[test]
fn a_map_tells_of_each_place_what_it_is_and_of_a_patch_what_may_be_cut() {
    let map = exported(&hill(), "");
    assert_eq!(map.features.len(), 6);
    let bank = named(&map, "Bank");
    assert_eq!(text(bank, "verdict"), "open");
    // Of 30 g in a quarter of a square metre on some 332 m² a half may be cut, a little less at
    // the low bound; terminal and map name the same amount.
    let most = bank.property("most_g").and_then(Value::as_f64).unwrap();
    assert!((5_000.0..20_000.0).contains(&most), "{most}");
    assert_eq!(most, most.round(), "no finer than it is known");
    let spoken = format!("at most {:.1} kg", most / 1000.0);
    has(text(bank, "about"), &["Common nettle", "open on 15 Mar 2021,", &spoken, "1 in"]);
    has(text(bank, "about"), &["This tool does not identify plants."]);
    assert_eq!(text(bank, "title"), "Bank: open");
    assert_eq!(text(named(&map, "Wood"), "verdict"), "not known");
    assert_eq!(named(&map, "Lane").property("width_m").and_then(Value::as_f64), Some(2.0));
    has(text(named(&map, "edge"), "about"), &["Nothing is cut here: dogs.", "reaches 2 m beyond"]);
    has(text(named(&map, "lower gate"), "about"), &["gate: tied with string"]);
}

#[test]
fn a_map_for_others_names_nobody_and_no_fact_and_one_for_the_keeper_does() {
    let trial = hill();
    let said = trial.run(&format!("export others --format kml {ON}")).done();
    has(&said, &["Written: others/map.kml", "Left out", "occupiers"]);
    trial.run(&format!("export own --format kml --whole {ON}")).done();
    let (others, own) = (trial.read("others/map.kml"), trial.read("own/map.kml"));
    for private in ["Ida", "Holt", "fact"] {
        assert!(!others.contains(private), "{private}");
        assert!(own.contains(private), "{private}");
    }
    assert!(others.contains("person 1"));
}

#[test]
fn ids_stay_the_same_from_day_to_day_and_are_no_numbers() {
    let trial = hill();
    let ids = |day: &str, folder: &str| -> Vec<String> {
        trial.run(&format!("export {folder} --format geojson --on {day}")).done();
        let map: FeatureCollection = trial.read(&format!("{folder}/map.geojson")).parse().unwrap();
        let id = |feature: &geojson::Feature| match &feature.id {
            Some(geojson::feature::Id::String(id)) => id.clone(),
            other => panic!("{other:?}"),
        };
        map.features.iter().map(id).collect()
    };
    let first = ids("2021-03-15", "first");
    assert!(
        first.contains(&"patch/Hill/Bank".to_owned()) && first.contains(&"site/Hill".to_owned())
    );
    assert!(first.iter().all(|id| id.parse::<f64>().is_err()));
    assert_eq!(ids("2021-06-15", "second"), first);
}

#[test]
fn a_week_as_a_map_has_shapes_boundary_and_no_take_ground_and_figures_as_far_as_known() {
    let trial = hill();
    let week: FeatureCollection =
        trial.run(&format!("week --format geojson {ON}")).done().parse().unwrap();
    let shape =
        |name: &str| Geometry::try_from(named(&week, name).geometry.clone().unwrap()).unwrap();
    assert!(matches!(shape("Hill"), Geometry::MultiPolygon(_)));
    assert!(matches!(shape("edge"), Geometry::LineString(_)));
    assert!(matches!(shape("Lane"), Geometry::MultiLineString(_)));
    let Geometry::MultiPolygon(bank) = shape("Bank") else { panic!("no ground") };
    let middle: geo::Point = bank.centroid().unwrap();
    assert!(
        (middle.x() - (WEST + 0.0011)).abs() < 1e-9 && (middle.y() - (SOUTH + 0.0051)).abs() < 1e-9
    );
    let members = week.foreign_members.as_ref().unwrap();
    has(members["title"].as_str().unwrap(), &["Week 2021-W11", "15 Mar 2021"]);
    let json: Value =
        serde_json::from_str(&trial.run(&format!("week --format json {ON}")).done()).unwrap();
    let open = &json["patches"][0];
    assert_eq!(open["patch"], "Bank");
    let exact = open["most_g"].as_f64().unwrap();
    let bank = named(&week, "Bank");
    let most = bank.property("most_g").and_then(Value::as_f64).unwrap();
    assert!(most <= exact && most > exact - 100.0, "{most} of {exact}");
    assert_ne!(most, exact, "figures of a map are rounded");
    assert_eq!(
        bank.id,
        Some(geojson::feature::Id::String(open["id"].as_str().unwrap().to_owned()))
    );
    let others = week.to_string();
    assert!(!others.contains("Ida") && !others.contains("Holt"), "{others}");
}

#[test]
fn a_patch_is_drawn_as_it_stands_on_the_day_and_a_retired_one_not_at_all() {
    let trial = hill();
    trial.run("retire Hill/Wood --why built --by Ida --on 2021-04-01").done();
    let patches = |day: &str| {
        let week = trial.run(&format!("week --format geojson --on {day}")).done();
        let week: FeatureCollection = week.parse().unwrap();
        week.features.iter().filter(|feature| feature.property("kind").unwrap() == "patch").count()
    };
    assert_eq!((patches("2021-03-31"), patches("2021-04-02")), (3, 2));
}

#[test]
fn an_export_of_one_site_leaves_the_others_out_and_nothing_is_written_over() {
    let trial = hill();
    trial.run(&format!("export one --format gpx --site hil {ON}")).done();
    let gpx = trial.read("one/map.gpx");
    assert_eq!(gpx.matches("<wpt").count(), 6);
    // Whoever names a file gets that one.
    has(&trial.run(&format!("export maps/day.gpx --format gpx {ON}")).done(), &["maps/day.gpx"]);
    has(&trial.run(&format!("export day.gpx --format gpx {ON}")).done(), &["Written: ./day.gpx"]);
    assert_eq!(trial.read("day.gpx"), trial.read("maps/day.gpx"));
    trial.run(&format!("export day.gpx --format gpx {ON}")).wrong();
    has(
        &trial.run(&format!("export one --format gpx {ON}")).wrong(),
        &["one/map.gpx", "empty folder"],
    );
    has(&trial.run(&format!("export two --format gpx --site down {ON}")).wrong(), &["down"]);
}

/// The offsets and values are those of OGC 12-128r18, 1.1.1.1.1 and 2.1.3.
#[test]
fn a_geopackage_says_what_it_is_and_keeps_its_shapes_behind_the_header_of_the_standard() {
    let trial = hill();
    trial.run(&format!("export out --format gpkg {ON}")).done();
    let bytes = std::fs::read(trial.path("out/map.gpkg")).unwrap();
    assert_eq!(&bytes[..16], b"SQLite format 3\0");
    assert_eq!(&bytes[68..72], b"GPKG");
    assert_eq!(u32::from_be_bytes(bytes[60..64].try_into().unwrap()), 10300);
    let file = rusqlite::Connection::open(trial.path("out/map.gpkg")).unwrap();
    let layers: Vec<String> = file
        .prepare("SELECT table_name FROM gpkg_contents ORDER BY rowid")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(layers, ["sites", "zones", "patches", "landmarks"]);
    has(&trial.history(), &["zone by Ida: edge on Hill"]);
    let gate: Vec<u8> = file.query_row("SELECT geom FROM landmarks", [], |row| row.get(0)).unwrap();
    assert_eq!(&gate[..8], b"GP\0\x01\xe6\x10\0\0");
    // A point: little-endian, kind 1, then longitude and latitude.
    assert_eq!(&gate[8..13], b"\x01\x01\0\0\0");
    assert_eq!(f64::from_le_bytes(gate[13..21].try_into().unwrap()), -19.999);
    assert_eq!(f64::from_le_bytes(gate[21..29].try_into().unwrap()), 48.0005);
    let bank: Vec<u8> = file
        .query_row("SELECT geom FROM patches WHERE name = 'Bank'", [], |row| row.get(0))
        .unwrap();
    assert_eq!(bank[3], 0b11, "four bounds stand before ground");
    assert_eq!(f64::from_le_bytes(bank[8..16].try_into().unwrap()), WEST + 0.001);
    let check: String = file.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(check, "ok");
}

/// Whether there is a Python with GDAL's readers: STINTBOOK_PYTHON, or the one on the path.
pub fn python() -> Option<String> {
    let python = std::env::var("STINTBOOK_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let asked = Command::new(&python).args(["-c", "import geopandas, pyogrio"]).output();
    let found = asked.is_ok_and(|asked| asked.status.success());
    if !found {
        println!(
            "skipped: `{python}` has no geopandas and pyogrio (pip install geopandas pyogrio)"
        );
    }
    found.then_some(python)
}

pub fn as_others_read(python: &str, trial: &Trial, words: &[&str]) -> Said {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/maps/as_others_read.py");
    Said::by(Command::new(python).arg(script).args(words).current_dir(trial.path("")))
}

#[test]
fn other_programs_open_every_map() {
    let Some(python) = python() else { return };
    let trial = hill();
    for format in ["gpkg", "kml", "gpx", "geojson"] {
        trial.run(&format!("export {format} --format {format} {ON}")).done();
    }
    let files = ["gpkg/map.gpkg", "kml/map.kml", "gpx/map.gpx", "geojson/map.geojson"];
    let told: Value = serde_json::from_str(&as_others_read(&python, &trial, &files).out).unwrap();
    for (file, features) in files.into_iter().zip([6, 6, 11, 6]) {
        let layers = told[file].as_array().unwrap();
        let layers = layers.iter().filter(|layer| layer["layer"] != "track_points");
        let mut found = 0;
        for layer in layers {
            assert_eq!(layer["system"], "EPSG:4326", "{file}: {layer}");
            assert_eq!(layer["valid"], true, "{file}: {layer}");
            found += layer["features"].as_u64().unwrap();
        }
        assert_eq!(found, features, "{file}");
    }
}
