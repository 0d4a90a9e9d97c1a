//! The catalogue that counts: the built-in one, with crops of the user's own.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::failure::Failure;
use crate::book::beside;
use crate::catalogue::Catalogue;

/// The folder of a workspace for what is written by hand.
pub const SITES: &str = "sites";
/// The file in it for crops of one's own.
pub const OWN_CROPS: &str = "crops.toml";

/// Reads the file asked for, or `sites/crops.toml` beside the book where there is one.
///
/// # Errors
/// A file that cannot be read, or holds something else than crops.
pub fn catalogue(asked: Option<&Path>, book: &Path) -> Result<Catalogue, Failure> {
    let path = file(asked, book);
    match fs::read_to_string(&path) {
        Ok(toml) => Ok(Catalogue::with_own(&path.display().to_string(), &toml)?),
        Err(error) if error.kind() == ErrorKind::NotFound && asked.is_none() => {
            Ok(Catalogue::built_in().clone())
        }
        Err(error) if error.kind() == ErrorKind::InvalidData => Err(Failure::Wrong(format!(
            "{}: it is not UTF-8 text\n  expected a TOML file of crops, saved as UTF-8",
            path.display()
        ))),
        Err(error) => Err(Failure::Wrong(format!("could not read `{}`: {error}", path.display()))),
    }
}

/// What stands in that file, whatever it is.
///
/// # Errors
/// A file that is not there or cannot be read.
pub fn written(asked: Option<&Path>, book: &Path) -> Result<String, ErrorKind> {
    fs::read_to_string(file(asked, book)).map_err(|error| error.kind())
}

/// The file asked for, or where crops of one's own lie in a workspace.
fn file(asked: Option<&Path>, book: &Path) -> PathBuf {
    let folder = beside(book).parent().unwrap_or(Path::new(""));
    asked.map_or_else(|| folder.join(SITES).join(OWN_CROPS), Path::to_path_buf)
}
