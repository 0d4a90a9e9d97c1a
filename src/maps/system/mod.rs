//! Systems of coordinates, and the way from each to WGS84 longitude and latitude.
//!
//! Only those are known that rest on WGS84 or on ETRS89 and what goes with it, which differs from
//! WGS84 by less than a metre in Europe (0.7 m in 2020, growing by 2.5 cm a year). From older
//! datums an exact way needs a grid of shifts, which a mapping program has.

mod codes;
mod wkt;

use std::fmt;
use std::sync::Arc;

use geo::{Coord, Geometry, MapCoords};
use proj4rs::Proj;
use proj4rs::transform::transform;

/// A system whose positions can be read.
#[derive(Clone)]
pub struct System {
    called: String,
    /// None for degrees of longitude and latitude.
    way: Option<Arc<Way>>,
}

struct Way {
    from: Proj,
    to: Proj,
}

impl System {
    /// Longitude and latitude in degrees.
    pub fn degrees() -> Self {
        Self { called: "longitude and latitude".to_owned(), way: None }
    }

    /// By a name like `EPSG:25832`.
    ///
    /// # Errors
    /// That it is not known, with a way out.
    pub fn of_code(code: &str) -> Result<Self, String> {
        let unknown = || unknown(&format!("`{code}`"));
        match codes::definition(code).ok_or_else(unknown)? {
            None => Ok(Self::degrees()),
            Some(definition) => Self::projected(code, &definition),
        }
    }

    /// By well-known text (OGC 01-009), as it stands in a `.prj`.
    ///
    /// # Errors
    /// That it is not known, with a way out.
    pub fn of_wkt(text: &str) -> Result<Self, String> {
        let system = wkt::definition(text);
        let system = system.map_err(|called| unknown(&format!("`{called}`")))?;
        match system.definition {
            None => Ok(Self::degrees()),
            Some(definition) => Self::projected(&system.called, &definition),
        }
    }

    fn projected(called: &str, definition: &str) -> Result<Self, String> {
        let parsed =
            |text: &str| Proj::from_proj_string(text).map_err(|_| unknown(&format!("`{called}`")));
        let (from, to) = (parsed(definition)?, parsed("+proj=longlat +ellps=WGS84 +no_defs")?);
        Ok(Self { called: called.to_owned(), way: Some(Arc::new(Way { from, to })) })
    }

    /// The same shape in WGS84 longitude and latitude.
    ///
    /// # Errors
    /// A position that lies nowhere in this system.
    pub fn to_wgs84(&self, shape: &Geometry) -> Result<Geometry, String> {
        let Some(way) = &self.way else { return Ok(shape.clone()) };
        shape.try_map_coords(|at| self.place(way, at))
    }

    fn place(&self, way: &Way, at: Coord) -> Result<Coord, String> {
        let mut place = (at.x, at.y, 0.0);
        let outcome = transform(&way.from, &way.to, &mut place);
        let (x, y) = (rounded(place.0.to_degrees()), rounded(place.1.to_degrees()));
        match outcome.is_ok() && x.is_finite() && y.is_finite() {
            true => Ok(Coord { x, y }),
            false => Err(format!("`{} {}` lies nowhere in {}", at.x, at.y, self.called)),
        }
    }
}

/// Nine decimals, a tenth of a millimetre: what went into a system and comes out of it is then the
/// same to the last digit, unless it was finer.
fn rounded(degrees: f64) -> f64 {
    const FINEST: f64 = 1e9;
    (degrees * FINEST).round() / FINEST
}

fn unknown(called: &str) -> String {
    format!(
        "the way from {called} to longitude and latitude is not known exactly; save the map in \
         EPSG:4326 in a mapping program, which knows it"
    )
}

impl fmt::Debug for System {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_tuple("System").field(&self.called).finish()
    }
}

#[cfg(test)]
mod tests {
    use geo::Point;

    use super::*;

    /// Worked examples of IOGP Publication 373-7-2 (EPSG Guidance Note 7, part 2), backward: Lambert
    /// Azimuthal Equal Area (method 9820) and Popular Visualisation Pseudo-Mercator (1024). Their
    /// positions are given to a centimetre, and those of the second to a thousandth of a second of
    /// arc, 3 cm.
    #[test]
    fn published_examples_come_out_to_the_figures_they_are_given_in() {
        let dms =
            |degrees: f64, minutes: f64, seconds: f64| degrees + minutes / 60.0 + seconds / 3600.0;
        for (code, east, north, lon, lat, off_m) in [
            ("EPSG:3035", 3_962_799.45, 2_999_718.85, 5.0, 50.0, 0.01),
            (
                "EPSG:3857",
                -11_169_055.58,
                2_800_000.0,
                -dms(100.0, 20.0, 0.0),
                dms(24.0, 22.0, 54.433),
                0.03,
            ),
        ] {
            let shape = Geometry::from(Point::new(east, north));
            let Ok(Ok(Geometry::Point(found))) =
                System::of_code(code).map(|system| system.to_wgs84(&shape))
            else {
                panic!("{code} is not known");
            };
            const METRES_PER_DEGREE: f64 = 111_320.0;
            let off = (found.x() - lon).hypot(found.y() - lat) * METRES_PER_DEGREE;
            assert!(off <= off_m, "{code}: {off} m off");
        }
    }

    /// On its central meridian a universal transverse Mercator is the arc of the meridian, shrunk to
    /// 0.9996 (NGA.SIG.0012, 2014); the arc by Simpson's rule from the ellipsoid's two radii.
    #[test]
    fn the_middle_of_a_zone_is_the_arc_of_its_meridian() {
        const STEPS: u32 = 1000;
        let flattening = 1.0 / 298.257_223_563;
        let e2 = flattening * (2.0 - flattening);
        let curvature =
            |lat: f64| 6_378_137.0 * (1.0 - e2) / (1.0 - e2 * lat.sin().powi(2)).powf(1.5);
        let step = 45_f64.to_radians() / f64::from(STEPS);
        let weighed = (0..=STEPS).map(|n| {
            let weight = match n {
                0 | STEPS => 1.0,
                odd if odd % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * curvature(f64::from(n) * step)
        });
        let north = 0.9996 * weighed.sum::<f64>() * step / 3.0;
        let shape = Geometry::from(Point::new(500_000.0, north));
        for code in ["EPSG:32630", "EPSG:25830"] {
            let Ok(Ok(Geometry::Point(found))) =
                System::of_code(code).map(|system| system.to_wgs84(&shape))
            else {
                panic!("{code} is not known");
            };
            assert!((found.x() + 3.0).abs() < 1e-9, "{code}: {found:?}");
            assert!((found.y() - 45.0).abs() < 1e-8, "{code}: {found:?}");
        }
    }
}
