//! Workbooks of before 2007, in the binary format XLS.

use std::io::{Cursor, Read};

use calamine::{Data, Reader, SheetVisible, Xls, XlsError};

use super::cell::{Cell, Grid, Room, Sheet};
use super::limits::{MOST_CELLS, MOST_SHEETS, Unopened};
use super::packed::damaged;
use super::xlsx::of_moment;

// Records of a workbook (MS-XLS, 2.3).
const BOUND_SHEET: u16 = 0x0085;
const BEGINS: u16 = 0x0809;
const ENDS: u16 = 0x000a;
const DIMENSIONS: u16 = 0x0200;
/// Those that say where their cell is: a formula, several numbers, a rich text, a text of the
/// common list, a number, a text, yes or no, a short number.
const CELLS: [u16; 8] = [0x0006, 0x00bd, 0x00d6, 0x00fd, 0x0203, 0x0204, 0x0205, 0x027e];
/// Columns of a sheet (MS-XLS, 2.5.51).
const COLUMNS: u64 = 256;

pub(super) fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unopened> {
    look_through(bytes)?;
    let mut book = Xls::new(Cursor::new(bytes)).map_err(|error| match error {
        XlsError::Password => Unopened::Locked,
        other => damaged(other),
    })?;
    let mut room = Room::default();
    let mut sheets = Vec::new();
    for about in book.sheets_metadata().to_vec() {
        let Ok(range) = book.worksheet_range(&about.name) else { continue };
        let (top, left) = range.start().unwrap_or_default();
        let mut grid = Grid::default();
        for (row, column, value) in range.used_cells() {
            let place = (u64::from(top) + row as u64, left as usize + column);
            grid.put(place, read(value), &mut room)?;
        }
        for merged in book.merge_cells_by_sheet_name(&about.name).unwrap_or_default() {
            let (first, last) = (merged.start.0.into(), merged.end.0.into());
            grid.fill((first, last), merged.start.1 as usize, &mut room)?;
        }
        let is_hidden = about.visible != SheetVisible::Visible;
        sheets.push(Sheet { is_hidden, ..grid.into_sheet(about.name) });
    }
    Ok(sheets)
}

fn read(value: &Data) -> Cell {
    match value {
        Data::Empty => Cell::Empty,
        Data::Int(value) => Cell::Number(*value as f64),
        Data::Float(value) => Cell::Number(*value),
        Data::Bool(yes) => Cell::YesNo(*yes),
        Data::DateTime(moment) => of_moment(moment),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => Cell::text(text),
        Data::Error(error) => Cell::text(&error.to_string()),
    }
}

/// A sheet is laid out whole, from its first cell to its last; so a file of two cells may ask for
/// all the memory there is. Walks the records of each sheet beforehand, and keeps none.
fn look_through(bytes: &[u8]) -> Result<(), Unopened> {
    let mut file = cfb::CompoundFile::open(Cursor::new(bytes)).map_err(damaged)?;
    if file.exists("/EncryptedPackage") {
        return Err(Unopened::Locked);
    }
    let path = ["/Workbook", "/Book"].into_iter().find(|path| file.exists(path));
    let path = path.ok_or(Unopened::Other("a document of an office program"))?;
    let mut stream = Vec::new();
    let whole = file.open_stream(path).map_err(damaged)?;
    // No longer than the file that it is in.
    whole.take(bytes.len() as u64).read_to_end(&mut stream).map_err(damaged)?;
    let starts: Vec<usize> = records(&stream)
        .filter(|(kind, _)| *kind == BOUND_SHEET)
        .map(|(_, data)| number(data, 0) as usize | (number(data, 2) as usize) << 16)
        .collect();
    if starts.len() > MOST_SHEETS {
        return Err(Unopened::Sheets);
    }
    let mut cells = 0_u64;
    for start in starts {
        let sheet = stream.get(start..).ok_or_else(|| damaged("a sheet lies beyond its end"))?;
        cells = cells.saturating_add(area(sheet)?);
        if cells > MOST_CELLS as u64 {
            return Err(Unopened::Cells);
        }
    }
    Ok(())
}

/// The cells from the first to the last of a sheet, empty ones too.
fn area(sheet: &[u8]) -> Result<u64, Unopened> {
    let (mut rows, mut columns, mut depth) = (0..0, 0..0, 0_u32);
    let mut reach = |row: u64, column: u64| {
        let is_first = rows.is_empty();
        rows = if is_first { row..row + 1 } else { rows.start.min(row)..rows.end.max(row + 1) };
        let is_first = columns.is_empty();
        columns = if is_first {
            column..column + 1
        } else {
            columns.start.min(column)..columns.end.max(column + 1)
        };
    };
    for (kind, data) in records(sheet) {
        match kind {
            BEGINS => depth += 1,
            ENDS if depth <= 1 => break,
            ENDS => depth -= 1,
            DIMENSIONS => {
                // First row, row past the last, then the same of columns: four bytes a row in
                // the later versions, two in the earlier.
                let (from, to, left, right) = match data.len() {
                    14.. => (
                        number(data, 0) | number(data, 2) << 16,
                        number(data, 4) | number(data, 6) << 16,
                        number(data, 8),
                        number(data, 10),
                    ),
                    _ => (number(data, 0), number(data, 2), number(data, 4), number(data, 6)),
                };
                if from > to || left > right || to > 1 << 16 || right > COLUMNS {
                    return Err(damaged("a sheet has no such size"));
                }
                if to > from && right > left {
                    reach(from, left);
                    reach(to - 1, right - 1);
                }
            }
            kind if CELLS.contains(&kind) => {
                let (row, column) = (number(data, 0), number(data, 2));
                // Several numbers of a row: two bytes each for where, six for each, two for the last.
                let several =
                    if kind == 0x00bd { (data.len() as u64).saturating_sub(6) / 6 } else { 1 };
                let last = column + several.max(1) - 1;
                if last >= COLUMNS {
                    return Err(Unopened::Columns);
                }
                reach(row, column);
                reach(row, last);
            }
            _ => {}
        }
    }
    let across = |span: std::ops::Range<u64>| span.end - span.start;
    Ok(across(rows) * across(columns))
}

/// Two bytes, the lesser first; 0 where there are none.
fn number(data: &[u8], at: usize) -> u64 {
    match data.get(at..at + 2) {
        Some(&[low, high]) => u64::from(u16::from_le_bytes([low, high])),
        _ => 0,
    }
}

/// Kind and data of each record, as far as they are whole.
fn records(mut stream: &[u8]) -> impl Iterator<Item = (u16, &[u8])> {
    std::iter::from_fn(move || {
        let (kind, length) = (number(stream.get(..4)?, 0), number(stream, 2) as usize);
        let (record, rest) = stream.split_at_checked(4 + length)?;
        stream = rest;
        Some((kind as u16, &record[4..]))
    })
}
