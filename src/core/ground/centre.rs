//! The middle of a shape.

use geo::{Centroid, CoordsIter, MapCoords, Point};

use super::projection::{LocalMetres, short_way_round};
use crate::records::{Footprint, Site};

/// The furthest longitude a shape may name: one turn covers those who count past 180°.
const FURTHEST_LONGITUDE: f64 = 360.0;
const FURTHEST_LATITUDE: f64 = 90.0;

/// What has a middle, if it is not empty.
pub(super) trait Shape:
    CoordsIter<Scalar = f64> + MapCoords<f64, f64, Output = Self> + Centroid<Output = Option<Point>>
{
}

impl<G> Shape for G where
    G: CoordsIter<Scalar = f64>
        + MapCoords<f64, f64, Output = G>
        + Centroid<Output = Option<Point>>
{
}

/// The middle of a patch, longitude and latitude in degrees; `None` for an empty shape.
pub fn centre(footprint: &Footprint) -> Option<Point> {
    match footprint {
        Footprint::Area(polygons) => middle(polygons),
        Footprint::Strip { line, .. } => middle(line),
        Footprint::Disc { centre, .. } | Footprint::Plants { centre, .. } => {
            is_on_earth(centre).then_some(*centre)
        }
    }
}

/// The middle of a site, longitude and latitude in degrees; `None` for an empty boundary.
pub fn site_centre(site: &Site) -> Option<Point> {
    middle(&site.boundary)
}

/// The centroid, found in metres so that a shape cut at the antimeridian has its own.
pub(super) fn middle(shape: &impl Shape) -> Option<Point> {
    if !is_on_earth(shape) {
        return None;
    }
    let somewhere = Point(shape.coords_iter().next()?);
    let metres = LocalMetres::at(somewhere);
    metres.metres(shape).centroid().map(|offset| {
        let place = metres.degrees(&offset);
        Point::new(short_way_round(place.x()), place.y())
    })
}

/// The projection to use for a shape, anchored at its middle.
pub(super) fn metres_around(shape: &impl Shape) -> Option<LocalMetres> {
    middle(shape).map(LocalMetres::at)
}

/// Whether every coordinate is a place; false for `NaN`.
pub(super) fn is_on_earth(shape: &impl CoordsIter<Scalar = f64>) -> bool {
    shape
        .coords_iter()
        .all(|at| at.x.abs() <= FURTHEST_LONGITUDE && at.y.abs() <= FURTHEST_LATITUDE)
}
