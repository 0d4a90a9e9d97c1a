//! Grid references: the Military Grid Reference System on WGS84, which needs no tables and
//! covers the Earth from 80° S to 84° N.
//!
//! NGA.SIG.0012 (2014), The Universal Grids and the Transverse Mercator and Polar
//! Stereographic Map Projections; the projection by Krüger's series to the fourth order
//! (Karney 2011, J. Geod. 85:475–485, eq. 7–9, 35), good to a millimetre within a zone.

use geo::{Coord, Point, coord};

use super::projection::{ECCENTRICITY_SQUARED, EQUATORIAL_RADIUS, FLATTENING};

const SOUTHERNMOST: f64 = -80.0;
const NORTHERNMOST: f64 = 84.0;

const SCALE_ON_MERIDIAN: f64 = 0.9996;
const FALSE_EASTING: f64 = 500_000.0;
const FALSE_NORTHING_SOUTH: f64 = 10_000_000.0;

/// The side of a lettered square, in metres.
const SQUARE: f64 = 100_000.0;

const BANDS: &[u8] = b"CDEFGHJKLMNPQRSTUVWX";
const BAND_DEGREES: f64 = 8.0;
const COLUMNS: [&[u8]; 3] = [b"ABCDEFGH", b"JKLMNPQR", b"STUVWXYZ"];
const ROWS: &[u8] = b"ABCDEFGHJKLMNPQRSTUV";
/// Rows begin with F in zones of even number.
const ROWS_SHIFTED: usize = 5;

/// The grid square of one metre that holds a place in degrees, like `30U WF 12345 67890`.
///
/// `None` near the poles, which the grid leaves to another system, and off the Earth.
pub fn grid_reference(place: Point) -> Option<String> {
    let (lon, lat) = (place.x(), place.y());
    if !(SOUTHERNMOST..=NORTHERNMOST).contains(&lat) || lon.is_nan() || lon.abs() > 180.0 {
        return None;
    }
    let zone = zone(lon, lat);
    let metres = transverse_mercator(lon - central_meridian(zone), lat);
    let band = BANDS.get((((lat - SOUTHERNMOST) / BAND_DEGREES) as usize).min(BANDS.len() - 1))?;
    let column = COLUMNS[(zone - 1) % 3].get(((metres.x / SQUARE) as usize).checked_sub(1)?)?;
    let shift = if zone.is_multiple_of(2) { ROWS_SHIFTED } else { 0 };
    let row = ROWS[((metres.y / SQUARE) as usize + shift) % ROWS.len()];
    let [band, column, row] = [*band, *column, row].map(char::from);
    let within = |metres: f64| (metres % SQUARE) as u32;
    Some(format!("{zone:02}{band} {column}{row} {:05} {:05}", within(metres.x), within(metres.y)))
}

/// Six degrees wide, but for south-west Norway and Svalbard.
fn zone(lon: f64, lat: f64) -> usize {
    let plain = ((lon + 180.0) / 6.0) as usize % 60 + 1;
    match plain {
        31 if (56.0..64.0).contains(&lat) && lon >= 3.0 => 32,
        32 | 34 | 36 if lat >= 72.0 => {
            let middle = central_meridian(plain);
            if lon < middle { plain - 1 } else { plain + 1 }
        }
        _ => plain,
    }
}

fn central_meridian(zone: usize) -> f64 {
    zone as f64 * 6.0 - 183.0
}

/// Easting and northing in metres; `lon` from the central meridian, degrees.
fn transverse_mercator(lon: f64, lat: f64) -> Coord {
    let n = FLATTENING / (2.0 - FLATTENING);
    let rectifying_radius =
        EQUATORIAL_RADIUS / (1.0 + n) * (1.0 + n.powi(2) / 4.0 + n.powi(4) / 64.0);
    let (sin_lon, cos_lon) = lon.to_radians().sin_cos();
    let sin_lat = lat.to_radians().sin();
    let eccentricity = ECCENTRICITY_SQUARED.sqrt();
    let conformal = (sin_lat.atanh() - eccentricity * (eccentricity * sin_lat).atanh()).sinh();
    let north = conformal.atan2(cos_lon);
    let east = (sin_lon / conformal.hypot(cos_lon)).asinh();
    let mut sum = coord! { x: east, y: north };
    for (j, alpha) in (1_u8..).zip(kruger_coefficients(n)) {
        let twice = 2.0 * f64::from(j);
        sum.x += alpha * (twice * north).cos() * (twice * east).sinh();
        sum.y += alpha * (twice * north).sin() * (twice * east).cosh();
    }
    let scale = SCALE_ON_MERIDIAN * rectifying_radius;
    let false_northing = if lat < 0.0 { FALSE_NORTHING_SOUTH } else { 0.0 };
    coord! { x: FALSE_EASTING + scale * sum.x, y: false_northing + scale * sum.y }
}

/// Karney 2011, eq. 35, up to the fourth order.
fn kruger_coefficients(n: f64) -> [f64; 4] {
    [
        n / 2.0 - 2.0 / 3.0 * n.powi(2) + 5.0 / 16.0 * n.powi(3) + 41.0 / 180.0 * n.powi(4),
        13.0 / 48.0 * n.powi(2) - 3.0 / 5.0 * n.powi(3) + 557.0 / 1440.0 * n.powi(4),
        61.0 / 240.0 * n.powi(3) - 103.0 / 140.0 * n.powi(4),
        49_561.0 / 161_280.0 * n.powi(4),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_no_reference_near_the_poles_or_off_the_earth() {
        for (lon, lat) in [(0.0, 84.1), (0.0, -80.1), (181.0, 0.0), (f64::NAN, 0.0)] {
            assert_eq!(grid_reference(Point::new(lon, lat)), None);
        }
    }

    #[test]
    fn the_edges_of_the_grid_have_references() {
        for (lon, lat) in [(180.0, 0.0), (-180.0, 84.0), (0.0, -80.0), (42.0, 80.0)] {
            assert!(grid_reference(Point::new(lon, lat)).is_some(), "{lon}, {lat}");
        }
    }

    #[test]
    fn northings_are_counted_from_the_equator_and_in_the_south_from_ten_million_on() {
        let north = |lat| transverse_mercator(0.0, lat).y.round();
        assert_eq!([0.0, 1e-5, -1e-5].map(north), [0.0, 1.0, 9_999_999.0]);
    }
}
