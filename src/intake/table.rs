//! A CSV file: its header tells its kind, each further row a record or a quadrat of one.

use std::io::BufRead;

use super::cells::Cells;

use super::header::Header;
use super::known::Gazetteer;
use super::lines::{CsvRow, LineFault, Lines};
use super::problem::{Finding, Place};
use super::sheet::Sheet;
use super::tally::{Reported, Tally};
use crate::records::Entry;

pub(super) fn read(text: impl BufRead, known: &Gazetteer<'_>, tally: &mut Tally) -> Vec<Entry> {
    let mut lines = Lines::new(text);
    let mut cells = Cells::default();
    let Ok(header) = header(&mut lines, &mut cells, tally) else { return Vec::new() };
    let mut sheet = Sheet::new(header.kind());
    let mut is_empty = true;
    loop {
        let row = match next_row(&mut lines, tally) {
            Ok(Some(row)) => row,
            Ok(None) => break,
            Err(Reported) => return Vec::new(),
        };
        is_empty = false;
        let place = Place::Line(row.line);
        cells.split(row.text);
        if header.fits(&cells, &place, tally).is_ok() {
            let fields: Vec<&str> = cells.iter().collect();
            // What is wrong with a row is in the tally; the next one is read all the same.
            let _ = sheet.row(header.arrange(&fields), &place, known, tally);
        } else {
            sheet.miss_row();
        }
        if tally.has_enough() {
            return Vec::new();
        }
    }
    if is_empty {
        let kind = header.kind().plural();
        tally.remark(format!("nothing in it yet: a header for {kind} and no row under it"));
    }
    sheet.finish(tally)
}

fn header<R: BufRead>(
    lines: &mut Lines<R>,
    cells: &mut Cells,
    tally: &mut Tally,
) -> Result<Header, Reported> {
    let Some(row) = next_row(lines, tally)? else {
        let expected = "a header row; `stintbook new` writes templates";
        let finding = Finding::new("there is nothing in it but comments", expected);
        return Err(tally.report(&Place::WholeFile, None, finding));
    };
    cells.split(row.text);
    Header::read(cells, &Place::Line(row.line), tally)
}

pub(super) fn next_row<'l, R: BufRead>(
    lines: &'l mut Lines<R>,
    tally: &mut Tally,
) -> Result<Option<CsvRow<'l>>, Reported> {
    lines.next_row().map_err(|error| {
        let place = Place::Line(error.line);
        tally.report(&place, None, told(error.fault))
    })
}

fn told(fault: LineFault) -> Finding {
    match fault {
        LineFault::Unreadable(error) => Finding::new(
            format!("the file cannot be read from here on: {error}"),
            "a file that can be read to its end",
        ),
        LineFault::TooLong => {
            Finding::new("this line is more than 64 kB long", "a CSV file with a row on each line")
        }
        LineFault::NotUtf8 => {
            Finding::new("this line is not UTF-8 text", "a CSV file saved as UTF-8")
        }
        LineFault::OpenQuote => {
            Finding::new("a quote is opened here and not closed", "a second `\"` behind the text")
        }
    }
}
