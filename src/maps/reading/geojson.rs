//! GeoJSON of any kind (RFC 7946, the 2008 format before it, and RFC 8142): a collection, one
//! feature, a list of features or bare shapes, or one of these a line.

use geo::Geometry;
use geojson::{GeometryValue, Position};
use serde::Deserialize;
use serde_json::{Map, Value};

use super::gathering::{Gathering, MOST_OF_ALL, MOST_POSITIONS};
use super::{Source, stem};
use crate::maps::Properties;
use crate::maps::system::System;
use crate::maps::text::decoded;

/// Members of a collection that hold for each of its features, where it has them.
const SHARED: [&str; 3] = ["date", "by", "recorded_on"];

pub(super) fn read(source: &Source, found: &mut Gathering) -> Result<(), String> {
    let text = decoded(source.bytes)?;
    weigh(&text)?;
    let layer = stem(source.name);
    for value in values(&text)? {
        // Of one that says nothing the format itself says that it is WGS84.
        let said = value.get("crs").filter(|crs| !crs.is_null());
        let system = match (said, source.system) {
            (Some(crs), _) => System::of_code(&named(crs))?,
            (None, Some(told)) => told.clone(),
            (None, None) => System::degrees(),
        };
        any(&value, layer, &Map::new(), &system, found)?;
    }
    Ok(())
}

/// Before it is laid out as values, of which each takes some hundred bytes: every position stands in
/// brackets of its own, and every member behind a colon.
///
/// # Errors
/// More of either than any map may have.
fn weigh(text: &str) -> Result<(), String> {
    let count = |mark: u8| text.bytes().filter(|byte| *byte == mark).count();
    if count(b'[') > MOST_POSITIONS || count(b':') > MOST_OF_ALL {
        return Err(format!(
            "it has more than {MOST_POSITIONS} positions or {MOST_OF_ALL} properties; bring it in \
             parts"
        ));
    }
    Ok(())
}

/// The whole, or each line of it.
fn values(text: &str) -> Result<Vec<Value>, String> {
    let whole = match serde_json::from_str::<Value>(text) {
        Ok(value) => return Ok(vec![value]),
        Err(error) => error,
    };
    let lines = text.split(['\n', '\u{1e}']).map(str::trim).filter(|line| !line.is_empty());
    let lines: Result<Vec<Value>, _> = lines.map(serde_json::from_str).collect();
    match lines {
        Ok(values) if !values.is_empty() => Ok(values),
        _ => Err(format!("line {} is no JSON: {whole}; save the file anew", whole.line())),
    }
}

/// `urn:ogc:def:crs:EPSG::25832` of the format of 2008.
fn named(crs: &Value) -> String {
    let name = crs.pointer("/properties/name").or_else(|| crs.pointer("/properties/code"));
    let text = name.map_or_else(
        || crs.to_string(),
        |name| name.as_str().map_or_else(|| name.to_string(), str::to_owned),
    );
    text.replace("urn:ogc:def:crs:", "").replace("::", ":")
}

fn any(
    value: &Value,
    layer: &str,
    shared: &Properties,
    system: &System,
    found: &mut Gathering,
) -> Result<(), String> {
    let kind = value.get("type").and_then(Value::as_str).unwrap_or_default();
    match (value, kind) {
        (Value::Array(all), _) => {
            all.iter().try_for_each(|one| any(one, layer, shared, system, found))
        }
        (_, "FeatureCollection") => {
            let mut shared = shared.clone();
            let given = SHARED.into_iter().filter_map(|name| Some((name, value.get(name)?)));
            shared.extend(given.map(|(name, value)| (name.to_owned(), value.clone())));
            let layer = value.get("name").and_then(Value::as_str).unwrap_or(layer);
            let features = value.get("features").and_then(Value::as_array);
            let features = features.ok_or("a collection has no list `features`")?;
            features.iter().try_for_each(|one| any(one, layer, &shared, system, found))
        }
        (_, "Feature") => {
            let mut properties = shared.clone();
            if let Some(own) = value.get("properties").and_then(Value::as_object) {
                properties.extend(own.clone());
            }
            if let Some(id) = value.get("id").filter(|id| !id.is_null())
                && !properties.contains_key("id")
            {
                properties.insert("id".to_owned(), id.clone());
            }
            let drawn = value.get("geometry").filter(|drawn| !drawn.is_null());
            let shape = drawn.map(|drawn| shape(drawn, system)).transpose()?;
            found.draw(layer, properties, shape)
        }
        (_, "Topology") => {
            Err("it is TopoJSON; save it as GeoJSON in a mapping program".to_owned())
        }
        (Value::Object(members), _)
            if members.contains_key("coordinates") || kind == "GeometryCollection" =>
        {
            let shape = shape(value, system)?;
            found.draw(layer, shared.clone(), Some(shape))
        }
        (Value::Object(members), _) if members.contains_key("geometryType") => {
            Err("it is JSON of Esri's own; save it as GeoJSON in a mapping program".to_owned())
        }
        _ => {
            let text: String = value.to_string().chars().take(40).collect();
            Err(format!("`{text}` is no GeoJSON: neither a feature nor a shape"))
        }
    }
}

fn shape(value: &Value, system: &System) -> Result<Geometry, String> {
    let unread = |error: String| {
        let text: String = value.to_string().chars().take(60).collect();
        format!("`{text}` is no shape of GeoJSON: {error}")
    };
    let read = geojson::Geometry::deserialize(value).map_err(|error| unread(error.to_string()))?;
    if !is_whole(&read.value) {
        return Err(unread(
            "a position is two numbers or more, `[longitude, latitude]`".to_owned(),
        ));
    }
    let shape = Geometry::try_from(read).map_err(|error| unread(error.to_string()))?;
    system.to_wgs84(&shape)
}

/// Whether each position has a longitude and a latitude; the library takes that for granted.
fn is_whole(shape: &GeometryValue) -> bool {
    let is_position = |position: &Position| position.len() >= 2;
    match shape {
        GeometryValue::Point { coordinates } => is_position(coordinates),
        GeometryValue::MultiPoint { coordinates } | GeometryValue::LineString { coordinates } => {
            coordinates.iter().all(is_position)
        }
        GeometryValue::MultiLineString { coordinates } | GeometryValue::Polygon { coordinates } => {
            coordinates.iter().flatten().all(is_position)
        }
        GeometryValue::MultiPolygon { coordinates } => {
            coordinates.iter().flatten().flatten().all(is_position)
        }
        GeometryValue::GeometryCollection { geometries } => {
            geometries.iter().all(|geometry| is_whole(&geometry.value))
        }
    }
}
