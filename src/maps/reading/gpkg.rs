//! GeoPackage (OGC 12-128r18): the layers of an SQLite file that is read in memory, and never as a
//! book.

use rusqlite::limits::Limit;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, MAIN_DB, Row};
use serde_json::Value;

use super::gathering::Gathering;
use super::{Source, wkb};
use crate::maps::Properties;
use crate::maps::system::System;

/// The longest text, blob or statement, in bytes.
const LONGEST: i32 = 16 << 20;
const MOST_COLUMNS: i32 = 500;
const MOST_LAYERS: usize = 200;
/// A file that a hostile hand made may send SQLite in circles: it stops after so many thousand
/// of its steps.
const STEPS_AT_ONCE: i32 = 1000;
const MOST_STEPS: u32 = 200_000;

struct Layer {
    table: String,
    geometry: String,
    organization: Option<String>,
    code: Option<i64>,
    definition: Option<String>,
}

pub(super) fn read(source: &Source, found: &mut Gathering) -> Result<(), String> {
    read_within(MOST_STEPS, source, found)
}

fn read_within(steps: u32, source: &Source, found: &mut Gathering) -> Result<(), String> {
    let file = opened(source.bytes, steps).map_err(|error| broken(&error))?;
    let layers = layers(&file).map_err(|error| {
        format!("it is no GeoPackage: {error}; if it is a book, `stintbook merge` takes it in")
    })?;
    if layers.len() > MOST_LAYERS {
        let n = layers.len();
        return Err(format!("it has {n} layers; save those that are wanted by themselves"));
    }
    for layer in layers {
        let system = system(&layer, source)?;
        layer.read(&file, &system, found)?;
    }
    Ok(())
}

fn broken(error: &rusqlite::Error) -> String {
    format!("it cannot be read as a GeoPackage: {error}; save it anew")
}

fn opened(bytes: &[u8], most_steps: u32) -> rusqlite::Result<Connection> {
    let mut file = Connection::open_in_memory()?;
    let mut bytes = bytes.to_vec();
    // One that was left with a log beside it says so; in memory there is none.
    if let Some(versions) = bytes.get_mut(18..20) {
        versions.fill(1);
    }
    file.deserialize_read_exact(MAIN_DB, bytes.as_slice(), bytes.len(), true)?;
    for (limit, most) in [
        (Limit::SQLITE_LIMIT_LENGTH, LONGEST),
        (Limit::SQLITE_LIMIT_COLUMN, MOST_COLUMNS),
        (Limit::SQLITE_LIMIT_EXPR_DEPTH, 50),
        (Limit::SQLITE_LIMIT_ATTACHED, 0),
        (Limit::SQLITE_LIMIT_TRIGGER_DEPTH, 0),
    ] {
        file.set_limit(limit, most)?;
    }
    let mut steps = 0;
    file.progress_handler(
        STEPS_AT_ONCE,
        Some(move || {
            steps += 1;
            steps > most_steps
        }),
    )?;
    file.execute_batch(
        "PRAGMA trusted_schema = OFF; PRAGMA query_only = ON; PRAGMA cell_size_check = ON;",
    )?;
    Ok(file)
}

/// Those with shapes that are tables: a view may hide anything.
fn layers(file: &Connection) -> rusqlite::Result<Vec<Layer>> {
    let mut layers = file.prepare(
        "SELECT g.table_name, g.column_name, s.organization, s.organization_coordsys_id, \
         s.definition FROM gpkg_geometry_columns g \
         JOIN sqlite_schema t ON t.name = g.table_name COLLATE NOCASE AND t.type = 'table' \
         LEFT JOIN gpkg_spatial_ref_sys s ON s.srs_id = g.srs_id ORDER BY g.rowid",
    )?;
    let layer = |row: &Row| {
        Ok(Layer {
            table: row.get(0)?,
            geometry: row.get(1)?,
            organization: row.get(2)?,
            code: row.get(3)?,
            definition: row.get(4)?,
        })
    };
    layers.query_map([], layer)?.collect()
}

/// What the layer says, and where it says nothing that is known, what was told.
fn system(layer: &Layer, source: &Source) -> Result<System, String> {
    let by_code = layer.code.filter(|_| {
        layer.organization.as_ref().is_some_and(|who| who.eq_ignore_ascii_case("EPSG"))
    });
    let by_code = by_code.and_then(|code| System::of_code(&format!("EPSG:{code}")).ok());
    let said = by_code.map(Ok).or_else(|| Some(System::of_wkt(layer.definition.as_deref()?)));
    match (said, source.system) {
        (Some(Ok(system)), _) => Ok(system),
        (_, Some(told)) => Ok(told.clone()),
        (Some(Err(unknown)), None) => Err(format!("layer `{}`: {unknown}", layer.table)),
        (None, None) => Err(format!(
            "layer `{}` does not say which system its positions are in; tell it with --system, \
             like `--system EPSG:4326`",
            layer.table
        )),
    }
}

impl Layer {
    /// What its columns are called, in their order: a name that is no text is an error here, and
    /// no panic as it would be of the statement that reads them.
    fn columns(&self, file: &Connection) -> rusqlite::Result<Vec<String>> {
        // Columns of SQLite's own making are hidden; computed ones are not.
        let names = "SELECT name FROM pragma_table_xinfo(?) WHERE hidden <> 1 ORDER BY cid";
        file.prepare(names)?.query_map([&self.table], |row| row.get(0))?.collect()
    }

    fn read(
        &self,
        file: &Connection,
        system: &System,
        found: &mut Gathering,
    ) -> Result<(), String> {
        let table = self.table.replace('"', "\"\"");
        let statement = file.prepare(&format!("SELECT * FROM \"{table}\""));
        let mut statement = statement.map_err(|error| broken(&error))?;
        let names = self.columns(file).map_err(|error| broken(&error))?;
        let mut rows = statement.query([]).map_err(|error| broken(&error))?;
        while let Some(row) = rows.next().map_err(|error| broken(&error))? {
            let mut shape = None;
            let mut properties = Properties::new();
            for (at, name) in names.iter().enumerate() {
                let value = row.get_ref(at).map_err(|error| broken(&error))?;
                match value {
                    ValueRef::Blob(blob) if name.eq_ignore_ascii_case(&self.geometry) => {
                        shape = wkb::of_blob(blob)
                            .map_err(|why| format!("layer `{}`: {why}", self.table))?;
                    }
                    _ => {
                        properties.extend(plain(value).map(|value| (name.clone(), value)));
                    }
                }
            }
            let shape = shape.map(|shape| system.to_wgs84(&shape)).transpose()?;
            found.draw(&self.table, properties, shape)?;
        }
        Ok(())
    }
}

/// Nothing of null and of bytes.
fn plain(value: ValueRef) -> Option<Value> {
    match value {
        ValueRef::Null | ValueRef::Blob(_) => None,
        ValueRef::Integer(whole) => Some(whole.into()),
        ValueRef::Real(real) => serde_json::Number::from_f64(real).map(Value::Number),
        ValueRef::Text(text) => Some(String::from_utf8_lossy(text).into_owned().into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONCE: &str = "VIEW {} AS SELECT 0, 'EPSG', 4326, ''";

    /// One layer, whose system is in a table or view that is made so.
    fn map(systems: &str) -> Vec<u8> {
        let mut file = Connection::open_in_memory().unwrap();
        let layer = "CREATE TABLE ground (geom); \
                     CREATE TABLE gpkg_geometry_columns (table_name, column_name, srs_id); \
                     INSERT INTO gpkg_geometry_columns VALUES ('ground', 'geom', 0);";
        let named = "gpkg_spatial_ref_sys (srs_id, organization, organization_coordsys_id, \
                     definition)";
        file.execute_batch(&format!("{layer} CREATE {}", systems.replace("{}", named))).unwrap();
        file.serialize(MAIN_DB).unwrap().to_vec()
    }

    #[test]
    fn a_map_that_sends_its_reader_in_circles_is_given_up() {
        let read = |bytes: &[u8]| {
            let source = Source { name: "a file", bytes, beside: &[], system: None };
            read_within(20, &source, &mut Gathering::new("GeoPackage"))
        };
        let for_ever = "VIEW {} AS WITH RECURSIVE n (at) AS (SELECT 1 UNION ALL \
                        SELECT at + 1 FROM n) SELECT at, 'EPSG', 4326, '' FROM n";
        let said = read(&map(for_ever)).unwrap_err();
        assert!(said.contains("interrupted"), "{said}");
        assert_eq!(read(&map(ONCE)), Ok(()));
    }

    #[test]
    fn a_column_whose_name_is_no_text_is_refused() {
        let mut bytes = map(ONCE);
        let at = bytes.windows(6).position(|word| word == b"(geom)").unwrap();
        bytes[at + 1] = 0xff;
        let source = Source { name: "a file", bytes: &bytes, beside: &[], system: None };
        let said = read(&source, &mut Gathering::new("GeoPackage")).unwrap_err();
        assert!(said.contains("cannot be read as a GeoPackage"), "{said}");
    }
}
