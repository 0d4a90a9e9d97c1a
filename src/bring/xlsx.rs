//! Workbooks in Office Open XML.

use std::io::Cursor;

use calamine::{DataRef, ExcelDateTime, Reader, SheetType, SheetVisible, Xlsx, XlsxError};
use jiff::civil::Date;

use super::cell::{Cell, Grid, Room, Sheet};
use super::limits::{MOST_SHEETS, Unopened};
use super::packed::damaged;

pub(super) fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unopened> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(unopened)?;
    let all = book.sheets_metadata().to_vec();
    if all.len() > MOST_SHEETS {
        return Err(Unopened::Sheets);
    }
    let mut room = Room::default();
    let mut sheets = Vec::new();
    for about in all.into_iter().filter(|about| about.typ == SheetType::WorkSheet) {
        let mut grid = Grid::default();
        let mut cells = book.worksheet_cells_reader(&about.name).map_err(unopened)?;
        while let Some(cell) = cells.next_cell().map_err(unopened)? {
            let (row, column) = cell.get_position();
            grid.put((row.into(), column as usize), read(cell.get_value()), &mut room)?;
        }
        drop(cells);
        for merged in book.merge_cells_by_sheet_name(&about.name).unwrap_or_default() {
            let (first, last) = (merged.start.0.into(), merged.end.0.into());
            grid.fill((first, last), merged.start.1 as usize, &mut room)?;
        }
        let is_hidden = about.visible != SheetVisible::Visible;
        sheets.push(Sheet { is_hidden, ..grid.into_sheet(about.name) });
    }
    Ok(sheets)
}

fn unopened(error: XlsxError) -> Unopened {
    match error {
        XlsxError::Password => Unopened::Locked,
        other => damaged(other),
    }
}

fn read(value: &DataRef<'_>) -> Cell {
    match value {
        DataRef::Empty => Cell::Empty,
        DataRef::Int(value) => Cell::Number(*value as f64),
        DataRef::Float(value) => Cell::Number(*value),
        DataRef::Bool(yes) => Cell::YesNo(*yes),
        DataRef::DateTime(moment) => of_moment(moment),
        DataRef::SharedString(text) => Cell::text(text),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            Cell::text(text)
        }
        DataRef::Error(error) => Cell::text(&error.to_string()),
    }
}

/// The day of a moment. What is no day but a time or a span of time is text, of which nobody
/// makes a day.
fn of_moment(moment: &ExcelDateTime) -> Cell {
    let (year, month, day, hour, minute, ..) = moment.to_ymd_hms_milli();
    let number = moment.as_f64();
    if !moment.is_datetime() || number < 1.0 {
        return Cell::text(&format!("{hour:02}:{minute:02}"));
    }
    let date = i16::try_from(year)
        .ok()
        .and_then(|year| Date::new(year, month.try_into().ok()?, day.try_into().ok()?).ok());
    date.map_or(Cell::Number(number), Cell::Day)
}
