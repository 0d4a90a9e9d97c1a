//! Records written in the form in which they are read.

use std::borrow::Cow;
use std::collections::HashMap;
use std::mem;

use geo::Geometry;
use serde_json::{Map, Value, json};

use super::column::{Cell, columns};
use super::feature as features;
use super::kinds::{FEATURES, shape};
use super::known::{Gazetteer, Known};
use super::property::{FACT, KIND};
use super::version::Version;
use crate::json::{self, Declared, FeatureCollection, Form, Perhaps, Shape};
use crate::records::{self, Kind};
use crate::units::Measure;

/// A CSV of those `versions` that are of this kind; `read` makes the same records of it.
pub fn write_csv<'a, V: Into<Version<'a>>>(
    kind: Kind,
    versions: impl IntoIterator<Item = V>,
    known: Known<'_>,
) -> String {
    let known = Gazetteer::new(known);
    let mut text = line(columns(kind).iter().map(|column| column.name));
    let mut visits: HashMap<String, u32> = HashMap::new();
    let versions = versions.into_iter().map(Into::into);
    for version in versions.filter(|version: &Version<'_>| version.record.kind() == kind) {
        let key = version.record.natural_key(version.happened_on, version.by);
        let visit = visits.entry(key).or_default();
        *visit += 1;
        for mut row in version.rows(known.measure_of(version.record)) {
            if kind == Kind::Survey && *visit > 1 {
                row.push(("visit", visit.to_string()));
            }
            text.push_str(&line(arranged(kind, &row)));
        }
    }
    text
}

/// One record as its file would have it: what it says, to the last digit. Only what is filled
/// is in it, so that a column which is new to the kind changes nothing of what lacks it.
/// `measure` is what a survey's crop is reckoned in.
pub fn written<'a>(version: impl Into<Version<'a>>, measure: Measure) -> String {
    let version = version.into();
    let kind = version.record.kind();
    let rows = version.rows(measure);
    match rows.first().and_then(|row| features::write(version.record, row)) {
        Some(feature) => feature.to_string(),
        None => {
            let mut text = String::new();
            rows.iter().for_each(|row| fill(kind, row, &mut text));
            text
        }
    }
}

/// A line of what is filled, each with the name of its column before it.
fn fill(kind: Kind, row: &[Cell], text: &mut String) {
    let start = text.len();
    for (column, cell) in columns(kind).iter().zip(arranged(kind, row)) {
        if cell.is_empty() {
            continue;
        }
        if text.len() > start {
            text.push(',');
        }
        text.push_str(column.name);
        text.push(',');
        text.push_str(&quote_if_need_be(cell));
    }
    text.push('\n');
}

/// The name and version of what [`write_geojson`] writes, and of what is loaded.
pub const PLACES_SCHEMA: &str = "stintbook.places/1";

json::object! {
    /// The whole file.
    #[derive(Default)]
    pub(super) struct PlacesData {
        pub r#type: FeatureCollection,
        /// In a file to start from: how it is filled in; nothing reads it.
        pub how_to: Perhaps<Vec<String>>,
        /// In a file to start from: a feature of each kind; nothing reads it.
        pub example_features: Perhaps<Vec<Place>>,
        pub features: Vec<Place>,
    }
}

/// A place as a feature.
#[derive(Debug)]
pub(super) struct Place(pub Value);

impl json::Form for Place {
    fn value(self) -> Value {
        self.0
    }

    /// Of its kind; a `redraw` may lack a geometry.
    fn schema() -> Value {
        let feature = |kind: Kind| {
            let mut shape = Shape::default();
            shape.add("type", json::Feature::schema(), "");
            shape.add("properties", properties(kind).schema(), "");
            shape.add("geometry", Option::<json::Geometry>::schema(), "");
            let mut id = Shape::default();
            id.add("id", String::schema(), "the id of the fact");
            shape.add_optional(id);
            shape.schema()
        };
        json!({ "anyOf": FEATURES.map(feature) })
    }
}

/// What is written of a place of this kind: the columns of its kind, as far as they are filled.
pub fn properties(kind: Kind) -> Shape {
    let mut all = Shape::default();
    all.add(KIND.name, json::closed(&[kind.name()]), "");
    let mut filled = Shape::default();
    for column in columns(kind).iter().filter(|column| column.name != KIND.name) {
        let schema = match column.form {
            records::Form::Number => f64::schema(),
            _ => String::schema(),
        };
        filled.add(column.name, schema, column.expected);
    }
    all.add_optional(filled);
    all
}

/// [`PLACES_SCHEMA`] and what it asks for.
pub fn places_declared() -> Declared {
    (PLACES_SCHEMA, Shape::of_version::<PlacesData>(PLACES_SCHEMA))
}

/// A GeoJSON collection of those `versions` that are sites, zones or patches.
pub fn write_geojson<'a, V: Into<Version<'a>>>(versions: impl IntoIterator<Item = V>) -> String {
    let versions = versions.into_iter().map(Into::into);
    let features = versions.filter_map(|version| write_feature(&version)).map(Place);
    json::written(PLACES_SCHEMA, PlacesData { features: features.collect(), ..Default::default() })
}

/// The properties of a place as its file has them, and what is drawn of it; `None` for what is no
/// place, and of a patch that has no ground any more.
pub fn feature<'a>(version: impl Into<Version<'a>>) -> Option<(Map<String, Value>, Geometry)> {
    let version = version.into();
    let shape = shape(version.record)?;
    let mut feature = write_feature(&version)?;
    let mut properties = feature.get_mut("properties")?.as_object_mut().map(mem::take)?;
    if let Some(id) = feature.get("id") {
        properties.insert(FACT.name.to_owned(), id.clone());
    }
    Some((properties, shape))
}

fn write_feature(version: &Version<'_>) -> Option<Value> {
    let rows = version.rows(Measure::Mass);
    features::write(version.record, rows.first()?)
}

/// The texts of a row in the order of the kind's columns; empty where it has none.
pub(super) fn arranged(kind: Kind, row: &[Cell]) -> impl Iterator<Item = &str> {
    let columns = columns(kind);
    let mut texts = vec![""; columns.len()];
    // From behind, so that of two with one name the first stays. Each cell mostly stands before the
    // one that was looked for last.
    let mut last = columns.len();
    for (name, text) in row.iter().rev() {
        let mut order = (0..last).rev().chain((last..columns.len()).rev());
        if let Some(at) = order.find(|at| columns[*at].name == *name) {
            (texts[at], last) = (text, at);
        }
    }
    texts.into_iter()
}

pub(super) fn line<'t>(fields: impl Iterator<Item = &'t str>) -> String {
    let fields: Vec<Cow<str>> = fields.map(quote_if_need_be).collect();
    fields.join(",") + "\n"
}

fn quote_if_need_be(text: &str) -> Cow<'_, str> {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\"")).into()
    } else {
        text.into()
    }
}
