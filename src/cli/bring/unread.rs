//! The file of rows that could not be read, beside the one that they came from.

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::cli::writing::write_file;

/// Behind the name of the file.
const UNREAD: &str = "-unread";
/// Files of one name that may lie there, each mended or not.
const MOST: usize = 1000;

/// Writes them to `NAME-unread.csv`, or where others lie there already, to the next number. Who
/// keeps what is said gets them under that name.
///
/// # Errors
/// A file that cannot be written.
pub fn written(
    context: &Context,
    file: &Path,
    sheet: &str,
    text: &str,
) -> Result<PathBuf, Failure> {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    let stem = stem.split(UNREAD).next().unwrap_or(&stem);
    let plain = |c: char| if c.is_alphanumeric() || matches!(c, ' ' | '.' | '_') { c } else { '-' };
    let sheet: String = sheet.chars().map(plain).collect();
    let parts = [stem, sheet.trim()];
    let name: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    let name = name.join("-") + UNREAD;
    let numbered = |n: usize| match n {
        1 => file.with_file_name(format!("{name}.csv")),
        n => file.with_file_name(format!("{name}-{n}.csv")),
    };
    let is_free = |path: &PathBuf| match fs::read_to_string(path) {
        Ok(there) => there == text,
        Err(_) => fs::symlink_metadata(path).is_err(),
    };
    let path = (1..=MOST).map(numbered).find(is_free).ok_or_else(|| {
        Failure::Wrong(format!("there are {MOST} files like `{name}.csv`; remove those you mended"))
    })?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    context.hand_over(&[(name, text)], || write_file(&path, text).map(|()| vec![path.clone()]))?;
    Ok(path)
}
