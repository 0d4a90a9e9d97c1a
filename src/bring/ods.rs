//! Workbooks in OpenDocument (OASIS ODF 1.3, part 3, chapter 9).

use std::borrow::Cow;
use std::io::{BufReader, Cursor};

use jiff::civil::{Date, DateTime};
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use zip::ZipArchive;

use super::cell::{Cell, Grid, Room, Sheet};
use super::limits::{MOST_COLUMNS, MOST_ROWS, MOST_SHEETS, Unopened};
use super::packed::damaged;

pub(super) fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unopened> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let content = archive.by_name("content.xml").map_err(damaged)?;
    let mut xml = Reader::from_reader(BufReader::new(content));
    let mut reading = Reading::default();
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).map_err(damaged)? {
            Event::Start(tag) => reading.opens(&tag)?,
            Event::Empty(tag) => {
                reading.opens(&tag)?;
                reading.closes(tag.name().as_ref())?;
            }
            Event::End(tag) => reading.closes(tag.name().as_ref())?,
            Event::Text(text) => reading.says(&text.xml10_content()),
            Event::CData(text) => reading.says(&text.xml10_content()),
            Event::GeneralRef(reference) => {
                // Only what XML itself has: whatever a document defines is left out, so that
                // nothing grows.
                let letter = match reference.resolve_char_ref() {
                    Ok(Some(letter)) => Some(letter),
                    _ => of_entity(&reference.xml10_content()),
                };
                reading.says(&letter.map(String::from).unwrap_or_default());
            }
            Event::Eof => break,
            _ => {}
        }
    }
    Ok(reading.sheets)
}

fn of_entity(name: &str) -> Option<char> {
    match name {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "quot" => Some('"'),
        "apos" => Some('\''),
        _ => None,
    }
}

#[derive(Default)]
struct Reading {
    sheets: Vec<Sheet>,
    room: Room,
    sheet: Option<(String, Grid)>,
    /// First and last row of merged cells, with their column.
    merged: Vec<((u64, u64), usize)>,
    /// Where the next row and cell stand, from 0.
    row: u64,
    column: usize,
    /// Of the row that is read: how often it stands there, and what is in it.
    row_repeats: u64,
    cells: Vec<(usize, Cell)>,
    cell: Option<Opened>,
    /// Within comments, and tables within a cell.
    passed_over: usize,
}

/// A cell that is being read.
struct Opened {
    repeats: usize,
    rows: u64,
    /// What it is, beside what is shown.
    value: Option<Cell>,
    shown: String,
}

impl Reading {
    fn opens(&mut self, tag: &BytesStart<'_>) -> Result<(), Unopened> {
        let name = tag.name();
        let is_within = self.cell.is_some() && name.as_ref() == "table:table";
        if self.passed_over > 0 || name.as_ref() == "office:annotation" || is_within {
            self.passed_over += 1;
            return Ok(());
        }
        match name.as_ref() {
            "table:table" => {
                if self.sheets.len() == MOST_SHEETS {
                    return Err(Unopened::Sheets);
                }
                let name = attribute(tag, "table:name").unwrap_or_default();
                (self.row, self.sheet) = (0, Some((name, Grid::default())));
            }
            "table:table-row" => {
                self.row_repeats = count(tag, "table:number-rows-repeated");
                self.column = 0;
                self.cells.clear();
            }
            "table:table-cell" | "table:covered-table-cell" => {
                let repeats = count(tag, "table:number-columns-repeated");
                self.cell = Some(Opened {
                    repeats: usize::try_from(repeats).unwrap_or(usize::MAX),
                    rows: count(tag, "table:number-rows-spanned"),
                    value: value(tag),
                    shown: String::new(),
                });
            }
            // Blanks that XML would lose, and what parts one line from the next.
            "text:s" | "text:tab" | "text:line-break" | "text:p" => self.says(" "),
            _ => {}
        }
        Ok(())
    }

    fn says(&mut self, text: &str) {
        if let Some(cell) = &mut self.cell
            && self.passed_over == 0
        {
            cell.shown += text;
        }
    }

    fn closes(&mut self, name: &str) -> Result<(), Unopened> {
        if self.passed_over > 0 {
            self.passed_over -= 1;
            return Ok(());
        }
        match name {
            "table:table-cell" | "table:covered-table-cell" => self.put_cell(),
            "table:table-row" => self.put_row(),
            "table:table" => self.put_sheet(),
            _ => Ok(()),
        }
    }

    fn put_cell(&mut self) -> Result<(), Unopened> {
        let Some(Opened { repeats, rows, value, shown }) = self.cell.take() else { return Ok(()) };
        let cell = value.unwrap_or_else(|| Cell::text(&shown));
        if !cell.is_empty() {
            let end = self.column.saturating_add(repeats);
            if end > MOST_COLUMNS {
                return Err(Unopened::Columns);
            }
            if rows > 1 {
                self.room.take(1)?;
                self.merged.push(((self.row, self.row.saturating_add(rows - 1)), self.column));
            }
            self.cells.extend((self.column..end).map(|column| (column, cell.clone())));
        }
        self.column = self.column.saturating_add(repeats);
        Ok(())
    }

    fn put_row(&mut self) -> Result<(), Unopened> {
        let end = self.row.saturating_add(self.row_repeats);
        let Some((_, grid)) = &mut self.sheet else { return Ok(()) };
        if !self.cells.is_empty() {
            if end > MOST_ROWS {
                return Err(Unopened::Rows);
            }
            for row in self.row..end {
                for (column, cell) in &self.cells {
                    grid.put((row, *column), cell.clone(), &mut self.room)?;
                }
            }
        }
        self.row = end;
        Ok(())
    }

    fn put_sheet(&mut self) -> Result<(), Unopened> {
        let Some((name, mut grid)) = self.sheet.take() else { return Ok(()) };
        for (rows, column) in self.merged.drain(..) {
            grid.fill(rows, column, &mut self.room)?;
        }
        self.sheets.push(grid.into_sheet(name));
        Ok(())
    }
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = tag.try_get_attribute(name).ok()??;
    found.normalized_value(XmlVersion::Implicit1_0).ok().map(Cow::into_owned)
}

/// How often something stands there; once, where nothing is said.
fn count(tag: &BytesStart<'_>, name: &str) -> u64 {
    attribute(tag, name).and_then(|text| text.parse().ok()).unwrap_or(1)
}

/// What a cell is, where it is more than what it shows.
fn value(tag: &BytesStart<'_>) -> Option<Cell> {
    match attribute(tag, "office:value-type")?.as_str() {
        "float" | "currency" => attribute(tag, "office:value")?.parse().ok().map(Cell::Number),
        "date" => {
            let text = attribute(tag, "office:date-value")?;
            let day =
                text.parse::<Date>().or_else(|_| text.parse::<DateTime>().map(|at| at.date()));
            day.ok().map(Cell::Day)
        }
        "boolean" => Some(Cell::YesNo(attribute(tag, "office:boolean-value")? == "true")),
        // A percentage is shown as it is meant, `40 %`, and kept as 0.4.
        _ => None,
    }
}
