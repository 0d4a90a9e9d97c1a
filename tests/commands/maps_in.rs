//! `bring` of maps: shown first, asked about, recorded once, and nothing guessed.

use std::process::Command;

use stintbook::maps::{self, Source};

use crate::bringing::at_a_terminal;
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

/// Two layers, of which nothing says what they are.
const TWO_LAYERS: &str = r#"<gpx><wpt lat="48.002" lon="-19.998"><name>Stile</name></wpt>
<wpt lat="48.0021" lon="-19.998"><name>Old stile</name></wpt>
<trk><name>Hedge</name><trkseg><trkpt lat="48.003" lon="-19.998"/><trkpt lat="48.003" lon="-19.995"/></trkseg></trk></gpx>"#;

#[test]
fn at_a_terminal_an_unclear_map_is_asked_about_in_turn_and_the_next_of_its_shape_is_not() {
    let trial = Trial::on_hill();
    trial.write("march.gpx", TWO_LAYERS);
    let replies = "soup\n1\nLandmark\ngate\nHill\nno such crop\nnettle-tops\n-1\n2,5 m\nIda\n\
                   15/3/2021\n2021-03-15\nyes\n";
    let Some(shown) = at_a_terminal(&trial, "bring march.gpx", replies) else { return };
    has(&shown, &["march.gpx: 3 features", "1. 1 feature of layer `tracks`", "2. 2 features of"]);
    has(&shown, &["what is it: 1=patch, 2=zone, 3=landmark", "6=none?", "does not answer it"]);
    has(&shown, &["on which site?", "`no such crop`", "which crop?", "how wide in full"]);
    has(
        &shown,
        &["2021-03-15", "2.5 m", "Record it? yes or no:", "1 patch, 2 landmarks", "kept in"],
    );
    let typed = shown.replace("? ", "?\n");
    assert!(typed.lines().all(|line| line.chars().count() <= 80), "{shown}");
    has(&trial.history(), &["Old stile, gate", "Hill/Hedge, nettle-tops"]);
    let later = later(TWO_LAYERS, "").replace("48.00", "48.01").replace("tile<", "tile, April<");
    trial.write("april.gpx", later.replace("Hedge", "April hedge"));
    let shown = at_a_terminal(&trial, "bring april.gpx", "2021-04-15\nno\n").unwrap();
    has(&shown, &["1. 3 features lack a day", "read as kept in", "Record it? yes or no:"]);
    assert!(!shown.contains("what is it"), "{shown}");
    assert!(!trial.history().contains("April hedge"));
    let before = trial.history();
    let shown = at_a_terminal(&trial, "bring march.gpx --layer tracks=none", "").unwrap();
    has(&shown, &["nobody answers; nothing was recorded"]);
    assert_eq!(trial.history(), before);
}

/// What a phone makes in another month: the same sort of file, another walk and another day.
fn later(text: &str, name: &str) -> String {
    let elsewhere = text.replace("-19.998", "-19.996").replace("-19.999", "-19.997");
    elsewhere.replace("Miller’s nook (west)", name).replace("2021-03-01T", "2021-03-08T")
}

#[test]
fn what_was_told_of_a_map_is_kept_for_the_next_of_its_shape_and_gives_way_to_what_is_told() {
    let trial = Trial::on_hill();
    trial.write("march.gpx", ROUND).write("april.gpx", later(ROUND, "East nook"));
    let told = "--layer tracks=patch --site Hill --crop nettle-tops --by Ida";
    trial.run(&format!("bring march.gpx {told}")).done();
    assert!(!trial.path("sites/mappings").exists(), "nothing is kept of what was only shown");
    let said = trial.run(&format!("bring march.gpx {told} --yes")).done();
    has(&said, &["1 patch", "is kept in", "sites/mappings/map-"]);
    let kept = trial.files("sites/mappings");
    assert_eq!(kept.len(), 1);
    let shown = trial.run("bring april.gpx").done();
    has(&shown, &["read as kept in", "layer tracks: patch, site Hill, crop nettle-tops, by Ida"]);
    let other = trial.run("bring april.gpx --crop ramsons-leaf").done();
    has(&other, &["East nook, Hill, ramsons-leaf"]);
    let said = trial.run("bring april.gpx --yes").done();
    has(&said, &["1 patch"]);
    assert!(!said.contains("is kept in"), "nothing new was told");
    has(&trial.history(), &["2021-03-08", "patch by Ida", "East nook"]);
    // Another shape is asked about.
    trial.write("ways.gpx", ROUND.replace("trk", "rte").replace("rteseg>", "extensions>"));
    trial.run("bring ways.gpx").wrong();
    let file = format!("sites/mappings/{}", kept[0]);
    trial.write(&file, trial.read(&file).replace("\"patch\"", "\"soup\""));
    has(&trial.run("bring april.gpx").wrong(), &[&kept[0], "`soup`", "delete it to be asked anew"]);
}

#[test]
fn a_kept_answer_goes_with_a_file_that_is_called_otherwise_and_with_its_system() {
    let trial = Trial::on_hill();
    let hedge = |name: &str, north: u32| {
        format!(
            "{{\"type\": \"Feature\", \"properties\": {{\"label\": \"{name}\"}}, \"geometry\": \
             {{\"type\": \"LineString\", \"coordinates\": [[-19.998, 48.00{north}], [-19.995, 48.00{north}]]}}}}"
        )
    };
    trial.write("hedges-march.geojson", hedge("Long hedge", 2));
    trial.write("hedges-april.geojson", hedge("Short hedge", 3));
    let told = "--layer hedges-march=patch --site Hill --crop sloe --width 2m --by Ida";
    trial.run(&format!("bring hedges-march.geojson {told} --set-down 2021-03-01 --yes")).done();
    // The day is another each time, and is asked.
    has(&trial.run("bring hedges-april.geojson").wrong(), &["a day of being set down"]);
    let said = trial.run("bring hedges-april.geojson --set-down 2021-03-08 --yes").done();
    has(&said, &["1 patch"]);
    has(&trial.history(), &["Short hedge"]);
}

#[test]
fn several_maps_are_recorded_as_one_or_not_at_all() {
    let trial = Trial::on_hill();
    trial.write("one.gpx", ROUND).write("two.gpx", later(ROUND, "East nook"));
    trial.write("three.gpx", later(ROUND, "").replace("<name></name>", ""));
    let before = trial.history();
    let said = trial.run(&format!("bring one.gpx three.gpx {TOLD} --yes")).wrong();
    has(&said, &["three.gpx", "has no name", "(nothing was recorded)"]);
    // What only the gate sees in one keeps the other out too: two patches on one ground.
    trial.write("over.gpx", ROUND.replace("Miller’s nook (west)", "Bank"));
    trial.run(&format!("bring one.gpx over.gpx {TOLD} --yes")).wrong();
    assert_eq!(trial.history(), before);
    assert!(!trial.path("sites/mappings").exists());
    let said = trial.run(&format!("bring one.gpx two.gpx {TOLD} --yes")).done();
    has(&said, &["one.gpx: 1 patch", "two.gpx: 1 patch"]);
}

#[test]
fn a_blurred_map_teaches_a_book_nothing_in_whatever_format() {
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.history();
    for format in ["geojson", "gpkg", "kml"] {
        let folder = format!("blurred-{format}");
        trial.run(&format!("export {folder} --format {format} --blur 1km --on 2021-03-15")).done();
        let ask =
            format!("bring {folder}/map.{format} {TOLD} --set-down 2021-03-15 --radius 3m --yes");
        has(&trial.run(&ask).wrong(), &["was blurred for others", "bring what it was made from"]);
    }
    let week = trial.run("week --format csv --blur 1km --on 2021-03-15").done();
    let said = trial.write("week.csv", week).run("bring week.csv --as glances --yes").wrong();
    has(&said, &["week.csv: it was blurred for others"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn a_map_and_a_table_in_one_command_are_told_apart() {
    let trial = Trial::on_hill();
    trial.write("round.gpx", ROUND).write("cuts.csv", "patch,date,by,mass_g\n");
    let said = trial.run("bring cuts.csv round.gpx").wrong();
    has(&said, &["round.gpx is a map and cuts.csv is a table", "one after the other"]);
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
    if has_gdal() {
        by_way_of_gdal(&trial);
    }
    let Some(python) = python() else { return };
    for (from, to) in [("gpkg/map.gpkg", "anew.kml"), ("kml/map.kml", "anew.gpkg")] {
        as_others_read(&python, &trial, &[from, "to", to]);
        has(&trial.run(&format!("bring {to} --yes")).done(), &["nothing new; 4 known already"]);
    }
}

/// Whether GDAL's own command is there; else it is said.
fn has_gdal() -> bool {
    let asked = Command::new("ogr2ogr").arg("--version").output();
    let found = asked.is_ok_and(|asked| asked.status.success());
    if !found {
        println!("skipped: there is no ogr2ogr (apt-get install gdal-bin)");
    }
    found
}

/// Each format through GDAL into each other that it keeps names and days in, and back. A Shapefile
/// cuts names short, and a KMZ of its making has a file a layer.
fn by_way_of_gdal(trial: &Trial) {
    let mut brought = 0;
    for (from, to, made, features) in [
        ("gpkg", "KML", "a.kml", 4),
        ("gpkg", "LIBKML", "b.kml", 4),
        ("gpkg", "LIBKML", "c.kmz", 4),
        ("kml", "GPKG", "d.gpkg", 4),
        ("geojson", "GPKG", "e.gpkg", 4),
        ("geojson", "GeoJSON", "f.geojsonl", 4),
        ("geojson", "LIBKML", "g.kml", 4),
        ("gpkg", "GeoJSONSeq", "h.geojsonl patches", 3),
        ("kml", "GeoJSON", "i.geojson patches", 3),
        ("gpkg", "ESRI Shapefile", "patches.shp patches", 3),
    ] {
        let file = made.split(' ').next().unwrap();
        let from = format!("{from}/map.{from}");
        let layer = made.split(' ').skip(1);
        let words: Vec<&str> = ["-q", "-f", to, file, &from].into_iter().chain(layer).collect();
        let run =
            Command::new("ogr2ogr").args(&words).current_dir(trial.path("")).output().unwrap();
        // A build of GDAL without that driver is passed over.
        if !trial.path(file).exists() {
            println!("skipped: ogr2ogr {words:?}: {}", String::from_utf8_lossy(&run.stderr));
            continue;
        }
        let said = trial.run(&format!("bring {file} --yes")).done();
        has(&said, &[&format!("nothing new; {features} known already")]);
        brought += 1;
    }
    assert!(brought >= 6, "{brought}");
    // Through metres of a zone (EPSG:32627, 24° to 18° west) and back to degrees.
    let metres = ["-q", "-f", "GPKG", "-t_srs", "EPSG:32627", "metres.gpkg", "gpkg/map.gpkg"];
    Command::new("ogr2ogr").args(metres).current_dir(trial.path("")).output().unwrap();
    has(&trial.run("bring metres.gpkg --yes").done(), &["nothing new; 4 known already"]);
}

/// Made of `drawn.geojson` with GDAL 3.6: with an index, and without one in another system (UTM zone 27).
const FLAT: [&[u8]; 2] = [
    include_bytes!("../fixtures/bring/drawn.fgb"),
    include_bytes!("../fixtures/bring/drawn-in-metres.fgb"),
];

#[test]
fn a_flatgeobuf_draws_what_its_geojson_draws() {
    let drawn = |file: &str, bytes: &[u8]| {
        let trial = Trial::on_hill();
        trial.write(file, bytes);
        has(&trial.run(&format!("bring {file} --yes")).done(), &["5 patches", "1 landmark"]);
        trial.run("export all").done();
        trial.read("all/places.geojson")
    };
    let plain = drawn("drawn.geojson", include_bytes!("../fixtures/bring/drawn.geojson"));
    for told in ["Two beds", "Stile north", "\"plants\": 4", "\"width_m\": 1.5"] {
        has(&plain, &[told]);
    }
    // The index puts features in another order.
    let lines = |text: &str| -> Vec<String> {
        let mut lines: Vec<String> =
            text.lines().map(|it| it.trim_matches([' ', ',']).into()).collect();
        lines.sort();
        lines
    };
    let flat = drawn("drawn.fgb", FLAT[0]);
    assert_eq!(lines(&plain), lines(&flat));
    // By way of metres and back, to a tenth of a millimetre.
    let numbers = |text: &str| -> Vec<f64> {
        let mut all: Vec<f64> = lines(text).iter().filter_map(|line| line.parse().ok()).collect();
        all.sort_by(f64::total_cmp);
        all
    };
    let (one, other) = (numbers(&plain), numbers(&drawn("drawn.fgb", FLAT[1])));
    assert!(one.len() > 40 && one.len() == other.len());
    assert!(one.iter().zip(&other).all(|(a, b)| (a - b).abs() < 1e-9), "{one:?}\n{other:?}");
}

#[test]
fn what_is_no_flatgeobuf_that_is_read_here_is_told_as_what_it_is() {
    let bytes: [(&[u8], &str); 3] = [
        (b"", "it is empty"),
        (b"fgb\x02fgb\x00", "it is FlatGeobuf of another version than 3"),
        (b"no map at all", "it does not begin as a FlatGeobuf does"),
    ];
    for (bytes, found) in bytes {
        let source = Source { name: "a.fgb", bytes, beside: &[], system: None };
        let Err(why) = maps::read(&source) else { panic!("{found}") };
        has(&why, &[found, "save the map anew, as FlatGeobuf 3 or a GeoPackage"]);
    }
}

#[test]
fn a_flatgeobuf_that_is_cut_off_or_spoilt_anywhere_is_read_or_refused_in_words() {
    for bytes in FLAT {
        let read = |bytes: &[u8]| {
            let source = Source { name: "a.fgb", bytes, beside: &[], system: None };
            maps::read(&source).map_err(|why| assert!(!why.is_empty()))
        };
        let whole = read(bytes).unwrap();
        assert_eq!(whole.drawn.len(), 6);
        for end in 0..bytes.len() {
            assert!(read(&bytes[..end]).is_err(), "{end}");
            for spoilt in [0, 1, 0x7f, 0x80, 0xff] {
                let mut bytes = bytes.to_vec();
                bytes[end] = spoilt;
                _ = read(&bytes);
            }
        }
    }
}
