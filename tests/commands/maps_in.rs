//! `bring` of maps: shown first, asked about, recorded once, and nothing guessed.

use crate::hill::PERMISSION;
use crate::maps_out::{as_others_read, python};
use crate::said::has;
use crate::trial::Trial;

/// A walk round a square of 44 m by 44 m on the hill, with one position astray.
const ROUND: &str = r#"<gpx version="1.1"><trk><name>Miller’s nook (west)</name><trkseg>
<trkpt lat="48.0010" lon="-19.9990"><time>2021-03-01T10:00:00Z</time></trkpt><trkpt lat="48.0011" lon="-19.9990"/>
<trkpt lat="48.0012" lon="-19.9990"/><trkpt lat="48.0014" lon="-19.9990"/><trkpt lat="48.0014" lon="-19.9988"/>
<trkpt lat="48.0014" lon="-19.9986"/><trkpt lat="48.0054" lon="-19.9986"/><trkpt lat="48.0014" lon="-19.9984"/>
<trkpt lat="48.0012" lon="-19.9984"/><trkpt lat="48.0010" lon="-19.9984"/><trkpt lat="48.0010" lon="-19.9986"/>
<trkpt lat="48.0010" lon="-19.99895"/></trkseg></trk></gpx>"#;

const TOLD: &str = "--as patch --site Hill --crop nettle-tops --by Ida";

#[test]
fn a_closed_track_becomes_ground_and_is_recorded_once() {
    let trial = Trial::on_hill();
    trial.write("round.gpx", ROUND);
    let before = trial.history();
    has(
        &trial.run("bring round.gpx").wrong(),
        &["does not say what it is", "--layer \"tracks=patch\""],
    );
    let shown = trial.run(&format!("bring round.gpx {TOLD}")).done();
    has(&shown, &["1 stray position dropped", "closed, its ends 4 m apart", "Miller's nook west"]);
    // 44.5 m north by 44.8 m east: degrees of latitude and longitude at 48°.
    has(&shown, &["2021-03-01", "ground of 1991 m²", "--yes records it"]);
    assert_eq!(trial.history(), before);
    has(&trial.run(&format!("bring round.gpx {TOLD} --yes")).done(), &["1 patch"]);
    has(&trial.history(), &["Miller's nook west"]);
    has(
        &trial.run(&format!("bring round.gpx {TOLD} --yes")).done(),
        &["nothing new; 1 known already"],
    );
}

#[test]
fn an_open_track_asks_for_a_width_and_a_waypoint_for_a_radius() {
    let trial = Trial::on_hill();
    trial.write(
        "hedge.gpx",
        r#"<gpx><wpt lat="48.002" lon="-19.998"><name>Clump</name></wpt><rte><name>Hedge</name>
        <rtept lat="48.003" lon="-19.998"/><rtept lat="48.003" lon="-19.995"/></rte></gpx>"#,
    );
    let told = format!("{TOLD} --set-down 2021-03-01");
    let asked = trial.run(&format!("bring hedge.gpx {told}")).wrong();
    has(&asked, &["radius round its point; say `--radius 3m`"]);
    has(&asked, &["width of its line; say `--width 2m`"]);
    has(
        &trial.run(&format!("bring hedge.gpx {told} --width 2m --radius 3m --yes")).done(),
        &["2 patches"],
    );
}

#[test]
fn hostile_maps_are_refused_in_a_sentence() {
    let trial = Trial::on_hill();
    let before = trial.history();
    trial.write("laughs.kml", "<!DOCTYPE a [<!ENTITY b \"bb\">]><kml>&b;</kml>");
    trial.write("deep.kml", format!("<kml><Placemark>{}", "<MultiGeometry>".repeat(50_000)));
    trial.write("cut.shp", [0, 0, 0x27, 0x0a]);
    trial.write("cut.gpkg", b"SQLite format 3\0");
    trial.write("cut.kmz", b"PK\x03\x04");
    trial.write("deep.geojson", "[".repeat(100_000));
    let line = |position: &str| {
        format!("{{\"type\": \"LineString\", \"coordinates\": [[-20, 48], {position}]}}")
    };
    trial.write("half.geojson", line("[-20]"));
    trial.write("none.geojson", line("[]"));
    for (file, why) in [
        ("laughs.kml", "document type"),
        ("deep.kml", "no sound XML"),
        ("cut.shp", "`.prj`"),
        ("cut.gpkg", "GeoPackage"),
        ("cut.kmz", "cannot be unpacked"),
        ("deep.geojson", "no JSON"),
        ("half.geojson", "a position is two numbers or more"),
        ("none.geojson", "a position is two numbers or more"),
    ] {
        has(&trial.run(&format!("bring {file} --yes")).wrong(), &[file, why]);
    }
    assert_eq!(trial.history(), before);
}

#[test]
fn what_left_as_a_map_comes_back_as_nothing_new_by_way_of_other_programs_too() {
    let trial = Trial::on_hill();
    trial.load("permissions.csv", PERMISSION).done();
    for format in ["gpkg", "kml", "geojson"] {
        trial.run(&format!("export {format} --whole --format {format}")).done();
        let said = trial.run(&format!("bring {format}/map.{format} --yes")).done();
        has(&said, &["nothing new; 4 known already"]);
    }
    let Some(python) = python() else { return };
    for (from, to) in [("gpkg/map.gpkg", "anew.kml"), ("kml/map.kml", "anew.gpkg")] {
        as_others_read(&python, &trial, &[from, "to", to]);
        has(&trial.run(&format!("bring {to} --yes")).done(), &["nothing new; 4 known already"]);
    }
}
