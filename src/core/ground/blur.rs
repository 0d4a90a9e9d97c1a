//! Squares that stand in for places, so that nobody can tell from them where a place lies.
//!
//! The squares of every size are counted from the same line and the same pole, and those of one
//! size lie whole within those of the next: whoever holds a place in squares of two sizes knows the
//! smaller one and nothing more. So a size in between is none.

use std::fmt;

use geo::{Coord, Point, coord};

use super::geodesic_distance;
use super::projection::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS, short_way_round};
use crate::units::Metres;

/// The sides of squares, in kilometres; each is a whole number of times the one before.
const SIDES_KM: [u32; 5] = [1, 2, 10, 50, 100];

/// Rows of squares of the largest size have each its own number of columns, which those within it
/// share.
const LARGEST_KM: u32 = 100;

const FURTHEST_LATITUDE: f64 = 90.0;
const FULL_TURN: f64 = 360.0;

/// How large the squares are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Blur {
    kilometres: u32,
}

/// A square of some size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Square {
    blur: Blur,
    /// Counted from the South Pole.
    row: u32,
    /// Counted eastward from 180°.
    column: u32,
}

impl Blur {
    /// The finest there is.
    pub const FINEST: Self = Self { kilometres: SIDES_KM[0] };

    /// `None` for a length that is no side of a square.
    pub fn of(side: Metres) -> Option<Self> {
        let same = |kilometres: &u32| f64::from(*kilometres) * 1000.0 == side.0;
        SIDES_KM.into_iter().find(same).map(|kilometres| Self { kilometres })
    }

    /// Every size there is, the finest first.
    pub fn sizes() -> impl Iterator<Item = Self> {
        SIDES_KM.into_iter().map(|kilometres| Self { kilometres })
    }

    /// The least length of a side; where rows and columns do not go up in a whole turn, a square is
    /// up to a twentieth longer, and more so close to a pole.
    pub fn side(self) -> Metres {
        Metres(f64::from(self.kilometres) * 1000.0)
    }

    /// The square of a place in degrees.
    pub fn square(self, place: Point) -> Square {
        let lat = place.y().clamp(-FURTHEST_LATITUDE, FURTHEST_LATITUDE);
        let row = (lat + FURTHEST_LATITUDE) / self.height();
        let row = (row as u32).min(self.last_row());
        let east = (short_way_round(place.x()) + FULL_TURN / 2.0).clamp(0.0, FULL_TURN);
        let columns = self.columns(row);
        let column = (east / FULL_TURN * f64::from(columns)) as u32;
        Square { blur: self, row, column: column % columns }
    }

    /// Degrees of latitude; those of the Equator, where a degree is shortest.
    fn height(self) -> f64 {
        let metres_per_degree = (EQUATORIAL_RADIUS * (1.0 - ECCENTRICITY_SQUARED)).to_radians();
        self.side().0 / metres_per_degree
    }

    fn last_row(self) -> u32 {
        (2.0 * FURTHEST_LATITUDE / self.height()).ceil() as u32 - 1
    }

    /// How many squares go round the Earth in a row, each as wide as its side where the row of
    /// largest squares that it lies in is narrowest.
    fn columns(self, row: u32) -> u32 {
        let largest = Self { kilometres: LARGEST_KM };
        let row = f64::from(row / (LARGEST_KM / self.kilometres));
        let edges = [row, row + 1.0].map(|row| row * largest.height() - FURTHEST_LATITUDE);
        let narrowest = edges.map(round_the_earth).into_iter().fold(f64::INFINITY, f64::min);
        let largest_ones = ((narrowest / largest.side().0) as u32).max(1);
        largest_ones * (LARGEST_KM / self.kilometres)
    }
}

/// `1 km`.
impl fmt::Display for Blur {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} km", self.kilometres)
    }
}

/// Metres along a circle of latitude.
fn round_the_earth(lat: f64) -> f64 {
    let (sin, cos) = lat.min(FURTHEST_LATITUDE).to_radians().sin_cos();
    let prime_vertical = EQUATORIAL_RADIUS / (1.0 - ECCENTRICITY_SQUARED * sin * sin).sqrt();
    (prime_vertical * cos).max(0.0) * std::f64::consts::TAU
}

impl Square {
    /// `1km-16022-9934`: its side, and which it is from the South Pole and from 180° eastward.
    pub fn name(self) -> String {
        format!("{}km-{}-{}", self.blur.kilometres, self.row, self.column)
    }

    /// How large it is.
    pub fn blur(self) -> Blur {
        self.blur
    }

    /// In degrees.
    pub fn middle(self) -> Point {
        let [south_west, north_east] = self.corners();
        Point((south_west + north_east) / 2.0)
    }

    /// From its middle to its furthest corner.
    pub fn reach(self) -> Metres {
        let [least, most] = self.corners();
        let middle = self.middle();
        let corner = |lat: f64| geodesic_distance(middle, Point::new(least.x, lat));
        let corners = [least.y, most.y].map(|lat| corner(lat).unwrap_or_default());
        Metres(corners.into_iter().map(|reach| reach.0).fold(0.0, f64::max))
    }

    /// South-west and north-east, in degrees.
    pub fn corners(self) -> [Coord; 2] {
        let width = FULL_TURN / f64::from(self.blur.columns(self.row));
        let height = self.blur.height();
        let at = |column: u32, row: u32| {
            coord! {
                x: f64::from(column) * width - FULL_TURN / 2.0,
                y: (f64::from(row) * height - FURTHEST_LATITUDE).min(FURTHEST_LATITUDE),
            }
        };
        [at(self.column, self.row), at(self.column + 1, self.row + 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> impl Iterator<Item = Point> {
        let lats = [-90.0, -62.3, -0.01, 0.0, 12.7, 48.05, 54.051, 83.2, 89.999, 90.0];
        let lons = [-180.0, -179.999, -20.0, -3.21, 0.0, 7.7, 179.999, 180.0];
        lats.into_iter().flat_map(move |lat| lons.map(|lon| Point::new(lon, lat)))
    }

    #[test]
    fn a_square_holds_its_places_and_is_no_smaller_than_it_says() {
        for (place, blur) in places().flat_map(|place| Blur::sizes().map(move |blur| (place, blur)))
        {
            let square = blur.square(place);
            let [least, most] = square.corners();
            let lon = if place.x() == 180.0 { -180.0 } else { place.x() };
            // A tenth of a millimetre: an edge is no round number.
            const HAIR: f64 = 1e-9;
            let holds = |least: f64, at: f64, most: f64| (least - HAIR..=most + HAIR).contains(&at);
            assert!(holds(least.x, lon, most.x), "{place:?} {square:?}");
            assert!(holds(least.y, place.y(), most.y), "{place:?} {square:?}");
            assert_eq!(blur.square(square.middle()), square);
            if place.y().abs() < 80.0 {
                let side = blur.side().0;
                let along = |lat: f64| {
                    let [a, b] = [least.x, most.x].map(|lon| Point::new(lon, lat));
                    geodesic_distance(a, b).unwrap_or_default().0
                };
                let up = geodesic_distance(Point(least), Point::new(least.x, most.y));
                let up = up.unwrap_or_default().0;
                for length in [along(least.y), along(most.y), up] {
                    // The chord of a wide row is a little shorter than its circle.
                    assert!((side * 0.995..side * 1.3).contains(&length), "{length} of {side}");
                }
            }
        }
    }

    #[test]
    fn squares_of_one_size_lie_whole_within_those_of_the_next() {
        for place in places() {
            let squares: Vec<Square> = Blur::sizes().map(|blur| blur.square(place)).collect();
            for pair in squares.windows(2) {
                let [inner, outer] = [pair[0].corners(), pair[1].corners()];
                const HAIR: f64 = 1e-9;
                assert!(outer[0].x <= inner[0].x + HAIR && inner[1].x <= outer[1].x + HAIR);
                assert!(outer[0].y <= inner[0].y + HAIR && inner[1].y <= outer[1].y + HAIR);
            }
        }
    }

    #[test]
    fn other_lengths_are_no_sides() {
        for side in [0.0, 500.0, 1500.0, 5000.0, f64::NAN, -1000.0] {
            assert_eq!(Blur::of(Metres(side)), None);
        }
        assert_eq!(Blur::of(Metres(1000.0)), Some(Blur::FINEST));
    }
}
