//! A map that is packed: a KMZ, or a ZIP with a Shapefile or any other map in it.

use std::borrow::Cow;
use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::gathering::Gathering;
use super::{Format, Source, beside, ending, geojson, gpkg, gpx, kml, shp, stem, text};

/// What all that is unpacked comes to at most, in bytes: a file of a few kilobytes may claim
/// terabytes.
const MOST_BYTES: u64 = 64 << 20;
const MOST_FILES: usize = 2000;

/// Maps by their endings, the likeliest first.
const MAPS: [&str; 7] = ["kml", "shp", "gpkg", "geojson", "gpx", "json", "kmz"];

/// Whether a map lies in it, and no sheets of a spreadsheet.
pub(super) fn holds_map(bytes: &[u8]) -> bool {
    let Ok(archive) = ZipArchive::new(Cursor::new(bytes)) else { return false };
    let is_map =
        |name: String| matches!(ending(&name).as_str(), "kml" | "shp" | "gpkg" | "gpx" | "geojson");
    names(&archive).into_iter().any(is_map)
}

fn names(archive: &ZipArchive<Cursor<&[u8]>>) -> Vec<String> {
    archive.file_names().filter_map(Result::ok).map(Cow::into_owned).collect()
}

pub(super) fn read(source: &Source, found: &mut Gathering) -> Result<(), String> {
    let broken = |error| format!("it cannot be unpacked: {error}; pack it anew");
    let mut archive = ZipArchive::new(Cursor::new(source.bytes)).map_err(broken)?;
    if archive.len() > MOST_FILES {
        return Err(format!("{} files are packed in it; pack the map alone", archive.len()));
    }
    let names = names(&archive);
    let of = |end: &str| names.iter().filter(|name| ending(name) == end).collect::<Vec<_>>();
    let maps = MAPS.into_iter().map(of).find(|maps| !maps.is_empty()).unwrap_or_default();
    let map = match maps.as_slice() {
        [one] => one.as_str(),
        [] => return Err("no map is packed in it".to_owned()),
        // A KMZ has one that goes before all others.
        several => match several.iter().find(|name| name.eq_ignore_ascii_case("doc.kml")) {
            Some(first) => first.as_str(),
            None => {
                let n = several.len();
                return Err(format!("{n} maps are packed in it; unpack them, and bring each"));
            }
        },
    };
    let mut room = MOST_BYTES;
    let mut unpack = |name: &str| -> Result<Vec<u8>, String> {
        let file = archive.by_name(name).map_err(broken)?;
        let mut bytes = Vec::new();
        let read = file.take(room + 1).read_to_end(&mut bytes);
        read.map_err(|error| format!("`{name}` cannot be unpacked: {error}; pack it anew"))?;
        room = room.checked_sub(bytes.len() as u64).ok_or_else(|| {
            format!("it unpacks to more than {} MB; bring it in parts", MOST_BYTES >> 20)
        })?;
        Ok(bytes)
    };
    let bytes = unpack(map)?;
    let mut others = Vec::new();
    for name in &names {
        let belongs = stem(name) == stem(map) && beside(map).contains(&ending(name).as_str());
        if belongs {
            others.push((name.clone(), unpack(name)?));
        }
    }
    let mut linked = Vec::new();
    let packed = Source { name: map, bytes: &bytes, beside: &others, system: source.system };
    let format = Format::of(map, &bytes).ok_or("no map is packed in it")?;
    found.call(format.name());
    match format {
        Format::GeoJson => geojson::read(&packed, found),
        Format::Gpx => gpx::read(&text::decoded(&bytes)?, found),
        Format::Kml => {
            kml::read(&text::decoded(&bytes)?, found)?;
            // Some programs put each layer into a file of its own, and into the first one links.
            for other in maps.iter().filter(|name| found.is_empty() && **name != map) {
                linked.push(unpack(other)?);
            }
            linked.iter().try_for_each(|bytes| kml::read(&text::decoded(bytes)?, found))
        }
        Format::GeoPackage => gpkg::read(&packed, found),
        Format::Shapefile => shp::read(&packed, found),
        _ => Err(format!("`{map}` is packed in it, which is not read; unpack it first")),
    }
}
