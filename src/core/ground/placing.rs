//! To which patch a position from a phone belongs.

use geo::Point;

use super::index::PatchIndex;
use crate::records::GpsPoint;
use crate::units::Metres;

/// How far around a lost position a patch is looked for, to name it: four times further
/// each time, up to some 5 km.
const SEARCHES: [Metres; 5] =
    [Metres(20.0), Metres(80.0), Metres(320.0), Metres(1280.0), Metres(5120.0)];

/// Where a position falls among the patches of one crop.
#[derive(Clone, Debug, PartialEq)]
pub enum Placing {
    /// In this patch and no other; its edge belongs to it.
    Inside(usize),
    /// In none, but this one and no other is within the position's accuracy.
    Near(usize, Metres),
    /// In two patches or more; or in none, and within reach of two or more.
    Between(Vec<usize>),
    /// Out of reach of them all. The nearest is named if it is within 5 km.
    Nowhere {
        /// Its position, and how far it is.
        nearest: Option<(usize, Metres)>,
    },
}

impl PatchIndex<'_> {
    /// Finds the patch of a crop that a position belongs to.
    pub fn place(&self, crop: &str, at: &GpsPoint) -> Placing {
        let place = Point::new(at.lon, at.lat);
        let of_crop = |within| self.near_where(place, within, |patch| &*patch.crop == crop);
        let reached = of_crop(at.accuracy);
        let inside: Vec<usize> = positions(reached.iter().filter(|(_, metres)| metres.0 == 0.0));
        match (inside.as_slice(), reached.as_slice()) {
            ([one], _) => Placing::Inside(*one),
            ([_, _, ..], _) => Placing::Between(inside),
            ([], [(one, distance)]) => Placing::Near(*one, *distance),
            ([], [_, _, ..]) => Placing::Between(positions(reached.iter())),
            ([], []) => Placing::Nowhere {
                nearest: SEARCHES.into_iter().find_map(|within| of_crop(within).first().copied()),
            },
        }
    }
}

fn positions<'a>(found: impl Iterator<Item = &'a (usize, Metres)>) -> Vec<usize> {
    found.map(|(position, _)| *position).collect()
}
