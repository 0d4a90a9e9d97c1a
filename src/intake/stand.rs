//! The patch that a row speaks of: by its name, or by crop and position.

use std::sync::Arc;

use super::fields::Fields;
use super::known::{Gazetteer, Placed};
use super::problem::{Finding, quoted};
use super::tally::Reported;
use super::value;
use crate::records::{GpsPoint, PatchName};
use crate::units::Metres;

/// What a phone's position is good for where the file does not say, in metres.
const USUAL_ACCURACY: f64 = 5.0;
/// A position worse than this tells no patch from the next, in metres.
const WORST_ACCURACY: f64 = 1000.0;

/// Where a row belongs.
#[derive(Debug)]
pub(super) struct Stand {
    pub patch: PatchName,
    pub crop: Arc<str>,
    pub at: Option<GpsPoint>,
}

/// `None` where the position lies on no-take ground: said, and left out.
pub(super) fn read(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
) -> Result<Option<Stand>, Reported> {
    let at = position(fields);
    if fields.is_filled("patch") {
        return by_name(fields, known, at).map(Some);
    }
    let crop = fields.crop(known);
    let (at, crop) = (at?, crop?);
    let Some(point) = at else {
        let found = "neither a patch nor a position is there".to_owned();
        return Err(fields.refuse("patch", found));
    };
    let patch = by_place(fields, known, &crop.name, &point)?;
    Ok(patch.map(|patch| Stand { patch, crop: crop.name.clone(), at }))
}

fn by_name(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
    at: Result<Option<GpsPoint>, Reported>,
) -> Result<Stand, Reported> {
    let patch = fields.patch(known)?;
    let crop = fields.raw("crop");
    if !crop.is_empty() && crop != &*patch.crop {
        let found =
            format!("`{}` is a patch of `{}`, not of {}", patch.name, patch.crop, quoted(crop));
        return Err(fields.refuse("crop", found));
    }
    Ok(Stand { patch: patch.name.clone(), crop: patch.crop.clone(), at: at? })
}

fn by_place(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
    crop: &str,
    at: &GpsPoint,
) -> Result<Option<PatchName>, Reported> {
    let reach = at.accuracy;
    match known.place(crop, at) {
        Placed::In(patch) => Ok(Some(patch)),
        Placed::Near(patch, distance) => {
            fields.remark(&format!("{distance} outside `{patch}`, taken to it"));
            Ok(Some(patch))
        }
        Placed::NoTake { patch, zone } => {
            fields.remark(&format!("in no-take ground `{zone}` of `{patch}`, left out"));
            Ok(None)
        }
        Placed::Between(patches) => {
            let names: Vec<String> = patches.iter().map(|name| format!("`{name}`")).collect();
            let found = format!("{} lie within {reach} of the position", names.join(" and "));
            Err(fields.refuse("patch", Finding::new(found, "the name of the right one here")))
        }
        Placed::Nowhere { nearest } => {
            let nearest = nearest.map_or_else(String::new, |(patch, distance)| {
                format!("; the nearest, `{patch}`, is {distance} off")
            });
            let found =
                format!("no patch of `{crop}` lies within {reach} of the position{nearest}");
            let expected = "a position in a patch, or the patch's name here";
            Err(fields.refuse("patch", Finding::new(found, expected)))
        }
    }
}

/// The columns `lon`, `lat` and `accuracy_m`.
fn position(fields: &mut Fields<'_>) -> Result<Option<GpsPoint>, Reported> {
    let lon = fields.optional("lon", value::number);
    let lat = fields.optional("lat", value::number);
    let accuracy =
        fields.optional("accuracy_m", |text| value::positive(text, WORST_ACCURACY, "an accuracy"));
    let accuracy = Metres(accuracy?.unwrap_or(USUAL_ACCURACY));
    match (lon?, lat?) {
        (None, None) => Ok(None),
        (Some(_), None) => Err(fields.refuse("lat", "nothing is there".to_owned())),
        (None, Some(_)) => Err(fields.refuse("lon", "nothing is there".to_owned())),
        (Some(lon), Some(lat)) => {
            on_earth(fields, lon, lat)?;
            Ok(Some(GpsPoint { lon, lat, accuracy }))
        }
    }
}

fn on_earth(fields: &mut Fields<'_>, lon: f64, lat: f64) -> Result<(), Reported> {
    let (asked_lon, asked_lat) = (quoted(fields.raw("lon")), quoted(fields.raw("lat")));
    if lat.abs() > 90.0 && lat.abs() <= 180.0 && lon.abs() <= 90.0 {
        let found = format!("{asked_lat} is no latitude; `lon` and `lat` look swapped");
        return Err(fields.refuse("lat", found));
    }
    if lat.abs() > 90.0 {
        return Err(fields.refuse("lat", format!("{asked_lat} is no latitude")));
    }
    if lon.abs() > 180.0 {
        return Err(fields.refuse("lon", format!("{asked_lon} is no longitude")));
    }
    Ok(())
}
