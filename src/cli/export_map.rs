//! `stintbook export --format`: the places and what may be cut on a day, for a mapping program.

use super::context::Context;
use super::failure::Failure;
use super::format::Format;
use super::named;
use super::places_on_map::{Reader, places_on};
use crate::assess::{assess, prepare, week};
use crate::book::Scope;
use crate::maps::{geojson, gpkg, gpx, kml};
use crate::report::{Telling, day_map};

/// The file and its name. Without `whole` it is for others, of whom it names none.
///
/// # Errors
/// No site of that name; a book that cannot be read.
pub fn file(
    context: &Context,
    format: Format,
    site: Option<&str>,
    whole: bool,
) -> Result<(String, Vec<u8>), Failure> {
    let book = context.open_to_read()?;
    let (on, catalogue) = (context.on, context.catalogue()?);
    // All of it, since what holds on a site may rest on others.
    let ledger = book.ledger(&Scope::All, None)?;
    let site = site.map(|name| named::site(&book, name)).transpose()?;
    let is_asked = |name| site.as_ref().is_none_or(|site| site == name);
    let prepared = prepare(&ledger, catalogue, on)?;
    let kept = prepared.iter().filter(|patch| patch.is_kept_on(on));
    let assessed = kept.filter(|patch| is_asked(&patch.site.site.record.name));
    let answer = week(on, assessed.map(|patch| assess(patch, on, None, None)).collect());
    let mut reader = match whole {
        true => Reader::Keeper,
        false => Reader::Others(Box::default()),
    };
    let sites = ledger.sites.iter().filter(|site| is_asked(&site.site.record.name));
    let places = sites.flat_map(|site| places_on(site, on, &mut reader)).collect();
    let map = day_map(&answer, places, Telling::Short);
    let bytes = match format {
        Format::Gpkg => gpkg(&map).map_err(Failure::wrong)?,
        Format::Kml => kml(&map).into(),
        Format::Gpx => gpx(&map).into(),
        _ => geojson(&map).into(),
    };
    Ok((name(format).to_owned(), bytes))
}

/// What a map's file is called.
pub fn name(format: Format) -> &'static str {
    match format {
        Format::Gpkg => "map.gpkg",
        Format::Kml => "map.kml",
        Format::Gpx => "map.gpx",
        Format::Dwca => "occurrences.zip",
        _ => "map.geojson",
    }
}
