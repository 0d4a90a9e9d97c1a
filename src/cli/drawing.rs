//! Shapes that somebody drew for a deed, and the deed's entries as a map would have them.

use std::fs;
use std::path::Path;

use serde_json::{Map, Value, json};

use super::args::Signed;
use super::context::Context;
use super::failure::Failure;
use super::typed::refusal;
use crate::book::{Moment, Scope};
use crate::gate::{Places, Surroundings};
use crate::intake::read;
use crate::records::{Entry, Footprint};

/// A drawn shape with what stands beside it.
pub struct Drawn {
    pub properties: Map<String, Value>,
    pub geometry: Value,
}

impl Drawn {
    /// Its property `name`, as a file may have any.
    pub fn name(&self) -> Option<&str> {
        self.properties.get("name").and_then(Value::as_str).map(str::trim)
    }

    /// The measure that a shape of this form has beside it, unless it says another.
    pub fn measured_as(&self, ground: &Footprint) -> Map<String, Value> {
        let own = |name: &str| self.properties.get(name).filter(|value| !value.is_null()).cloned();
        let told = ["width_m", "radius_m", "plants"];
        let mut measures: Map<String, Value> =
            told.iter().filter_map(|name| Some(((*name).to_owned(), own(name)?))).collect();
        let form = self.geometry.get("type").and_then(Value::as_str).unwrap_or_default();
        let before = match (ground, form) {
            (Footprint::Strip { width, .. }, "LineString" | "MultiLineString") => {
                Some(("width_m", json!(width.0)))
            }
            (Footprint::Disc { radius, .. }, "Point") => Some(("radius_m", json!(radius.0))),
            (Footprint::Plants { count, .. }, "Point") => Some(("plants", json!(count))),
            _ => None,
        };
        if let Some((name, value)) = before
            && measures.is_empty()
        {
            measures.insert(name.to_owned(), value);
        }
        measures
    }
}

/// The shapes of a GeoJSON file: a collection of features, a feature, or a bare geometry.
///
/// # Errors
/// A file that cannot be read, or is nothing of the kind.
pub fn shapes(path: &Path) -> Result<Vec<Drawn>, Failure> {
    let wrong = |found: String| Failure::wrong(format!("{}: {found}", path.display()));
    let text = fs::read_to_string(path).map_err(|error| wrong(error.to_string()))?;
    let value: Value = serde_json::from_str(text.trim_start_matches('\u{feff}'))
        .map_err(|error| wrong(format!("this is not GeoJSON: {error}")))?;
    let drawn = |feature: &Value| Drawn {
        properties: feature
            .get("properties")
            .and_then(Value::as_object)
            .cloned()
            .unwrap_or_default(),
        geometry: feature.get("geometry").cloned().unwrap_or(Value::Null),
    };
    match value.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => {
            let features = value.get("features").and_then(Value::as_array);
            Ok(features.into_iter().flatten().map(drawn).collect())
        }
        Some("Feature") => Ok(vec![drawn(&value)]),
        Some(_) => Ok(vec![Drawn { properties: Map::new(), geometry: value }]),
        None => Err(wrong("no feature and no geometry is in it".to_owned())),
    }
}

/// A feature of a kind, signed.
pub fn feature(
    kind: &str,
    mut properties: Map<String, Value>,
    geometry: Value,
    context: &Context,
    signed: &Signed,
) -> Value {
    properties.insert("kind".to_owned(), json!(kind));
    properties.insert("date".to_owned(), json!(context.on.to_string()));
    properties.insert("by".to_owned(), json!(signed.by));
    properties.insert("recorded_on".to_owned(), json!(signed.recorded_on()));
    json!({ "type": "Feature", "properties": properties, "geometry": geometry })
}

/// The features as entries, with the places of the book and what the entries make of them.
///
/// # Errors
/// All that is wrong with them.
pub fn entries(
    features: Vec<Value>,
    context: &Context,
    moment: &Moment,
) -> Result<(Places, Vec<Entry>), Failure> {
    let mut places = Places::of(moment.directory()?, moment.ledger(&Scope::All)?);
    let collection = json!({ "type": "FeatureCollection", "features": features }).to_string();
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let entries = read("", collection.as_bytes(), surroundings.known())
        .map_err(|found| refusal(&found.problems))?
        .entries;
    drop(surroundings);
    places.learn(&entries);
    Ok((places, entries))
}
