//! `--blur`: what may be cut, for people who are not to know where.

use super::args::length;
use super::context::Context;
use super::failure::Failure;
use super::format::Format;
use super::named;
use crate::assess::{Blurred, assess_in_brief, blurred, prepare, week};
use crate::book::Scope;
use crate::ground::Blur;
use crate::maps;
use crate::report::{blurred_csv, blurred_document, blurred_json, blurred_map};

/// A length that is the side of a square: `1km`.
pub fn blur(text: &str) -> Result<Blur, String> {
    let sizes: Vec<String> = Blur::sizes().map(|size| size.to_string().replace(' ', "")).collect();
    Blur::of(length(text)?).ok_or_else(|| {
        format!(
            "there are no squares of `{text}`; write {}: those lie within one another, so that \
             answers in two sizes tell no more than the finer one",
            sizes.join(", ")
        )
    })
}

/// The answer for the day.
///
/// # Errors
/// A site or a crop that is not known; a book that cannot be read.
pub fn answer(
    context: &Context,
    blur: Blur,
    site: Option<&str>,
    crop: Option<&str>,
) -> Result<Blurred, Failure> {
    let book = context.open_to_read()?;
    // All of it, since what holds on a site may rest on others, and so that a patch has the same
    // number whatever is asked about.
    let ledger = book.ledger(&Scope::All, None)?;
    let site = site.map(|name| named::site(&book, name)).transpose()?;
    let crop = crop.map(|name| named::crop(context, name)).transpose()?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let kept = prepared.iter().filter(|patch| patch.is_kept_on(context.on));
    let asked = kept.filter(|patch| {
        let record = &patch.facts.patch.record;
        site.as_ref().is_none_or(|site| site == record.name.site())
            && crop.as_ref().is_none_or(|crop| *record.crop == **crop)
    });
    let assessed = asked.map(|patch| assess_in_brief(patch, context.on, None, None)).collect();
    Ok(blurred(&week(context.on, assessed), &ledger, blur))
}

/// As a file in the format.
///
/// # Errors
/// What a format's own writer says.
pub fn written(context: &Context, blurred: &Blurred, format: Format) -> Result<Vec<u8>, Failure> {
    Ok(match format {
        Format::Gpkg => maps::gpkg(&blurred_map(blurred)).map_err(Failure::wrong)?,
        Format::Kml => maps::kml(&blurred_map(blurred)).into(),
        Format::Gpx => maps::gpx(&blurred_map(blurred)).into(),
        _ => said(context, blurred, format)?.into(),
    })
}

/// As text in the format, for a terminal in any that is none of words.
///
/// # Errors
/// What a format's own writer says.
pub fn said(context: &Context, blurred: &Blurred, format: Format) -> Result<String, Failure> {
    Ok(match format {
        Format::Geojson => maps::geojson(&blurred_map(blurred)),
        Format::Json => blurred_json(blurred),
        Format::Csv => blurred_csv(blurred).map_err(Failure::wrong)?,
        format => context.laid_out(format, &blurred_document(blurred)),
    })
}
