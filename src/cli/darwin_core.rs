//! `stintbook export --format dwca`: what was found to stand, for a records centre.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;

use super::context::Context;
use super::failure::Failure;
use super::named;
use crate::assess::{occurrences, prepare};
use crate::book::Scope;
use crate::ground::Blur;
use crate::report::darwin_core;

/// The archive. With `whole`, places are exact and people named; else in squares of `blur`, or the
/// finest there are.
///
/// # Errors
/// No site of that name; a book that cannot be read.
pub fn archive(
    context: &Context,
    site: Option<&str>,
    blur: Option<Blur>,
    whole: bool,
) -> Result<Vec<u8>, Failure> {
    let book = context.open_to_read()?;
    let ledger = book.ledger(&Scope::All, None)?;
    let site = site.map(|name| named::site(&book, name)).transpose()?;
    let mut prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    prepared.retain(|patch| {
        let here = patch.facts.patch.record.name.site();
        site.as_ref().is_none_or(|site| site == here)
    });
    let squares = blur.unwrap_or(Blur::FINEST);
    let found = occurrences(&prepared, &ledger, context.on, squares, whole);
    let blur = (!whole).then_some(squares);
    let files = darwin_core(&found, context.on, blur, whole).map_err(Failure::wrong)?;
    packed(&files).map_err(Failure::wrong)
}

/// The same bytes for the same files: none bears a time.
fn packed(files: &[(String, String)]) -> Result<Vec<u8>, ZipError> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in files {
        archive.start_file(name.as_str(), SimpleFileOptions::default())?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}
