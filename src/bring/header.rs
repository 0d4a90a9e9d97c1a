//! The row that tells what the columns are, what stands above and what sums up below.

use super::cell::{Cell, Row};
use super::quantity::{Unit, unit};
use super::words;
use crate::intake::{SHEETS, columns};
use crate::records::{Column, folded};

/// Rows among which the header is looked for.
pub(super) const WITHIN: usize = 30;
/// Cells of a header that must be understood.
const UNDERSTOOD: usize = 2;
/// Over the column that a file of unread rows has besides; left out when it is brought again.
pub const WHY_UNREAD: &str = "why it was not read";

/// What stands over a column.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heading {
    /// As its writer sees it.
    pub text: String,
    /// The columns of files that it may mean, the likeliest first.
    pub meant: Vec<&'static str>,
    /// Whether it is itself the name of a column.
    pub is_named: bool,
    /// What the cells below are in.
    pub unit: Option<Unit>,
}

impl Heading {
    pub fn of(cell: &Cell) -> Self {
        let text = cell.to_string();
        let all = plain(&text);
        let heading = |meant: Vec<&'static str>, is_named, unit| Self {
            text: text.clone(),
            meant,
            is_named,
            unit,
        };
        if let Some(name) = column_called(&all.replace(' ', "_")) {
            // A cut has a `date`, though other kinds have a `day`.
            let others = words::over_column(&all).iter().filter(|other| **other != name);
            return heading([name].iter().chain(others).copied().collect(), true, None);
        }
        let (words, unit) = apart(&text);
        let own = words::over_column(&all);
        let meant = if own.is_empty() { words::over_column(&words) } else { own };
        if !meant.is_empty() {
            return heading(meant.to_vec(), false, unit);
        }
        match column_called(&words.replace(' ', "_")) {
            Some(name) => heading(vec![name], true, unit),
            None => heading(Vec::new(), false, unit),
        }
    }

    /// By which it is known again, however it is typed.
    pub fn key(&self) -> String {
        folded(&self.text)
    }
}

/// The name of a column of any kind that comes as a table.
fn column_called(name: &str) -> Option<&'static str> {
    let all = SHEETS.into_iter().flat_map(columns);
    all.map(|column: &Column| column.name).find(|known| *known == name)
}

/// In small letters, single blanks for whatever parts the words.
fn plain(text: &str) -> String {
    let words = text.split(|c: char| c.is_whitespace() || matches!(c, '_' | '-' | '.' | ':' | '*'));
    let words: Vec<String> = words.filter(|word| !word.is_empty()).map(str::to_lowercase).collect();
    words.join(" ")
}

/// The words of a header, and the unit that is said behind them: `Weight (kg)`, `weight in kg`.
fn apart(text: &str) -> (String, Option<Unit>) {
    if let Some(at) = text.find(['(', '[']) {
        let inside = text[at + 1..].trim_end_matches([')', ']', ':', ' ']);
        return (plain(&text[..at]), unit(inside));
    }
    let words = plain(&text.replace(['/', ','], " "));
    let last = words.rsplit_once(' ').and_then(|(rest, last)| Some((rest, unit(last)?)));
    match last {
        Some((rest, unit)) => (rest.strip_suffix(" in").unwrap_or(rest).to_owned(), Some(unit)),
        None => (words, None),
    }
}

/// The first of the rows of which most cells are understood, and how many; `told` are headers
/// that somebody has explained.
pub(super) fn best_row(rows: &[Row], told: &[String]) -> Option<(usize, usize)> {
    let understood = |row: &Row| {
        let known = |cell: &&Cell| {
            matches!(cell, Cell::Text(_)) && {
                let heading = Heading::of(cell);
                !heading.meant.is_empty() || told.contains(&heading.key())
            }
        };
        row.cells.iter().filter(known).count()
    };
    let found = rows.iter().take(WITHIN).enumerate().map(|(at, row)| (at, understood(row)));
    found.filter(|(_, n)| *n >= UNDERSTOOD).max_by_key(|(at, n)| (*n, WITHIN - at))
}

/// The headers by which a table is known again: folded, without what `bring` itself put there.
pub(super) fn shape(header: &[Cell]) -> Vec<String> {
    let mut shape: Vec<String> = header.iter().map(|cell| folded(&cell.to_string())).collect();
    shape.retain(|header| header != WHY_UNREAD);
    while shape.last().is_some_and(String::is_empty) {
        shape.pop();
    }
    shape
}

/// What of a sheet is a table, and what was left out.
#[derive(Debug)]
pub(super) struct Table<'s> {
    pub header: &'s Row,
    pub headings: Vec<Heading>,
    pub body: Vec<&'s Row>,
    /// Lines above the header that say something.
    pub above: Vec<u64>,
    /// What stands there, for a hint of what the table is.
    pub title: String,
    pub totals: Vec<u64>,
    /// Lines in which the header stands again.
    pub again: Vec<u64>,
}

impl<'s> Table<'s> {
    /// `None` where no row is a header.
    pub fn of(rows: &'s [Row], told: &[String]) -> Option<Self> {
        let (at, _) = best_row(rows, told)?;
        let header = &rows[at];
        let title = rows[..at].iter().flat_map(|row| &row.cells).map(Cell::to_string);
        let mut table = Self {
            header,
            headings: header.cells.iter().map(Heading::of).collect(),
            body: Vec::new(),
            above: rows[..at].iter().map(|row| row.line).collect(),
            title: title.collect::<Vec<_>>().join(" "),
            totals: Vec::new(),
            again: Vec::new(),
        };
        for row in &rows[at + 1..] {
            if row.cells == header.cells {
                table.again.push(row.line);
            } else if is_total(row) {
                table.totals.push(row.line);
            } else {
                table.body.push(row);
            }
        }
        if let Some(last) = table.body.last().filter(|last| is_bare_sum(last, &table.body)) {
            table.totals.push(last.line);
            table.body.pop();
        }
        Some(table)
    }
}

fn is_total(row: &Row) -> bool {
    let first = row.cells.iter().find(|cell| !cell.is_empty());
    matches!(first, Some(Cell::Text(text)) if words::sums_up(text))
}

/// Nothing but numbers, each the sum of those above it.
fn is_bare_sum(last: &Row, body: &[&Row]) -> bool {
    let value = |cell: &Cell| match cell {
        Cell::Number(value) => Some(*value),
        Cell::Text(text) => text.replace(',', ".").parse().ok(),
        _ => None,
    };
    let filled = last.cells.iter().enumerate().filter(|(_, cell)| !cell.is_empty());
    let mut sums = filled.map(|(at, cell)| {
        let above = &body[..body.len() - 1];
        let sum: f64 = above.iter().filter_map(|row| value(row.cell(at))).sum();
        value(cell).is_some_and(|value| (value - sum).abs() <= 1e-9 * sum.abs())
    });
    body.len() > 2 && sums.all(|is_sum| is_sum)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bring::words::AMOUNT;

    #[test]
    fn headers_are_understood_in_any_case_with_their_units() {
        let heading = |text: &str| Heading::of(&Cell::text(text));
        for (text, meant, factor) in [
            ("Mass g", "mass_g", None),
            ("MASS_G", "mass_g", None),
            ("Weight (kg)", AMOUNT, Some(1000.0)),
            ("weight in kg", AMOUNT, Some(1000.0)),
            ("Weight [g]:", AMOUNT, Some(1.0)),
            ("Frame area (cm²)", "frame_area_m2", Some(1e-4)),
            ("When", "date", None),
            ("frame-area-m2", "frame_area_m2", None),
        ] {
            let found = heading(text);
            assert_eq!(found.meant.first(), Some(&meant), "{text}");
            assert_eq!(found.unit.map(|unit| unit.factor), factor, "{text}");
        }
        assert!(heading("mood").meant.is_empty());
    }
}
