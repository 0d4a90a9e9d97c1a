//! Longitude and latitude, as RFC 7946 writes them.

use geo::{Coord, LineString};
use serde_json::Value;

use super::problem::{Finding, quoted};

/// The positions of a line or ring, as written.
pub(super) fn positions(value: &Value) -> Result<Vec<Coord>, Finding> {
    list(value)?.iter().map(position).collect()
}

/// Longitude and latitude; a height behind them is passed over.
pub(super) fn position(value: &Value) -> Result<Coord, Finding> {
    let wrong = || {
        Finding::new(
            format!("{} is no position", quoted(&value.to_string())),
            "`[longitude, latitude]`, two numbers in degrees",
        )
    };
    let (Some(lon), Some(lat)) = (value.get(0), value.get(1)) else { return Err(wrong()) };
    let (Some(x), Some(y)) = (lon.as_f64(), lat.as_f64()) else { return Err(wrong()) };
    if (90.0..=180.0).contains(&y.abs()) && y.abs() > 90.0 && x.abs() <= 90.0 {
        return Err(Finding::new(
            format!("`{lat}` is no latitude; longitude and latitude look swapped"),
            "longitude first, then latitude",
        ));
    }
    if y.abs() > 90.0 {
        return Err(Finding::new(format!("`{lat}` is no latitude"), "degrees from -90 to 90"));
    }
    if x.abs() > 180.0 {
        return Err(Finding::new(format!("`{lon}` is no longitude"), "degrees from -180 to 180"));
    }
    Ok(Coord { x, y })
}

/// Refuses a step of more than half the Earth's turn.
pub(super) fn on_one_side(line: &LineString) -> Result<(), Finding> {
    if line.lines().any(|step| step.dx().abs() > 180.0) {
        return Err(Finding::new(
            "it crosses the antimeridian",
            "two parts, one on each side of longitude 180",
        ));
    }
    Ok(())
}

pub(super) fn list(value: &Value) -> Result<&[Value], Finding> {
    value.as_array().map(Vec::as_slice).ok_or_else(|| {
        Finding::new(
            format!("{} stands where a list of positions should", quoted(&value.to_string())),
            "lists of `[longitude, latitude]`, nested as the geometry's type asks",
        )
    })
}
