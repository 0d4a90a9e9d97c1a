//! Text files: from bytes to letters, and from letters to cells.

use std::borrow::Cow;

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE};

use super::cell::{Cell, Room, Row, Sheet};
use super::header;
use super::limits::{MOST_COLUMNS, MOST_ROWS, Unopened};

/// What may part the cells, the likeliest first.
const PARTING: [u8; 4] = [b';', b'\t', b',', b'|'];
/// How much of a text tells what parts its cells, in bytes.
const HEAD: usize = 64 * 1024;
/// More marks than this part no line that is a table's: spreadsheets have 16,384 columns (ECMA-376,
/// part 1, 18.3.1.73), and some write them all.
const WIDEST: usize = 100_000;
/// No cell that anyone typed is longer, in bytes: common practice, no source.
const LONGEST_CELL: usize = 100_000;
/// A first line with which some spreadsheets say what parts the cells.
const SAYS: &str = "sep=";

pub(super) fn sheet(bytes: &[u8]) -> Result<Sheet, Unopened> {
    let (text, encoding) = letters(bytes)?;
    let start = text.trim_start();
    if start.starts_with('<') {
        return Err(Unopened::Other("a page or a map, in HTML or XML"));
    }
    if start.starts_with(['{', '[']) {
        return Err(Unopened::Other("JSON, which `stintbook load` reads where it is a map"));
    }
    let (said, body) = said(&text);
    let by = said.unwrap_or_else(|| parting(body));
    let first_line = if said.is_some() { 2 } else { 1 };
    let rows = rows(body, by, first_line)?;
    Ok(Sheet { rows, encoding, parted_by: Some(by), ..Sheet::default() })
}

/// The text, and its encoding where it is not UTF-8.
fn letters(bytes: &[u8]) -> Result<(Cow<'_, str>, Option<&'static str>), Unopened> {
    if bytes.trim_ascii().is_empty() {
        return Err(Unopened::Empty);
    }
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return Ok(decoded(&bytes[mark..], encoding));
    }
    if let Some(encoding) = of_two_bytes(bytes) {
        return Ok(decoded(bytes, encoding));
    }
    if bytes.contains(&0) {
        return Err(Unopened::Other("no text"));
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Ok((text.into(), None));
    }
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    detector.feed(bytes, true);
    Ok(decoded(bytes, detector.guess(None, Utf8Detection::Deny)))
}

fn decoded<'b>(
    bytes: &'b [u8],
    encoding: &'static Encoding,
) -> (Cow<'b, str>, Option<&'static str>) {
    let (text, _) = encoding.decode_without_bom_handling(bytes);
    (text, (encoding != UTF_8).then(|| encoding.name()))
}

/// UTF-16 without its mark: every other byte of plain letters is nought.
fn of_two_bytes(bytes: &[u8]) -> Option<&'static Encoding> {
    let head = &bytes[..bytes.len().min(200)];
    let noughts = |at: usize| head.iter().skip(at).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (noughts(0), noughts(1));
    match (even, odd) {
        (0, odd) if odd * 3 > head.len() => Some(UTF_16LE),
        (even, 0) if even * 3 > head.len() => Some(UTF_16BE),
        _ => None,
    }
}

/// What parts the cells where the first line says so, and the text behind that line.
fn said(text: &str) -> (Option<u8>, &str) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    match first.trim_end().strip_prefix(SAYS).map(str::as_bytes) {
        Some(&[by]) => (Some(by), rest),
        _ => (None, text),
    }
}

/// What makes a header of one of the first rows; else what most lines have.
fn parting(text: &str) -> u8 {
    let mut end = text.len().min(HEAD);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let head = &text[..end];
    let there = || PARTING.into_iter().filter(|by| head.as_bytes().contains(by));
    let known = |by: &u8| {
        let rows = rows(head, *by, 1).unwrap_or_default();
        header::best_row(&rows, &[]).map_or(0, |(_, known)| known)
    };
    let counted = |by: &u8| head.bytes().filter(|byte| byte == by).count();
    there()
        .map(|by| (known(&by), counted(&by), by))
        .max_by_key(|(known, counted, _)| (*known, *counted))
        .map_or(b',', |(_, _, by)| by)
}

/// Whether a cell holds what looks like a row of its own, as it does behind a stray quote.
fn has_rows_within(cell: &str, delimiter: u8, width: usize) -> bool {
    let marks = |line: &str| line.bytes().filter(|byte| *byte == delimiter).count();
    cell.contains('\n') && cell.lines().any(|line| marks(line) >= 2.max(width / 2))
}

fn rows(text: &str, delimiter: u8, first_line: u64) -> Result<Vec<Row>, Unopened> {
    // Before it is taken apart, since every cell takes some ten bytes.
    let is_too_wide = |line: &[u8]| line.iter().filter(|byte| **byte == delimiter).count() > WIDEST;
    if text.as_bytes().split(|byte| *byte == b'\n').any(is_too_wide) {
        return Err(Unopened::Columns);
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut room = Room::default();
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    let mut width = 0;
    // What is text already and may have rows of any length can be read.
    while reader.read_record(&mut record).is_ok_and(|is_more| is_more) {
        let filled =
            (0..record.len()).rfind(|at| !record[*at].trim().is_empty()).map_or(0, |at| at + 1);
        if filled == 0 {
            continue;
        }
        if filled > MOST_COLUMNS {
            return Err(Unopened::Columns);
        }
        room.take(filled)?;
        let line = record.position().map_or(1, csv::Position::line) + first_line - 1;
        if rows.len() as u64 == MOST_ROWS {
            return Err(Unopened::Rows);
        }
        width = width.max(record.len());
        let is_unclosed =
            |cell: &str| cell.len() > LONGEST_CELL || has_rows_within(cell, delimiter, width);
        if record.iter().any(is_unclosed) {
            return Err(Unopened::Quote(line));
        }
        rows.push(Row { line, cells: record.iter().take(filled).map(Cell::text).collect() });
    }
    Ok(rows)
}
