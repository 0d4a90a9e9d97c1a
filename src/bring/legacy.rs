//! Workbooks of before 2007, in the binary format XLS (MS-XLS).
//!
//! Read by hand: a sheet is never laid out from its first cell to its last, and no record is
//! trusted to be as long as it should be.

use std::collections::HashMap;
use std::io::{Cursor, Read};

use jiff::ToSpan;
use jiff::civil::{Date, date};

use super::cell::{Cell, Grid, Room, Sheet};
use super::limits::{MOST_SHEETS, Unopened};
use super::packed::damaged;

// Kinds of records (MS-XLS, 2.3).
const FORMULA: u16 = 0x0006;
const ENDS: u16 = 0x000a;
const DATES_OF_1904: u16 = 0x0022;
const LOCKED: u16 = 0x002f;
const CONTINUES: u16 = 0x003c;
const BOUND_SHEET: u16 = 0x0085;
const SEVERAL_SHORT_NUMBERS: u16 = 0x00bd;
const CELL_FORMAT: u16 = 0x00e0;
const MERGED: u16 = 0x00e5;
const TEXTS: u16 = 0x00fc;
const TEXT_OF_LIST: u16 = 0x00fd;
const NUMBER: u16 = 0x0203;
const TEXT: u16 = 0x0204;
const YES_NO_OR_ERROR: u16 = 0x0205;
const TEXT_OF_FORMULA: u16 = 0x0207;
const SHORT_NUMBER: u16 = 0x027e;
const FORMAT: u16 = 0x041e;
const BEGINS: u16 = 0x0809;
/// The version that all programs since 1997 write (2.4.21).
const VERSION: u16 = 0x0600;

pub(super) fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unopened> {
    let stream = workbook(bytes)?;
    let book = Book::read(&stream)?;
    let mut room = Room::default();
    let mut sheets = Vec::new();
    for (start, is_hidden, name) in &book.sheets {
        let part = stream.get(*start..).ok_or_else(|| damaged("a sheet lies beyond its end"))?;
        let grid = book.sheet(part, &mut room)?;
        sheets.push(Sheet { is_hidden: *is_hidden, ..grid.into_sheet(name.clone()) });
    }
    Ok(sheets)
}

/// The stream of records in a compound file.
fn workbook(bytes: &[u8]) -> Result<Vec<u8>, Unopened> {
    let mut file = cfb::CompoundFile::open(Cursor::new(bytes)).map_err(damaged)?;
    if file.exists("/EncryptedPackage") {
        return Err(Unopened::Locked);
    }
    if !file.exists("/Workbook") {
        let is_older = file.exists("/Book");
        return Err(Unopened::Other(match is_older {
            true => "a workbook of before 1997",
            false => "a document of an office program",
        }));
    }
    let mut stream = Vec::new();
    let whole = file.open_stream("/Workbook").map_err(damaged)?;
    // No longer than the file that it is in.
    whole.take(bytes.len() as u64).read_to_end(&mut stream).map_err(damaged)?;
    Ok(stream)
}

/// What the sheets of a workbook share.
#[derive(Default)]
struct Book {
    /// Where each begins, whether it is hidden, and its name.
    sheets: Vec<(usize, bool, String)>,
    texts: Vec<String>,
    /// By the number of a cell's format: whether it shows days.
    shows_days: Vec<bool>,
    is_of_1904: bool,
}

impl Book {
    fn read(stream: &[u8]) -> Result<Self, Unopened> {
        let mut book = Self::default();
        let (mut numbers, mut own) = (Vec::new(), HashMap::new());
        let mut records = records(stream).peekable();
        let version =
            records.peek().filter(|(kind, _)| *kind == BEGINS).map(|(_, data)| two(data, 0));
        if version != Some(VERSION) {
            return Err(damaged("it does not begin as workbooks since 1997 do"));
        }
        while let Some((kind, data)) = records.next() {
            match kind {
                LOCKED => return Err(Unopened::Locked),
                DATES_OF_1904 => book.is_of_1904 = two(data, 0) == 1,
                FORMAT => {
                    let mut text = Pieces::of(data.get(2..).unwrap_or_default());
                    own.insert(two(data, 0), text.long_text().unwrap_or_default());
                }
                CELL_FORMAT => numbers.push(two(data, 2)),
                BOUND_SHEET => book.add_sheet(data)?,
                TEXTS => {
                    let mut pieces = Pieces::of(data.get(8..).unwrap_or_default());
                    while let Some((CONTINUES, more)) = records.peek() {
                        pieces.parts.push(more);
                        records.next();
                    }
                    book.texts = std::iter::from_fn(|| pieces.rich_text()).collect();
                }
                ENDS => break,
                _ => {}
            }
        }
        let shows_days = |number: &u16| match own.get(number) {
            Some(format) => is_of_days(format),
            // Built in (ECMA-376, part 1, 18.8.30).
            None => matches!(number, 14..=17 | 22 | 27..=31 | 36 | 50..=54 | 57 | 58),
        };
        book.shows_days = numbers.iter().map(shows_days).collect();
        Ok(book)
    }

    fn add_sheet(&mut self, data: &[u8]) -> Result<(), Unopened> {
        if self.sheets.len() == MOST_SHEETS {
            return Err(Unopened::Sheets);
        }
        let start = usize::from(two(data, 0)) | usize::from(two(data, 2)) << 16;
        let (state, kind) = (data.get(4).copied(), data.get(5).copied());
        let name = Pieces::of(data.get(6..).unwrap_or_default()).short_text();
        // Charts and macros are no tables.
        if let (Some(state), Some(0), Some(name)) = (state, kind, name) {
            self.sheets.push((start, state & 3 != 0, name));
        }
        Ok(())
    }

    fn sheet(&self, part: &[u8], room: &mut Room) -> Result<Grid, Unopened> {
        let mut grid = Grid::default();
        let (mut depth, mut of_formula, mut merged) = (0_u32, None, Vec::new());
        for (kind, data) in records(part) {
            match kind {
                BEGINS => depth += 1,
                ENDS if depth <= 1 => break,
                ENDS => depth -= 1,
                // Charts within a sheet have cells of their own.
                _ if depth > 1 => continue,
                MERGED => merged.extend(data.get(2..).unwrap_or_default().chunks_exact(8)),
                _ => {}
            }
            let place = (u64::from(two(data, 0)), usize::from(two(data, 2)));
            let format = two(data, 4);
            let cell = match kind {
                NUMBER => eight(data, 6).map(|value| self.number(value, format)),
                SHORT_NUMBER => four(data, 6).map(|value| self.number(short(value), format)),
                TEXT => Pieces::of(data.get(6..).unwrap_or_default())
                    .long_text()
                    .map(|t| Cell::text(&t)),
                TEXT_OF_LIST => {
                    let text = four(data, 6).and_then(|at| self.texts.get(at as usize));
                    text.map(|text| Cell::text(text))
                }
                YES_NO_OR_ERROR => match (data.get(6), data.get(7)) {
                    (Some(value), Some(0)) => Some(Cell::YesNo(*value != 0)),
                    _ => Some(Cell::text("#ERROR")),
                },
                FORMULA => match data.get(6..14) {
                    // What is no number: a text in the next record, yes or no, an error.
                    Some([0, .., 0xff, 0xff]) => {
                        of_formula = Some(place);
                        None
                    }
                    Some([1, _, yes, .., 0xff, 0xff]) => Some(Cell::YesNo(*yes != 0)),
                    Some([.., 0xff, 0xff]) => Some(Cell::text("#ERROR")),
                    _ => eight(data, 6).map(|value| self.number(value, format)),
                },
                TEXT_OF_FORMULA => {
                    if let (Some(place), Some(text)) =
                        (of_formula.take(), Pieces::of(data).long_text())
                    {
                        grid.put(place, Cell::text(&text), room)?;
                    }
                    None
                }
                SEVERAL_SHORT_NUMBERS => {
                    let pairs = data.get(4..data.len().saturating_sub(2)).unwrap_or_default();
                    for (n, pair) in pairs.chunks_exact(6).enumerate() {
                        let value = short(four(pair, 2).unwrap_or_default());
                        grid.put((place.0, place.1 + n), self.number(value, two(pair, 0)), room)?;
                    }
                    None
                }
                _ => None,
            };
            if let Some(cell) = cell {
                grid.put(place, cell, room)?;
            }
        }
        for range in merged {
            let rows = (u64::from(two(range, 0)), u64::from(two(range, 2)));
            grid.fill(rows, usize::from(two(range, 4)), room)?;
        }
        Ok(grid)
    }

    /// A day, where its format shows one.
    fn number(&self, value: f64, format: u16) -> Cell {
        let shows_day = self.shows_days.get(usize::from(format)).copied().unwrap_or_default();
        match self.day(value).filter(|_| shows_day) {
            Some(day) => Cell::Day(day),
            None => Cell::Number(value),
        }
    }

    /// Days since the last of 1899, which were counted with a 29 February 1900 that never was; or
    /// since the first of 1904.
    fn day(&self, value: f64) -> Option<Date> {
        let first = if self.is_of_1904 { date(1904, 1, 1) } else { date(1899, 12, 30) };
        let days = value.trunc();
        if !(61.0..3e6).contains(&days) {
            return None;
        }
        first.checked_add((days as i64).days()).ok()
    }
}

/// Whether a format shows a day: a `d` or a `y` outside quotes, brackets and single letters.
fn is_of_days(format: &str) -> bool {
    let mut letters = format.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '"' => _ = letters.by_ref().find(|c| *c == '"'),
            '[' => _ = letters.by_ref().find(|c| *c == ']'),
            '\\' | '_' | '*' => _ = letters.next(),
            'd' | 'D' | 'y' | 'Y' => return true,
            _ => {}
        }
    }
    false
}

/// A number in 30 bits: whole, or the upper half of a longer one; by a hundred where it says so
/// (2.5.122).
fn short(bits: u32) -> f64 {
    let value = match bits & 2 {
        0 => f64::from_bits(u64::from(bits & !3) << 32),
        _ => f64::from((bits as i32) >> 2),
    };
    if bits & 1 == 0 { value } else { value / 100.0 }
}

/// Two bytes, the lesser first; 0 where there are none.
fn two(data: &[u8], at: usize) -> u16 {
    match data.get(at..at + 2) {
        Some(&[low, high]) => u16::from_le_bytes([low, high]),
        _ => 0,
    }
}

fn four(data: &[u8], at: usize) -> Option<u32> {
    data.get(at..at + 4)?.try_into().ok().map(u32::from_le_bytes)
}

fn eight(data: &[u8], at: usize) -> Option<f64> {
    data.get(at..at + 8)?.try_into().ok().map(f64::from_le_bytes)
}

/// Kind and data of each record, as far as they are whole.
fn records(mut stream: &[u8]) -> impl Iterator<Item = (u16, &[u8])> {
    std::iter::from_fn(move || {
        let (kind, length) = (two(stream.get(..4)?, 0), usize::from(two(stream, 2)));
        let (record, rest) = stream.split_at_checked(4 + length)?;
        stream = rest;
        Some((kind, &record[4..]))
    })
}

/// A record with those that continue it; texts may break off anywhere.
struct Pieces<'s> {
    parts: Vec<&'s [u8]>,
    part: usize,
}

impl<'s> Pieces<'s> {
    fn of(data: &'s [u8]) -> Self {
        Self { parts: vec![data], part: 0 }
    }

    /// The part with anything left.
    fn left(&mut self) -> Option<&mut &'s [u8]> {
        while self.parts.get(self.part)?.is_empty() {
            self.part += 1;
        }
        self.parts.get_mut(self.part)
    }

    fn byte(&mut self) -> Option<u8> {
        let part = self.left()?;
        let (first, rest) = part.split_first()?;
        *part = rest;
        Some(*first)
    }

    fn number(&mut self, bytes: u32) -> Option<usize> {
        (0..bytes).try_fold(0, |sum, n| Some(sum | usize::from(self.byte()?) << (8 * n)))
    }

    fn skip(&mut self, mut bytes: usize) -> Option<()> {
        while bytes > 0 {
            let part = self.left()?;
            let some = bytes.min(part.len());
            *part = &part[some..];
            bytes -= some;
        }
        Some(())
    }

    /// Of a sheet's name: its length in one byte (2.5.240).
    fn short_text(&mut self) -> Option<String> {
        let length = self.number(1)?;
        let is_wide = self.byte()? & 1 != 0;
        self.letters(length, is_wide)
    }

    /// Its length in two bytes (2.5.294).
    fn long_text(&mut self) -> Option<String> {
        let length = self.number(2)?;
        let is_wide = self.byte()? & 1 != 0;
        self.letters(length, is_wide)
    }

    /// The same with what it looks like and how it is spoken behind it (2.5.293).
    fn rich_text(&mut self) -> Option<String> {
        let length = self.number(2)?;
        let flags = self.byte()?;
        let runs = if flags & 8 != 0 { self.number(2)? } else { 0 };
        let spoken = if flags & 4 != 0 { self.number(4)? } else { 0 };
        let text = self.letters(length, flags & 1 != 0)?;
        self.skip(4 * runs)?;
        self.skip(spoken)?;
        Some(text)
    }

    fn letters(&mut self, length: usize, mut is_wide: bool) -> Option<String> {
        let mut units = Vec::new();
        while units.len() < length {
            if self.parts.get(self.part)?.is_empty() {
                // What continues a text says anew how wide its letters are.
                is_wide = self.byte()? & 1 != 0;
            }
            let unit = if is_wide { self.number(2)? } else { self.number(1)? };
            units.push(unit as u16);
        }
        Some(String::from_utf16_lossy(&units))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_numbers_are_read() {
        // A whole number, one by a hundred, and the upper half of 0.25.
        for (bits, value) in [(5 << 2 | 2, 5.0), (125 << 2 | 3, 1.25), (0x3fd0_0000, 0.25)] {
            let record = [&[7, 0][..], &u32::to_le_bytes(bits)].concat();
            assert_eq!(four(&record, 2).map(short), Some(value), "{bits:x}");
        }
    }

    #[test]
    fn formats_of_days_are_told_from_others() {
        for days in ["dd/mm/yyyy", "d. mmm yy", "[$-809]dd mmmm yyyy;@"] {
            assert!(is_of_days(days), "{days}");
        }
        for other in ["0.00", "General", "#,##0 \"days\"", "[Red]0", "hh:mm"] {
            assert!(!is_of_days(other), "{other}");
        }
    }

    #[test]
    fn a_text_that_breaks_off_goes_on_with_letters_of_another_width() {
        let mut pieces = Pieces::of(&[4, 0, 0, b'a', b'b']);
        pieces.parts.push(&[1, b'c', 0, 0xe4, 0]);
        assert_eq!(pieces.rich_text().as_deref(), Some("abcä"));
        assert_eq!(pieces.rich_text(), None);
        assert_eq!(Pieces::of(&[200, 0, 0, b'a']).rich_text(), None);
        // What it looks like, four bytes, breaks off too; the next text lies behind it.
        let mut pieces = Pieces::of(&[1, 0, 8, 1, 0, b'a', 9, 9]);
        pieces.parts.push(&[9, 9, 1, 0, 0, b'b']);
        assert_eq!([pieces.rich_text(), pieces.rich_text()].map(Option::unwrap), ["a", "b"]);
    }
}
