//! Names as people type them: whole, or a beginning that means one thing only.

use super::context::Context;
use super::failure::Failure;
use crate::book::{Book, BookError, Refusal};
use crate::records::{KnownPatch, NotFound, SiteName};

/// The patch that is called so; a name that is written whole reads little of a big book.
///
/// # Errors
/// That there is none, or which may have been meant.
pub fn patch(book: &Book, asked: &str) -> Result<KnownPatch, Failure> {
    match book.patch(asked) {
        Err(BookError::Refused(Refusal::NotFound(NotFound::Unknown { .. }))) => {
            Ok(book.directory()?.patch_meant(asked)?.clone())
        }
        found => Ok(found?),
    }
}

/// The same for a site.
///
/// # Errors
/// As for a patch.
pub fn site(book: &Book, asked: &str) -> Result<SiteName, Failure> {
    Ok(book.directory()?.site_meant(asked)?.clone())
}

/// The catalogue's name of the crop that is called so.
///
/// # Errors
/// A crop that the catalogue does not have, with the nearest one it has.
pub fn crop(context: &Context, asked: &str) -> Result<String, Failure> {
    Ok(context.catalogue()?.meant(asked).map_err(Failure::wrong)?.name.to_string())
}
