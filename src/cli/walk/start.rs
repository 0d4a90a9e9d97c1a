//! Where a walk begins: a place in degrees, a landmark by its name, or where one parks.

use std::str::FromStr;

use geo::Point;

use crate::cli::args::LonLat;
use crate::cli::failure::Failure;
use crate::records::{Landmark, LandmarkKind, Ledger, SiteFacts, SiteName, Walk, begins, folded};
use crate::report::landmark_place;

/// As it is typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Start {
    At(LonLat),
    /// Of a landmark, or a beginning of it.
    Named(String),
}

impl FromStr for Start {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let is_number = |part: &str| part.trim().parse::<f64>().is_ok();
        if text.split(',').any(is_number) {
            return text.parse().map(Self::At);
        }
        match text.trim() {
            "" => Err("nothing is named; write LON,LAT or the name of a landmark".to_owned()),
            name => Ok(Self::Named(name.to_owned())),
        }
    }
}

/// The place that is meant; where none is asked for, the parking of the first site that has one,
/// or else a gate.
///
/// # Errors
/// No landmark of that name, or several.
pub fn start_of(
    asked: Option<&Start>,
    ledger: &Ledger,
    sites: &[SiteName],
) -> Result<Option<Point>, Failure> {
    let is_among = |facts: &&SiteFacts| sites.contains(&facts.site.record.name);
    match asked {
        Some(Start::At(place)) => Ok(Some(Point::new(place.lon, place.lat))),
        Some(Start::Named(name)) => {
            let all = ledger.sites.iter().filter(is_among).flat_map(|facts| &facts.landmarks);
            named(name, all.map(|fact| &fact.record).collect())
        }
        None => {
            let in_order = sites.iter().filter_map(|name| {
                ledger.sites.iter().find(|facts| facts.site.record.name == *name)
            });
            let first = |facts: &SiteFacts| {
                let parking = facts.landmarks_of(LandmarkKind::Parking);
                parking.chain(facts.landmarks_of(LandmarkKind::Gate)).find_map(landmark_place)
            };
            Ok(in_order.filter_map(first).next())
        }
    }
}

fn named(name: &str, all: Vec<&Landmark>) -> Result<Option<Point>, Failure> {
    let so = |landmark: &&&Landmark| folded(&landmark.name) == folded(name);
    let mut found: Vec<&Landmark> = all.iter().filter(so).copied().collect();
    if found.is_empty() {
        found = all.iter().filter(|landmark| begins(&landmark.name, name)).copied().collect();
    }
    match found.as_slice() {
        [one] => Ok(landmark_place(one)),
        [] => {
            let known: Vec<String> = all.iter().map(|one| format!("`{}`", one.name)).collect();
            let known = match known.as_slice() {
                [] => "none is recorded there".to_owned(),
                known => format!("there are {}", known.join(", ")),
            };
            Err(Failure::wrong(format!(
                "no landmark of the walk's sites is called `{name}`; {known}"
            )))
        }
        several => {
            let names: Vec<String> =
                several.iter().map(|one| format!("`{}` of {}", one.name, one.site)).collect();
            Err(Failure::wrong(format!(
                "`{name}` may be {}; write more of the one that is meant, or LON,LAT",
                names.join(", ")
            )))
        }
    }
}

/// The same for a walk that is recorded.
///
/// # Errors
/// As those of [`start_of`].
pub fn start_of_walk(
    asked: Option<&Start>,
    ledger: &Ledger,
    walk: &Walk,
) -> Result<Option<Point>, Failure> {
    let sites: Vec<SiteName> = walk.sites().cloned().collect();
    start_of(asked, ledger, &sites)
}
