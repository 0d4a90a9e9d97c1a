//! A small table that is no record of the book: rows with columns of their own.

use std::io::{BufReader, Read};

use super::cells::Cells;
use super::fields::Fields;
use super::header::{fits, is};
use super::lines::Lines;
use super::problem::{Finding, Place, Problems, quoted};
use super::read::checked;
use super::table::next_row;
use super::tally::{Reported, Tally};
use crate::records::Column;

/// Reads a CSV with these columns, each of which may be left out; `row` makes something of
/// every row, or reports what is wrong with it. `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub(super) fn read<T>(
    file: &str,
    text: impl Read,
    columns: &'static [Column],
    row: impl FnMut(&mut Fields<'_>) -> Result<T, Reported>,
) -> Result<Vec<T>, Problems> {
    let mut tally = Tally::default();
    let rows = rows(text, columns, row, &mut tally).unwrap_or_default();
    if tally.is_clean() { Ok(rows) } else { Err(tally.into_problems(file)) }
}

fn rows<T>(
    text: impl Read,
    columns: &'static [Column],
    mut row: impl FnMut(&mut Fields<'_>) -> Result<T, Reported>,
    tally: &mut Tally,
) -> Result<Vec<T>, Reported> {
    let mut lines = Lines::new(BufReader::new(checked(text, tally)?.whole));
    let mut cells = Cells::default();
    let mut header: Option<Vec<String>> = None;
    let mut found = Vec::new();
    while let Some(line) = next_row(&mut lines, tally)? {
        let place = Place::Line(line.line);
        cells.split(line.text);
        let Some(names) = &header else {
            let names: Vec<String> = cells.iter().map(str::to_owned).collect();
            refuse_strangers(&names, columns, &place, tally)?;
            header = Some(names);
            continue;
        };
        if fits(names.len(), &cells, &place, tally).is_ok() {
            let texts: Vec<&str> = cells.iter().collect();
            let text = |column: &Column| {
                names.iter().position(|name| is(name, column.name)).map_or("", |at| texts[at])
            };
            let values = columns.iter().map(text).collect();
            let read = Fields::new(columns, values, &place, tally);
            // What is wrong with a row is in the tally; the next one is read all the same.
            found.extend(read.and_then(|mut fields| row(&mut fields)));
        }
        if tally.has_enough() {
            break;
        }
    }
    Ok(found)
}

fn refuse_strangers(
    names: &[String],
    columns: &[Column],
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let all: Vec<String> = columns.iter().map(|column| format!("`{}`", column.name)).collect();
    let mut fit = Ok(());
    for (at, name) in names.iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        let found = if !columns.iter().any(|column| is(name, column.name)) {
            format!("there is no such column as {}", quoted(name))
        } else if names[..at].iter().any(|earlier| is(earlier, name)) {
            format!("the column {} is there twice", quoted(name))
        } else {
            continue;
        };
        fit = Err(tally.report(place, None, Finding::new(found, all.join(", "))));
    }
    fit
}
