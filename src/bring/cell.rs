//! A table as it stands in a file, before anyone says what it means.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use jiff::civil::Date;

use super::limits::{MOST_CELLS, MOST_COLUMNS, MOST_ROWS, Unopened};

/// What stands in one place of a table. Text may mean anything; a number, a day and yes or no
/// are what they are, since a spreadsheet keeps them as such.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// Nothing stands there.
    #[default]
    Empty,
    /// On one line, without blanks round it.
    Text(Box<str>),
    /// As the spreadsheet keeps it.
    Number(f64),
    /// Without its time.
    Day(Date),
    /// What a spreadsheet calls true or false.
    YesNo(bool),
}

/// The cells of a row, and the line or row number that its writer sees, from 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// From 1.
    pub line: u64,
    /// From the first column on, gaps among them.
    pub cells: Vec<Cell>,
}

/// One sheet of a workbook, or all of a text file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// Empty for a text file.
    pub name: String,
    /// The workbook does not show it.
    pub is_hidden: bool,
    /// Rows with anything in them.
    pub rows: Vec<Row>,
    /// Cells that a merged one covers, which have what it says.
    pub filled: usize,
    /// Lines and columns of merged cells over several rows, those too that they cover.
    pub merged: BTreeSet<(u64, usize)>,
    /// How its bytes became letters, where they were not UTF-8.
    pub encoding: Option<&'static str>,
    /// What parts the cells of a text.
    pub parted_by: Option<u8>,
}

impl Cell {
    /// On one line, however many it had; nothing of blanks alone.
    pub fn text(text: &str) -> Self {
        let mut words =
            text.split(|c: char| c.is_whitespace() || is_unseen(c)).filter(|w| !w.is_empty());
        let Some(first) = words.next() else { return Self::Empty };
        let joined = words.fold(first.to_owned(), |joined, word| joined + " " + word);
        Self::Text(joined.into())
    }

    /// Whether nothing stands there.
    pub fn is_empty(&self) -> bool {
        *self == Self::Empty
    }
}

/// A mark of the byte order, and letters of no width.
fn is_unseen(letter: char) -> bool {
    matches!(letter, '\u{feff}' | '\u{200b}' | '\u{200e}' | '\u{200f}')
}

/// As its writer sees it, and as it is written again: days with the year first, a number as
/// exactly as a spreadsheet shows it, to 15 digits.
impl fmt::Display for Cell {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => Ok(()),
            Self::Text(text) => out.write_str(text),
            Self::Number(value) => {
                let shown = format!("{value:.14e}").parse().unwrap_or(*value);
                write!(out, "{}", shown + 0.0)
            }
            Self::Day(day) => write!(out, "{day}"),
            Self::YesNo(yes) => out.write_str(if *yes { "yes" } else { "no" }),
        }
    }
}

impl Row {
    /// The cell of a column; empty past the last.
    pub fn cell(&self, column: usize) -> &Cell {
        self.cells.get(column).unwrap_or(&Cell::Empty)
    }
}

/// The rows of a sheet as they come, in any order, up to what a file may hold.
#[derive(Debug, Default)]
pub(super) struct Grid {
    rows: BTreeMap<u64, Vec<Cell>>,
    filled: usize,
    merged: BTreeSet<(u64, usize)>,
}

/// Bytes of a text that take as much room as a cell.
const LETTERS: usize = 64;

/// How many more cells a file may have.
#[derive(Debug)]
pub(super) struct Room(usize);

impl Default for Room {
    fn default() -> Self {
        Self(MOST_CELLS)
    }
}

impl Room {
    pub fn take(&mut self, cells: usize) -> Result<(), Unopened> {
        self.0 = self.0.checked_sub(cells).ok_or(Unopened::Cells)?;
        Ok(())
    }
}

impl Grid {
    /// Puts a cell in its place; `row` and `column` count from 0.
    pub fn put(
        &mut self,
        (row, column): (u64, usize),
        cell: Cell,
        room: &mut Room,
    ) -> Result<(), Unopened> {
        if cell.is_empty() {
            return Ok(());
        }
        // One long text may stand in many cells.
        if let Cell::Text(text) = &cell {
            room.take(text.len() / LETTERS)?;
        }
        if row >= MOST_ROWS {
            return Err(Unopened::Rows);
        }
        if column >= MOST_COLUMNS {
            return Err(Unopened::Columns);
        }
        let cells = self.rows.entry(row).or_default();
        if cells.len() <= column {
            room.take(column + 1 - cells.len())?;
            cells.resize(column + 1, Cell::Empty);
        }
        cells[column] = cell;
        Ok(())
    }

    /// Gives what a merged cell says to those below that it covers, in rows that say anything.
    pub fn fill(
        &mut self,
        (first, last): (u64, u64),
        column: usize,
        room: &mut Room,
    ) -> Result<(), Unopened> {
        let top = self.rows.get(&first).and_then(|cells| cells.get(column)).cloned();
        let Some(top) = top.filter(|cell| !cell.is_empty()) else { return Ok(()) };
        let below: Vec<u64> = match first < last {
            true => self.rows.range(first + 1..=last).map(|(row, _)| *row).collect(),
            false => return Ok(()),
        };
        // Merged ranges may lie on one another; what is looked at counts too.
        room.take(below.len())?;
        self.merged.insert((first + 1, column));
        for row in below {
            self.merged.insert((row + 1, column));
            if self.rows[&row].get(column).is_none_or(Cell::is_empty) {
                self.put((row, column), top.clone(), room)?;
                self.filled += 1;
            }
        }
        Ok(())
    }

    pub fn into_sheet(self, name: String) -> Sheet {
        let rows = self.rows.into_iter().map(|(row, cells)| Row { line: row + 1, cells });
        Sheet {
            name,
            rows: rows.collect(),
            filled: self.filled,
            merged: self.merged,
            ..Sheet::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_shown_as_a_spreadsheet_shows_it() {
        for (value, shown) in
            [(0.1 + 0.2, "0.3"), (512.5, "512.5"), (300.0, "300"), (-0.0, "0"), (1e-3, "0.001")]
        {
            assert_eq!(Cell::Number(value).to_string(), shown);
        }
        assert_eq!(
            Cell::text(" two\n  lines\u{a0}more \u{feff}"),
            Cell::Text("two lines more".into())
        );
        assert_eq!(Cell::text(" \u{a0}"), Cell::Empty);
    }
}
