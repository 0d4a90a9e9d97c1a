//! A map in the formats that other programs read, each in a file of its own.

mod geojson;
mod gpkg;
mod gpx;
mod kml;
mod xml;

pub use geojson::{geojson, geojson_schema};
pub use gpkg::gpkg;
pub use gpx::gpx;
pub use kml::kml;
