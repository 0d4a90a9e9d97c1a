//! How far apart places are, as the crow flies.

use geo::{Distance, Geodesic, Point};

use super::centre::is_on_earth;
use crate::units::Metres;

/// Geodesic metres between two places in degrees; `None` if one is not on Earth.
pub fn geodesic_distance(from: Point, to: Point) -> Option<Metres> {
    (is_on_earth(&from) && is_on_earth(&to)).then(|| Metres(Geodesic.distance(from, to)))
}
