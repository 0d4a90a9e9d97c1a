//! The bytes of a file into its sheets, whatever made it: its content tells, not its name.

use super::cell::Sheet;
use super::limits::{MOST_BYTES, Unopened};
use super::{legacy, ods, packed, text, xlsx};

/// A zip archive (APPNOTE.TXT, 4.3.7), in which workbooks of our time come.
const ZIP: &[u8] = b"PK\x03\x04";
/// A compound file (MS-CFB, 2.2), in which older ones come, and locked ones.
const COMPOUND: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";
/// What people take for a table, by how it begins.
const OTHERS: [(&[u8], &str); 8] = [
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a packed file"),
    (b"{\\rtf", "a text document"),
    (b"SQLite format 3", "a database"),
    (b"PK", "a packed file"),
];

/// The sheets of a workbook, or a text as its only sheet.
///
/// # Errors
/// Why it is no table that can be read.
pub fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unopened> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Unopened::Bytes);
    }
    let sheets = if bytes.starts_with(ZIP) {
        match packed::look_through(bytes)? {
            packed::Workbook::OpenDocument => ods::sheets(bytes)?,
            packed::Workbook::OfficeOpen => xlsx::sheets(bytes)?,
        }
    } else if bytes.starts_with(COMPOUND) {
        legacy::sheets(bytes)?
    } else if let Some((_, what)) = OTHERS.iter().find(|(start, _)| bytes.starts_with(start)) {
        return Err(Unopened::Other(what));
    } else {
        vec![text::sheet(bytes)?]
    };
    if sheets.iter().all(|sheet| sheet.rows.is_empty()) {
        return Err(Unopened::Empty);
    }
    Ok(sheets)
}
