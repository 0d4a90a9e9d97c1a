//! Maps that are made to do harm: each is refused in a sentence, soon, and within the memory that
//! an honest map of the largest size may take.

use std::fs;
use std::io::Write;
use std::process::Command;
use std::time::{Duration, Instant};

use rusqlite::Connection;

use crate::said::{Said, has};
use crate::trial::Trial;
use crate::workbooks::packed;

/// Addresses that a command may have, in kilobytes: the allocator sets aside one gigabyte before
/// anything is read, and a map takes the rest.
const MOST_KB: u64 = 2 << 20;
/// Far more than any of these needs, on a busy machine and unoptimised.
const SOON: Duration = Duration::from_secs(60);

const TOLD: &str =
    "--as patch --site Hill --crop sloe --by Ida --set-down 2021-03-01 --width 2m --radius 3m";

/// Brings the file with no more memory than that.
fn brought(trial: &Trial, file: &str) -> Said {
    let asked = trial.command(&format!("bring {file} {TOLD} --system EPSG:4326 --yes"));
    let mut bounded = Command::new("sh");
    bounded.arg("-c").arg(format!("ulimit -v {MOST_KB} && exec \"$0\" \"$@\""));
    bounded.arg(asked.get_program()).args(asked.get_args());
    for (name, value) in asked.get_envs() {
        match value {
            Some(value) => bounded.env(name, value),
            None => bounded.env_remove(name),
        };
    }
    let begun = Instant::now();
    let said = Said::by(bounded.current_dir(trial.path("")));
    assert!(begun.elapsed() < SOON, "{file} took {:?}", begun.elapsed());
    said
}

#[track_caller]
fn refused(file: &str, bytes: &[u8], words: &[&str]) {
    let trial = Trial::on_hill();
    let before = trial.history();
    has(&brought(trial.write(file, bytes), file).wrong(), words);
    assert_eq!(trial.history(), before);
}

/// A map of one feature with these properties and this geometry.
fn geojson(properties: &str, geometry: &str) -> String {
    format!(
        "{{\"type\": \"Feature\", \"properties\": {{\"name\": \"Nook\"{properties}}}, \
         \"geometry\": {geometry}}}"
    )
}

#[test]
fn a_packed_map_that_grows_without_end_is_refused() {
    let blanks = vec![b' '; 140 << 20];
    refused("bomb.kmz", &packed(&[("doc.kml", &blanks)]), &["unpacks to more than 64 MB"]);
    refused("bomb.zip", &packed(&[("hedges.shp", &blanks)]), &["unpacks to more than 64 MB"]);
    let name = |n: usize| format!("{n}.kml");
    let names: Vec<String> = (0..3000).map(name).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b"x"[..])).collect();
    refused("many.kmz", &packed(&many), &["3000 files are packed in it"]);
}

#[test]
fn a_map_larger_than_any_file_may_be_is_refused() {
    let trial = Trial::on_hill();
    let large = fs::File::create(trial.path("large.gpx")).unwrap();
    large.set_len((64 << 20) + 1).unwrap();
    let way_out = "large.gpx: it is larger than 64 MB; bring it in parts";
    has(&trial.run("bring large.gpx --by Ida").wrong(), &[way_out]);
}

#[test]
fn entities_that_are_made_of_entities_are_refused_in_every_map_of_text() {
    let laughs: String = (1..10)
        .map(|n| format!("<!ENTITY l{n} \"{}\">", format!("&l{};", n - 1).repeat(10)))
        .collect();
    let head = format!("<?xml version=\"1.0\"?><!DOCTYPE x [<!ENTITY l0 \"lol\">{laughs}]>");
    let kml = format!("{head}<kml><Placemark><name>&l9;</name></Placemark></kml>");
    refused("laughs.kml", kml.as_bytes(), &["document type"]);
    refused("laughs.kmz", &packed(&[("doc.kml", kml.as_bytes())]), &["document type"]);
    let gpx = format!("{head}<gpx><wpt lat=\"48\" lon=\"-20\"><name>&l9;</name></wpt></gpx>");
    refused("laughs.gpx", gpx.as_bytes(), &["document type"]);
}

#[test]
fn a_million_properties_of_a_feature_are_refused() {
    let many: String = (0..1_000_000).map(|n| format!(",\"p{n}\":1")).collect();
    let point = "{\"type\": \"Point\", \"coordinates\": [-19.998, 48.002]}";
    refused("wide.geojson", geojson(&many, point).as_bytes(), &["500000 properties", "in parts"]);
    let some: String = (0..1000).map(|n| format!(",\"p{n}\":1")).collect();
    refused("some.geojson", geojson(&some, point).as_bytes(), &["properties", "500 at most"]);
    let data: String =
        (0..200_000).map(|n| format!("<Data name=\"p{n}\"><value>1</value></Data>")).collect();
    let kml = format!(
        "<kml><Placemark><name>Nook</name><ExtendedData>{data}</ExtendedData><Point><coordinates>\
         -19.998,48.002</coordinates></Point></Placemark></kml>"
    );
    refused("wide.kml", kml.as_bytes(), &["properties", "500 at most"]);
}

#[test]
fn shapes_that_never_end_are_refused() {
    let places = "[-19.998,48.002],".repeat(1_100_000);
    let line =
        format!("{{\"type\": \"LineString\", \"coordinates\": [{}]}}", &places[..places.len() - 1]);
    refused("long.geojson", geojson("", &line).as_bytes(), &["1000000 positions"]);
    let ring =
        "[[-19.998,48.002],[-19.997,48.002],[-19.997,48.003],[-19.998,48.002]],".repeat(5000);
    let rings =
        format!("{{\"type\": \"Polygon\", \"coordinates\": [{}]}}", &ring[..ring.len() - 1]);
    refused("rings.geojson", geojson("", &rings).as_bytes(), &["rings.geojson"]);
    let mut nested = "{\"type\": \"GeometryCollection\", \"geometries\": [".repeat(100);
    nested += "{\"type\": \"Point\", \"coordinates\": [0, 0]}";
    nested += &"]}".repeat(100);
    refused("nested.geojson", geojson("", &nested).as_bytes(), &["nested.geojson"]);
    let points = "<wpt lat=\"48\" lon=\"-20\"/>".repeat(30_000);
    refused("many.gpx", format!("<gpx>{points}</gpx>").as_bytes(), &["20000 features"]);
}

/// A GeoPackage with one layer that has this blob for a shape (OGC 12-128r18).
fn geopackage(shape: &[u8]) -> Vec<u8> {
    let trial = tempfile::tempdir().unwrap();
    let path = trial.path().join("made.gpkg");
    let file = Connection::open(&path).unwrap();
    file.execute_batch(
        "CREATE TABLE gpkg_spatial_ref_sys (srs_name, srs_id INTEGER PRIMARY KEY, organization, \
           organization_coordsys_id INTEGER, definition, description);
         INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84', 4326, 'EPSG', 4326, 'undefined', '');
         CREATE TABLE gpkg_geometry_columns (table_name, column_name, geometry_type_name, srs_id, z, m);
         INSERT INTO gpkg_geometry_columns VALUES ('nooks', 'geom', 'GEOMETRY', 4326, 0, 0);
         CREATE TABLE nooks (fid INTEGER PRIMARY KEY, name TEXT, geom BLOB);",
    )
    .unwrap();
    file.execute("INSERT INTO nooks VALUES (1, 'Nook', ?1)", [shape]).unwrap();
    drop(file);
    std::fs::read(path).unwrap()
}

/// The header of a blob without bounds, and behind it a shape in well-known binary.
fn blob(parts: &[&[u8]]) -> Vec<u8> {
    let mut blob = b"GP\0\x01\xe6\x10\0\0".to_vec();
    parts.iter().for_each(|part| blob.extend_from_slice(part));
    blob
}

fn kind(kind: u32) -> Vec<u8> {
    [&[1], &kind.to_le_bytes()[..]].concat()
}

fn reals(all: &[f64]) -> Vec<u8> {
    all.iter().flat_map(|real| real.to_le_bytes()).collect()
}

const MANY: [u8; 4] = u32::MAX.to_le_bytes();

#[test]
fn blobs_of_a_geopackage_that_lie_are_refused() {
    let deep: Vec<u8> =
        (0..10_000).flat_map(|_| [kind(7), 1_u32.to_le_bytes().to_vec()].concat()).collect();
    let nan = f64::NAN;
    let ring = reals(&[-19.998, 48.002, nan, 48.002, -19.997, 48.003, -19.998, 48.002]);
    let ground = [&1_u32.to_le_bytes()[..], &4_u32.to_le_bytes(), &ring].concat();
    for (name, shape, words) in [
        ("count", blob(&[&kind(2), &MANY]), &["parts that are not there"][..]),
        ("rings", blob(&[&kind(3), &MANY, &MANY]), &["parts that are not there"]),
        ("many", blob(&[&kind(6), &MANY]), &["parts that are not there"]),
        ("deep", blob(&[&deep]), &["too deep"]),
        ("cut", blob(&[&kind(1), &[0; 5]]), &["ends in the middle"]),
        ("nan", blob(&[&kind(3), &ground]), &["nan.gpkg"]),
        ("infinite", blob(&[&kind(1), &reals(&[f64::INFINITY, 48.0])]), &["infinite.gpkg"]),
        ("kind", blob(&[&kind(99), &MANY]), &["kind.gpkg"]),
        ("order", blob(&[&[7; 9]]), &["begins with the byte 7"]),
        ("header", b"GP\0\x0f\0\0".to_vec(), &["no GeoPackage geometry"]),
    ] {
        refused(&format!("{name}.gpkg"), &geopackage(&shape), words);
    }
}

/// Rows that SQLite would make for ever, behind the name of a layer.
#[test]
fn a_geopackage_whose_layer_is_a_view_or_never_ends_is_not_asked() {
    let whole = geopackage(&blob(&[&kind(1), &reals(&[-19.998, 48.002])]));
    let trial = Trial::on_hill();
    trial.write("view.gpkg", &whole);
    let file = Connection::open(trial.path("view.gpkg")).unwrap();
    file.execute_batch(
        "DROP TABLE nooks; CREATE VIEW nooks AS WITH RECURSIVE n(fid) AS \
         (SELECT 1 UNION ALL SELECT fid + 1 FROM n) SELECT fid, 'Nook' AS name, NULL AS geom FROM n;",
    )
    .unwrap();
    drop(file);
    has(&brought(&trial, "view.gpkg").wrong(), &["nothing is drawn in it"]);
}

/// A Shapefile of one record: its header, then the record's, then its body.
fn shapefile(words: u32, body: &[u8]) -> Vec<u8> {
    let mut file = vec![0; 100];
    file[..4].copy_from_slice(&[0, 0, 0x27, 0x0a]);
    file.extend([1_u32.to_be_bytes(), words.to_be_bytes()].concat());
    file.extend_from_slice(body);
    file
}

fn record(kind: i32, parts: i32, points: i32, rest: &[u8]) -> Vec<u8> {
    let mut body = kind.to_le_bytes().to_vec();
    body.extend([0; 32]);
    body.extend([parts.to_le_bytes(), points.to_le_bytes()].concat());
    body.extend_from_slice(rest);
    body
}

fn words(body: &[u8]) -> u32 {
    u32::try_from(body.len() / 2).unwrap()
}

#[test]
fn shapefiles_that_lie_are_refused() {
    let nan = [&0_i32.to_le_bytes()[..], &reals(&[f64::NAN, 48.0, -19.997, 48.002])].concat();
    let starts: Vec<u8> = (0..5000).flat_map(|_| 0_i32.to_le_bytes()).collect();
    let rings = [&starts[..], &reals(&[-19.998, 48.002])].concat();
    for (name, words, body) in [
        ("length", u32::MAX, record(5, 1, 1, &[])),
        ("parts", 22, record(5, i32::MAX, 1, &[])),
        ("points", 24, record(3, 1, i32::MAX, &[0; 4])),
        ("below", 24, record(3, -1, -1, &[0; 4])),
        ("start", 32, record(3, 1, 1, &[0xff; 20])),
        ("nan", words(&record(3, 1, 2, &nan)), record(3, 1, 2, &nan)),
        ("rings", words(&record(5, 5000, 1, &rings)), record(5, 5000, 1, &rings)),
        ("kind", 2, 77_i32.to_le_bytes().to_vec()),
        ("nothing", 0, Vec::new()),
    ] {
        let file = format!("{name}.shp");
        refused(&file, &shapefile(words, &body), &[&file]);
    }
}

#[test]
fn a_table_beside_a_shapefile_that_lies_is_refused() {
    let place = [&1_i32.to_le_bytes()[..], &reals(&[-19.998, 48.002])].concat();
    for (name, head) in [("wide", [0xff; 4]), ("flat", [0x41, 0, 0, 0]), ("none", [0, 0, 1, 0])] {
        let trial = Trial::on_hill();
        trial.write(&format!("{name}.shp"), shapefile(words(&place), &place));
        let mut table = vec![0x03; 65];
        table[8..12].copy_from_slice(&head);
        trial.write(&format!("{name}.dbf"), table);
        let file = format!("{name}.shp");
        has(&brought(&trial, &file).wrong(), &[&file]);
    }
}

/// What a file of a packed map says of its own length is not believed.
#[test]
fn a_pack_that_lies_of_its_lengths_is_refused() {
    let mut pack = packed(&[("doc.kml", b"<kml/>")]);
    let mut lie = Vec::new();
    lie.write_all(&u32::MAX.to_le_bytes()).unwrap();
    let at = pack.windows(4).position(|it| it == b"PK\x01\x02").unwrap();
    pack[at + 24..at + 28].copy_from_slice(&lie);
    refused("lie.kmz", &pack, &["lie.kmz"]);
}
