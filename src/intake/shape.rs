//! A GeoJSON geometry (RFC 7946), checked for what it says of the Earth.

use geo::{
    Geodesic, Geometry, Length, LineString, MultiLineString, MultiPoint, MultiPolygon, Point,
    RemoveRepeatedPoints,
};
use serde_json::Value;

use super::positions::{list, on_one_side, position, positions};
use super::problem::{Finding, quoted};
use super::ring;
use crate::units::Metres;

/// The most positions in one shape; the check for crossings looks at every pair.
const MOST_POSITIONS: usize = 10_000;
const MOST_PARTS: usize = 500;

const KNOWN_TYPES: &str = "Point, MultiPoint, LineString, MultiLineString, Polygon or MultiPolygon";

/// Reads a geometry. Rings come out wound as RFC 7946 wants them, repeated positions once.
///
/// # Errors
/// The first thing that is wrong with it.
pub(super) fn read(geometry: &Value) -> Result<Geometry, Finding> {
    if geometry.is_null() {
        return Err(Finding::new("it has no geometry", KNOWN_TYPES));
    }
    let kind = geometry.get("type").and_then(Value::as_str).unwrap_or_default();
    let coordinates = geometry.get("coordinates").unwrap_or(&Value::Null);
    let positions = count_positions(coordinates);
    if positions > MOST_POSITIONS {
        let found = format!("it has {positions} positions");
        return Err(Finding::new(found, format!("{MOST_POSITIONS} at most; simplify the shape")));
    }
    match kind {
        "Point" => Ok(Geometry::Point(Point(position(coordinates)?))),
        "MultiPoint" => {
            let points = parts(coordinates, |value| position(value).map(Point))?;
            Ok(Geometry::MultiPoint(MultiPoint(points)))
        }
        "LineString" => Ok(Geometry::LineString(line(coordinates)?)),
        "MultiLineString" => {
            Ok(Geometry::MultiLineString(MultiLineString(parts(coordinates, line)?)))
        }
        "Polygon" => Ok(Geometry::Polygon(ring::polygon(coordinates)?)),
        "MultiPolygon" => {
            let polygons = MultiPolygon(parts(coordinates, ring::polygon)?);
            ring::apart(&polygons)?;
            Ok(Geometry::MultiPolygon(polygons))
        }
        "GeometryCollection" => {
            Err(Finding::new("it is a GeometryCollection", "a feature for each of its shapes"))
        }
        "" => Err(Finding::new("the geometry has no type", KNOWN_TYPES)),
        other => Err(Finding::new(
            format!("{} is no type of GeoJSON geometry", quoted(other)),
            KNOWN_TYPES,
        )),
    }
}

fn count_positions(coordinates: &Value) -> usize {
    match coordinates.as_array() {
        Some(items) if items.iter().any(Value::is_array) => items.iter().map(count_positions).sum(),
        Some(_) => 1,
        None => 0,
    }
}

fn parts<T>(
    coordinates: &Value,
    read: impl Fn(&Value) -> Result<T, Finding>,
) -> Result<Vec<T>, Finding> {
    let items = list(coordinates)?;
    if items.is_empty() || items.len() > MOST_PARTS {
        let found = format!("it has {} parts", items.len());
        return Err(Finding::new(found, format!("1 to {MOST_PARTS} parts")));
    }
    items.iter().map(read).collect()
}

fn line(value: &Value) -> Result<LineString, Finding> {
    let line = LineString(positions(value)?).remove_repeated_points();
    if line.0.len() < 2 {
        return Err(Finding::new("the line has no length", "2 different positions or more"));
    }
    on_one_side(&line)?;
    Ok(line)
}

/// As GeoJSON calls it.
pub(super) fn type_name(geometry: &Geometry) -> &'static str {
    geojson::GeometryValue::from(geometry).type_name()
}

/// Along the ground.
pub(super) fn length(line: &MultiLineString) -> Metres {
    Metres(Geodesic.length(line))
}
