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
        let (x, y) = (place.0.to_degrees(), place.1.to_degrees());
        match outcome.is_ok() && x.is_finite() && y.is_finite() {
            true => Ok(Coord { x, y }),
            false => Err(format!("`{} {}` lies nowhere in {}", at.x, at.y, self.called)),
        }
    }
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
