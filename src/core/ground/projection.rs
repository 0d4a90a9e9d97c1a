//! Degrees to metres and back, close to one place.

use geo::{Coord, MapCoords, Point, coord};

/// WGS84, NIMA TR8350.2 (2000), table 3.1: equatorial radius in metres, and flattening.
pub(super) const EQUATORIAL_RADIUS: f64 = 6_378_137.0;
pub(super) const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// First eccentricity, squared.
pub(super) const ECCENTRICITY_SQUARED: f64 = FLATTENING * (2.0 - FLATTENING);

/// Keeps a shape at a pole finite, where a degree of longitude has no length.
const LEAST_METRES_PER_DEGREE: f64 = 1e-6;

const FULL_TURN: f64 = 360.0;

/// An equirectangular projection with the ellipsoid's two radii of curvature at its anchor.
///
/// Straight edges in degrees stay straight in metres, so crossing, touching and containing
/// are the same in both. Areas within a hectare of the anchor are good to 5 parts in
/// 100,000; take them as shares of a geodesic area, not for themselves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LocalMetres {
    anchor: Point,
    east_metres_per_degree: f64,
    north_metres_per_degree: f64,
}

impl LocalMetres {
    /// `anchor` in degrees; it becomes the origin.
    pub fn at(anchor: Point) -> Self {
        let (sin, cos) = anchor.y().to_radians().sin_cos();
        let curvature = 1.0 - ECCENTRICITY_SQUARED * sin * sin;
        let prime_vertical = EQUATORIAL_RADIUS / curvature.sqrt();
        let meridional = prime_vertical * (1.0 - ECCENTRICITY_SQUARED) / curvature;
        Self {
            anchor,
            east_metres_per_degree: (prime_vertical * cos)
                .to_radians()
                .max(LEAST_METRES_PER_DEGREE),
            north_metres_per_degree: meridional.to_radians(),
        }
    }

    /// A shape in degrees, as metres east and north of the anchor, the short way round the
    /// Earth.
    pub fn metres<G: MapCoords<f64, f64, Output = G>>(&self, shape: &G) -> G {
        shape.map_coords(|place| self.place_in_metres(place))
    }

    /// The way back. Longitudes may pass 180° where the shape reaches over the antimeridian.
    pub fn degrees<G: MapCoords<f64, f64, Output = G>>(&self, shape: &G) -> G {
        shape.map_coords(|offset| {
            coord! {
                x: self.anchor.x() + offset.x / self.east_metres_per_degree,
                y: self.anchor.y() + offset.y / self.north_metres_per_degree,
            }
        })
    }

    fn place_in_metres(&self, place: Coord) -> Coord {
        coord! {
            x: short_way_round(place.x - self.anchor.x()) * self.east_metres_per_degree,
            y: (place.y - self.anchor.y()) * self.north_metres_per_degree,
        }
    }
}

/// The same longitude, or difference of longitudes, from −180° to 180°.
pub fn short_way_round(degrees: f64) -> f64 {
    if degrees.abs() <= FULL_TURN / 2.0 {
        degrees
    } else {
        degrees - FULL_TURN * (degrees / FULL_TURN).round()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WGS84 lengths of a degree at 45° N, by the usual tables: 78,847 m and 111,132 m.
    #[test]
    fn a_degree_at_45_north_has_its_tabled_lengths() {
        let metres = LocalMetres::at(Point::new(-3.0, 45.0));
        let offset = metres.metres(&Point::new(-2.0, 46.0));
        assert!((offset.x() - 78_847.0).abs() < 1.0, "{}", offset.x());
        assert!((offset.y() - 111_132.0).abs() < 1.0, "{}", offset.y());
    }

    #[test]
    fn there_and_back_is_the_same_place_even_over_the_antimeridian() {
        let metres = LocalMetres::at(Point::new(179.9999, -41.0));
        let over = metres.metres(&Point::new(-179.9999, -41.0001));
        assert!((over.x() - 16.8).abs() < 0.1, "{}", over.x());
        let back = metres.degrees(&over);
        assert!((short_way_round(back.x()) + 179.9999).abs() < 1e-12);
        assert!((back.y() + 41.0001).abs() < 1e-12);
    }
}
