//! Maps as other programs keep them: layers of features, whatever the file's format.
//!
//! Nothing here knows what a site or a patch is, and nothing is worded here. A GeoPackage is a
//! file that happens to be SQLite: its few statements are its format, and never meet the book.

mod feature;
#[cfg(feature = "bring")]
mod reading;
#[cfg(feature = "bring")]
mod system;
mod text;
mod way;
mod wkb;
mod writing;

pub use feature::{Feature, Layer, Map, Properties};
#[cfg(feature = "bring")]
pub use reading::{Drawing, Drawn, Source, beside, is_map, read};
#[cfg(feature = "bring")]
pub use system::System;
pub use way::way;
pub use writing::{geojson, geojson_schema, gpkg, gpx, kml};
