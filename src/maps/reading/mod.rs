//! What the files of other programs draw, in whatever format, before anyone has said what of it is
//! what.
//!
//! A file is known by its content. Hostile ones cost no more than honest ones: nothing is
//! unpacked, counted or nested past a bound that stands beside its reader.

mod archive;
mod dbf;
mod fgb;
mod flat;
mod gathering;
mod geojson;
mod gpkg;
mod gpx;
mod kml;
mod shp;
mod wkb;

use geo::Geometry;

use super::Properties;
use super::system::System;
use super::text;
use gathering::Gathering;

/// A file, and what lies beside it where it is one of several that belong together.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// Without its folder.
    pub name: &'a str,
    /// All of it.
    pub bytes: &'a [u8],
    /// The files that are called the same but for their ending.
    pub beside: &'a [(String, Vec<u8>)],
    /// The system that its positions are in, where it does not say so itself.
    pub system: Option<&'a System>,
}

/// One thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The folder, table or list that it lies in.
    pub layer: String,
    /// Its place in the layer, from 1.
    pub number: usize,
    /// As the file names them.
    pub properties: Properties,
    /// WGS84 longitude and latitude in degrees.
    pub shape: Option<Geometry>,
    /// Recorded by a receiver on its way, and not drawn by a hand.
    pub walked: bool,
}

/// All that a file draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// As people call the format.
    pub format: &'static str,
    /// In the order of the file.
    pub drawn: Vec<Drawn>,
    /// What was put right or passed over.
    pub remarks: Vec<String>,
}

/// The endings of the files that belong to one that ends so.
pub fn beside(name: &str) -> &'static [&'static str] {
    match ending(name).as_str() {
        "shp" => &["dbf", "prj", "cpg"],
        _ => &[],
    }
}

/// Whether a file is a map and no table: by how it begins, and by its name only where that does
/// not tell.
pub fn is_map(name: &str, bytes: &[u8]) -> bool {
    Format::of(name, bytes).is_some()
}

/// Reads a map of any make.
///
/// # Errors
/// Why it cannot be read, with a way out.
pub fn read(source: &Source) -> Result<Drawing, String> {
    let format = Format::of(source.name, source.bytes).ok_or("it is no map that can be read")?;
    let mut found = Gathering::new(format.name());
    match format {
        Format::GeoJson => geojson::read(source, &mut found)?,
        Format::Gpx => gpx::read(&text::decoded(source.bytes)?, &mut found)?,
        Format::Kml => kml::read(&text::decoded(source.bytes)?, &mut found)?,
        Format::GeoPackage => gpkg::read(source, &mut found)?,
        Format::Shapefile => shp::read(source, &mut found)?,
        Format::Archive => archive::read(source, &mut found)?,
        Format::FlatGeobuf => fgb::read(source, &mut found)?,
        Format::Other => return Err(elsewhere("a map in a format that is not read")),
    }
    found.done()
}

fn elsewhere(what: &str) -> String {
    format!("it is {what}; save it as a GeoPackage or as GeoJSON in a mapping program")
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    GeoJson,
    Gpx,
    Kml,
    GeoPackage,
    Shapefile,
    /// A map packed into a ZIP, like a KMZ.
    Archive,
    FlatGeobuf,
    Other,
}

impl Format {
    /// How much of a file tells what it is, in bytes.
    const HEAD: usize = 4096;

    fn of(name: &str, bytes: &[u8]) -> Option<Self> {
        let head = &bytes[..bytes.len().min(Self::HEAD)];
        let ending = ending(name);
        if head.starts_with(b"SQLite format 3\0") {
            return Some(Self::GeoPackage);
        }
        if head.starts_with(&shp::MAGIC) {
            return Some(Self::Shapefile);
        }
        if head.starts_with(b"fgb") {
            return Some(Self::FlatGeobuf);
        }
        if head.starts_with(b"PK\x03\x04") || head.starts_with(b"PK\x05\x06") {
            let is_map = matches!(ending.as_str(), "kmz" | "zip") || archive::holds_map(bytes);
            return is_map.then_some(Self::Archive);
        }
        let head = text::lossy(head);
        let head = head.trim_start_matches(['\u{feff}', '\u{1e}']).trim_start();
        if head.starts_with(['{', '[']) {
            return Some(Self::GeoJson);
        }
        if head.starts_with('<') {
            let begins = |name: &str| {
                head.contains(&format!("<{name}")) || head.contains(&format!(":{name}"))
            };
            return match () {
                () if begins("gpx") => Some(Self::Gpx),
                () if begins("kml") => Some(Self::Kml),
                () => Self::by_ending(&ending).or((ending == "xml").then_some(Self::Other)),
            };
        }
        Self::by_ending(&ending)
    }

    fn by_ending(ending: &str) -> Option<Self> {
        Some(match ending {
            "geojson" | "geojsonl" | "geojsons" | "ndjson" | "json" | "jsonl" => Self::GeoJson,
            "gpx" => Self::Gpx,
            "kml" => Self::Kml,
            "kmz" => Self::Archive,
            "gpkg" => Self::GeoPackage,
            "shp" => Self::Shapefile,
            "fgb" => Self::FlatGeobuf,
            "gml" | "tab" | "mif" | "dxf" | "fit" | "tcx" | "topojson" => Self::Other,
            _ => return None,
        })
    }

    fn name(self) -> &'static str {
        match self {
            Self::GeoJson => "GeoJSON",
            Self::Gpx => "GPX",
            Self::Kml => "KML",
            Self::GeoPackage => "GeoPackage",
            Self::Shapefile => "Shapefile",
            Self::Archive => "packed map",
            Self::FlatGeobuf => "FlatGeobuf",
            Self::Other => "map",
        }
    }
}

/// What stands behind the last point, in small letters.
fn ending(name: &str) -> String {
    name.rsplit_once('.').map_or(String::new(), |(_, ending)| ending.to_lowercase())
}

/// What stands before it.
fn stem(name: &str) -> &str {
    let name = name.rsplit(['/', '\\']).next().unwrap_or(name);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}
