//! Areas and lengths on the ellipsoid, by Karney's geodesics (J. Geod. 87:43–55, 2013).

use std::f64::consts::PI;

use geo::orient::{Direction, Orient};
use geo::{Geodesic, GeodesicArea, Length, MultiLineString, MultiPolygon};

use super::centre::is_on_earth;
use crate::records::Footprint;
use crate::units::{Metres, SquareMetres};

/// Area in square metres, whichever way the rings turn: a clockwise ring would otherwise
/// stand for the rest of the Earth. A shape that is not on Earth has none.
pub fn geodesic_area(ground: &MultiPolygon) -> SquareMetres {
    if !is_on_earth(ground) {
        return SquareMetres(0.0);
    }
    let area_of = |polygon: &geo::Polygon| {
        SquareMetres(polygon.orient(Direction::Default).geodesic_area_signed().abs())
    };
    ground.iter().map(area_of).sum()
}

/// Length in metres, the gaps between the lines left out. A line that is not on Earth has none.
pub fn geodesic_length(line: &MultiLineString) -> Metres {
    Metres(if is_on_earth(line) { Geodesic.length(line) } else { 0.0 })
}

/// The ground a patch covers: a strip is its length times its width, bends or not; counted
/// plants cover none.
pub fn footprint_area(footprint: &Footprint) -> SquareMetres {
    match footprint {
        Footprint::Area(polygons) => geodesic_area(polygons),
        Footprint::Strip { line, width } => geodesic_length(line) * *width,
        Footprint::Disc { radius, .. } => *radius * *radius * PI,
        Footprint::Plants { .. } => SquareMetres(0.0),
    }
}
