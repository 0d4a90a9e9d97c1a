//! A look through a packed workbook before it is read, so that a small file cannot grow without
//! end.

use std::io::{self, Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

use super::limits::{MOST_PARTS, MOST_UNPACKED, Unopened};

/// What a packed workbook is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Workbook {
    OpenDocument,
    OfficeOpen,
}

pub(super) fn damaged(error: impl ToString) -> Unopened {
    Unopened::Damaged(error.to_string())
}

/// Unpacks every part once and keeps none: what a part says of its own length may be wrong.
pub(super) fn look_through(bytes: &[u8]) -> Result<Workbook, Unopened> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    if archive.len() > MOST_PARTS {
        return Err(Unopened::Unpacked);
    }
    let (mut left, mut found) = (MOST_UNPACKED, None);
    for n in 0..archive.len() {
        let part = archive.by_index(n).map_err(|error| match error {
            ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => Unopened::Locked,
            other => damaged(other),
        })?;
        let name = part.name().map_err(damaged)?.to_lowercase();
        match name.as_str() {
            "content.xml" => found = Some(Workbook::OpenDocument),
            "xl/workbook.xml" => found = Some(Workbook::OfficeOpen),
            "xl/workbook.bin" => return Err(Unopened::Other("a binary workbook (XLSB)")),
            "word/document.xml" => return Err(Unopened::Other("a text document")),
            _ => {}
        }
        let mut part = part.take(left + 1);
        let length = if name.ends_with("sharedstrings.xml") {
            let mut text = Vec::new();
            part.read_to_end(&mut text).map_err(damaged)?;
            promises_no_more_than_it_has(&text)?;
            text.len() as u64
        } else {
            io::copy(&mut part, &mut io::sink()).map_err(damaged)?
        };
        left = left.checked_sub(length).ok_or(Unopened::Unpacked)?;
    }
    found.ok_or(Unopened::Other("a packed file"))
}

/// The list of a workbook's texts says how many it has, and whoever reads it makes room for so
/// many beforehand.
fn promises_no_more_than_it_has(text: &[u8]) -> Result<(), Unopened> {
    const SAID: &[u8] = b"uniqueCount";
    let start = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text).trim_ascii_start();
    // In UTF-16 what is looked for here would be missed.
    if start.first().is_some_and(|first| *first != b'<') {
        return Err(damaged("its texts are no UTF-8"));
    }
    let mut rest = text;
    while let Some(at) = rest.windows(SAID.len()).position(|part| part == SAID) {
        rest = &rest[at + SAID.len()..];
        let digits = rest.iter().skip_while(|byte| matches!(byte, b'=' | b'"' | b'\'' | b' '));
        let digits: Vec<u8> =
            digits.take(20).take_while(|byte| byte.is_ascii_digit()).copied().collect();
        let count = String::from_utf8_lossy(&digits).parse().unwrap_or(0_u64);
        if count > text.len() as u64 {
            return Err(damaged("it says that it has more texts than it has letters"));
        }
    }
    Ok(())
}
