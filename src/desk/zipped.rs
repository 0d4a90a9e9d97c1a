//! Several files as one.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;

/// Names and bytes, packed; the same bytes for the same files, for none bears a time.
///
/// # Errors
/// More than an archive can hold.
pub fn zipped(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, ZipError> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(name.as_str(), SimpleFileOptions::default())?;
        archive.write_all(bytes)?;
    }
    Ok(archive.finish()?.into_inner())
}
