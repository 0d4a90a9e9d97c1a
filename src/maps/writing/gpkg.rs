//! GeoPackage 1.3 (OGC 12-128r18): an SQLite file with a table a layer.

use std::collections::BTreeMap;

use geo::{BoundingRect, Coord, Rect};
use rusqlite::types::Value as Cell;
use rusqlite::{Connection, MAIN_DB, params, params_from_iter};
use serde_json::Value;

use crate::maps::wkb::{WGS84, blob};
use crate::maps::{Feature, Layer, Map};

/// What the standard's tables are (C.1 to C.3), and the three systems that each file names.
const FRAME: &str = r#"
PRAGMA application_id = 0x47504B47;
PRAGMA user_version = 10300;
CREATE TABLE gpkg_spatial_ref_sys (
    srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
    organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
INSERT INTO gpkg_spatial_ref_sys VALUES
    ('Undefined Cartesian', -1, 'NONE', -1, 'undefined', 'undefined Cartesian'),
    ('Undefined geographic', 0, 'NONE', 0, 'undefined', 'undefined geographic'),
    ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433],AUTHORITY["EPSG","4326"]]', 'longitude and latitude');
CREATE TABLE gpkg_contents (
    table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
    description TEXT DEFAULT '', last_change DATETIME NOT NULL,
    min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE,
    srs_id INTEGER REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_geometry_columns (
    table_name TEXT NOT NULL UNIQUE REFERENCES gpkg_contents (table_name),
    column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
    srs_id INTEGER NOT NULL REFERENCES gpkg_spatial_ref_sys (srs_id),
    z TINYINT NOT NULL, m TINYINT NOT NULL, PRIMARY KEY (table_name, column_name));
"#;

/// Columns that each table has, whatever the properties.
const OWN: [&str; 5] = ["fid", "geom", "id", "title", "about"];

/// The bytes of the file; the same for the same map.
///
/// # Errors
/// SQLite's own, which writing into memory has no cause for but a lack of it.
pub fn gpkg(map: &Map) -> rusqlite::Result<Vec<u8>> {
    let mut file = Connection::open_in_memory()?;
    file.execute_batch(&format!("BEGIN; {FRAME}"))?;
    for layer in &map.layers {
        write(layer, map, &file)?;
    }
    file.execute_batch("COMMIT")?;
    Ok(file.serialize(MAIN_DB)?.to_vec())
}

fn write(layer: &Layer, map: &Map, file: &Connection) -> rusqlite::Result<()> {
    let columns = columns(layer);
    let table = quoted(&layer.name);
    let declared: String =
        columns.iter().map(|(name, form)| format!(", {} {form}", quoted(name))).collect();
    file.execute_batch(&format!(
        "CREATE TABLE {table} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom GEOMETRY, \
         id TEXT, title TEXT, about TEXT{declared})"
    ))?;
    let [least, most] = bounds(layer).map_or([None; 2], |all| [Some(all.min()), Some(all.max())]);
    let about = map.about.join("\n");
    file.execute(
        "INSERT INTO gpkg_contents VALUES (?1, 'features', ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            layer.name,
            about,
            format!("{}T00:00:00.000Z", map.on),
            least.map(|at| at.x),
            least.map(|at| at.y),
            most.map(|at| at.x),
            most.map(|at| at.y),
            WGS84
        ],
    )?;
    file.execute(
        "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', 'GEOMETRY', ?2, 0, 0)",
        params![layer.name, WGS84],
    )?;
    let places = vec!["?"; OWN.len() + columns.len()].join(", ");
    let mut insert = file.prepare(&format!("INSERT INTO {table} VALUES ({places})"))?;
    for feature in &layer.features {
        insert.execute(params_from_iter(row(feature, &columns)))?;
    }
    Ok(())
}

/// Every property of the layer with the form that holds all of its values, in the order of their
/// names.
fn columns(layer: &Layer) -> BTreeMap<&str, &'static str> {
    let mut columns: BTreeMap<&str, &'static str> = BTreeMap::new();
    for (name, value) in layer.features.iter().flat_map(|feature| &feature.properties) {
        let is_own = OWN.iter().any(|own| own.eq_ignore_ascii_case(name));
        let form = match value {
            Value::Bool(_) => "BOOLEAN",
            Value::Number(number) if number.is_f64() => "REAL",
            Value::Number(_) => "INTEGER",
            _ => "TEXT",
        };
        if is_own || value.is_null() {
            continue;
        }
        let so_far = columns.entry(name).or_insert(form);
        *so_far = match (*so_far, form) {
            (one, other) if one == other => one,
            ("REAL", "INTEGER") | ("INTEGER", "REAL") => "REAL",
            _ => "TEXT",
        };
    }
    columns
}

fn row(feature: &Feature, columns: &BTreeMap<&str, &'static str>) -> Vec<Cell> {
    let text = |text: &str| Cell::Text(text.to_owned());
    let mut row = vec![Cell::Null, Cell::Blob(blob(&feature.shape))];
    row.extend([&feature.id, &feature.title, &feature.about].map(|said| text(said)));
    row.extend(columns.iter().map(|(name, form)| match feature.properties.get(*name) {
        None | Some(Value::Null) => Cell::Null,
        Some(Value::String(said)) => text(said),
        Some(other) if *form == "TEXT" => text(&other.to_string()),
        Some(Value::Bool(yes)) => Cell::Integer((*yes).into()),
        Some(Value::Number(number)) => match number.as_i64() {
            Some(whole) => Cell::Integer(whole),
            None => number.as_f64().map_or(Cell::Null, Cell::Real),
        },
        Some(other) => text(&other.to_string()),
    }));
    row
}

/// Of all features.
fn bounds(layer: &Layer) -> Option<Rect> {
    let all = layer.features.iter().filter_map(|feature| feature.shape.bounding_rect());
    all.reduce(|one, other| {
        let corner = |a: Coord, b: Coord, pick: fn(f64, f64) -> f64| Coord {
            x: pick(a.x, b.x),
            y: pick(a.y, b.y),
        };
        Rect::new(
            corner(one.min(), other.min(), f64::min),
            corner(one.max(), other.max(), f64::max),
        )
    })
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}
