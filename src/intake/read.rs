//! One file, whatever it is.

use std::io::{self, BufReader, Read};

use super::known::{Gazetteer, Known};
use super::problem::{Finding, Place, Problem, Problems};
use super::tally::{Intake, Reported, Tally};
use super::{collection, phone, table};
use crate::records::Entry;

/// How much of a file is looked at to tell what it is, in bytes.
const HEAD: u64 = 8 * 1024;
/// The largest GeoJSON file, in bytes. Unlike a CSV it is held in memory whole, where it
/// takes some thirty times its own size.
const LARGEST_JSON: u64 = 16 << 20;

const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();

/// Reads a GeoJSON or CSV file; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file; then none of it is to be recorded.
pub fn read(file: &str, text: impl Read, known: Known<'_>) -> Result<Intake, Problems> {
    let mut tally = Tally::default();
    let known = Gazetteer::new(known);
    let entries = read_any(text, &known, &mut tally).unwrap_or_default();
    known.said().into_iter().for_each(|said| tally.remark(said));
    let intake = tally.close(file, entries)?;
    Ok(Intake { is_by_itself: !known.is_asked(), ..intake })
}

/// Everything that is wrong with a file, for those who bring the rest of it; empty where all of
/// it can be read.
pub fn every_problem(text: impl Read, known: Known<'_>) -> Vec<Problem> {
    let mut tally = Tally::of_all();
    let _ = read_any(text, &Gazetteer::new(known), &mut tally);
    if tally.is_clean() { Vec::new() } else { tally.into_problems("").problems }
}

fn read_any(
    text: impl Read,
    known: &Gazetteer<'_>,
    tally: &mut Tally,
) -> Result<Vec<Entry>, Reported> {
    let Text { whole, is_json } = checked(text, tally)?;
    if is_json {
        let text = json(whole).map_err(|finding| tally.report(&Place::WholeFile, None, finding))?;
        Ok(match phone::is_of_phone(&text) {
            true => phone::read(&text, known, tally),
            false => collection::read(&text, known, tally),
        })
    } else {
        Ok(table::read(BufReader::new(whole), known, tally))
    }
}

/// A file that begins like text, without its byte order mark.
pub(super) struct Text<R> {
    pub whole: io::Chain<io::Cursor<Vec<u8>>, R>,
    pub is_json: bool,
}

pub(super) fn checked<R: Read>(mut text: R, tally: &mut Tally) -> Result<Text<R>, Reported> {
    let mut head = Vec::new();
    let outcome = text.by_ref().take(HEAD).read_to_end(&mut head);
    outcome.map_err(|error| tally.report(&Place::WholeFile, None, unreadable(&error)))?;
    if head.starts_with(BYTE_ORDER_MARK) {
        head.drain(..BYTE_ORDER_MARK.len());
    }
    if let Some(finding) = no_text(&head) {
        return Err(tally.report(&Place::WholeFile, None, finding));
    }
    let is_json = matches!(head.trim_ascii_start().first(), Some(b'{' | b'['));
    Ok(Text { whole: io::Cursor::new(head).chain(text), is_json })
}

fn unreadable(error: &io::Error) -> Finding {
    Finding::new(format!("it cannot be read: {error}"), "a file that can be read")
}

fn no_text(start: &[u8]) -> Option<Finding> {
    const EXPECTED: &str = "a GeoJSON or CSV file, saved as UTF-8";
    if start.trim_ascii().is_empty() {
        return Some(Finding::new("it is empty", EXPECTED));
    }
    if start.starts_with(&[0xff, 0xfe]) || start.starts_with(&[0xfe, 0xff]) {
        return Some(Finding::new("it is saved as UTF-16", EXPECTED));
    }
    start.contains(&0).then(|| Finding::new("it is not text", EXPECTED))
}

pub(super) fn json(whole: impl Read) -> Result<String, Finding> {
    let mut bytes = Vec::new();
    whole.take(LARGEST_JSON + 1).read_to_end(&mut bytes).map_err(|error| unreadable(&error))?;
    if bytes.len() as u64 > LARGEST_JSON {
        let most = LARGEST_JSON >> 20;
        return Err(Finding::new(
            format!("it is a JSON file of more than {most} MB"),
            "smaller files, some of the sites in each",
        ));
    }
    String::from_utf8(bytes)
        .map_err(|_| Finding::new("it is not UTF-8 text", "a GeoJSON file, which is UTF-8"))
}
