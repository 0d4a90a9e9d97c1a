//! A whole table put straight.

use super::day::{self, Order};
use super::dialect::{Row, readings};
use crate::intake::{SHEETS, columns};
use crate::records::{Column, Form};

/// Rows among which the header is looked for.
const HEADER_WITHIN: usize = 30;
/// Columns of days. A note may look like one, and stays as it is.
const OF_DAYS: [&str; 7] = ["date", "day", "from", "to", "recorded_on", "begun", "asked_for"];
/// The most columns of a table.
const MOST_COLUMNS: usize = 200;

/// A table as `intake` reads it, and what was done to make it so.
#[derive(Debug)]
pub struct Straight {
    /// CSV; each row stands on the line that it had.
    pub text: String,
    /// The header and the first rows, as they are now.
    pub shown: Vec<String>,
    pub rows: usize,
    /// How it was read and what was left out, a sentence each.
    pub remarks: Vec<String>,
}

/// Puts a table straight; `told` is the order of day and month where the table shows none.
///
/// # Errors
/// What is unclear, each with a way out.
pub fn straighten(text: &str, told: Option<Order>) -> Result<Straight, Vec<String>> {
    let found = readings(text).find_map(|(by, rows)| Some((by, header_at(&rows)?, rows)));
    let Some((by, at, rows)) = found else {
        return Err(vec![
            "no row is a header that tells what its columns are; name them as sites/files.md \
             does, like `patch`, `date`, `by`"
                .to_owned(),
        ]);
    };
    let header: Vec<String> = rows[at].1.iter().map(|cell| plain(cell)).collect();
    let mut remarks = vec![format!("cells are parted by {}", called(by))];
    if at > 0 {
        remarks.push(format!("left out: what stands above the header in line {}", rows[at].0));
    }
    let body = &rows[at + 1..];
    let mut unclear = Vec::new();
    let mut as_read: Vec<Vec<String>> = body.iter().map(|(_, cells)| cells.clone()).collect();
    for (index, name) in header.iter().enumerate() {
        let Some(column) = known(name) else { continue };
        let cells = as_read.iter_mut().filter_map(|row| row.get_mut(index));
        if column.form == Form::Number {
            // Where commas part the cells, one within a cell was put in quotes for a reason
            // that only its writer knows; `intake` asks.
            if by != b',' {
                cells.for_each(|cell| *cell = pointed(cell));
            }
            continue;
        }
        if !OF_DAYS.contains(&column.name) {
            continue;
        }
        let seen = day::order(body.iter().filter_map(|(_, row)| row.get(index)).map(|c| &**c));
        let order = match (seen, told) {
            (Ok(None), _) => continue,
            (Ok(Some(seen)), Some(told)) if seen != told => {
                unclear.push(format!("`{name}`: its days are written the other way round"));
                continue;
            }
            (Ok(Some(seen)), _) => seen,
            (Err(why), _) if why.contains(" the day first and ") => {
                unclear.push(format!("`{name}`: {why}; write them all in one way"));
                continue;
            }
            (Err(_), Some(told)) => told,
            (Err(why), None) => {
                unclear.push(format!("`{name}`: {why}; say --day-first or --month-first"));
                continue;
            }
        };
        cells.for_each(|cell| *cell = day::year_first(cell, order));
        let first = if order == Order::DayFirst { "day" } else { "month" };
        remarks.push(format!("`{name}` has the {first} first"));
    }
    if !unclear.is_empty() {
        return Err(unclear);
    }
    Ok(written(&header, rows[at].0, body, &as_read, remarks))
}

fn written(
    header: &[String],
    header_line: u64,
    body: &[Row],
    as_read: &[Vec<String>],
    remarks: Vec<String>,
) -> Straight {
    let mut straight = Straight { text: String::new(), shown: Vec::new(), rows: 0, remarks };
    let mut line = 1;
    let lines = body.iter().map(|(line, _)| *line).zip(as_read);
    let header = header.to_vec();
    for (wanted, cells) in std::iter::once((header_line, &header)).chain(lines) {
        if cells.iter().all(String::is_empty) {
            continue;
        }
        // Each row on its own line, so that a problem names the line that its writer sees.
        while line < wanted {
            straight.text.push('\n');
            line += 1;
        }
        let quoted: Vec<String> = cells.iter().map(|cell| quoted(cell)).collect();
        let row = quoted.join(",");
        line += 1 + row.matches('\n').count() as u64;
        straight.text += &row;
        straight.text.push('\n');
        if straight.shown.len() < 4 {
            straight.shown.push(row);
        }
        straight.rows += 1;
    }
    straight.rows -= 1;
    straight
}

/// The first row of which two cells or more are columns of some kind.
fn header_at(rows: &[Row]) -> Option<usize> {
    rows.iter().take(HEADER_WITHIN).position(|(_, cells)| {
        let named = || cells.iter().filter(|cell| known(&plain(cell)).is_some());
        cells.len() <= MOST_COLUMNS && named().count() >= 2
    })
}

fn known(name: &str) -> Option<&'static Column> {
    SHEETS.into_iter().flat_map(columns).find(|column| column.name == name)
}

/// `Mass g` and `MASS_G` are `mass_g`.
fn plain(cell: &str) -> String {
    cell.trim_start_matches('\u{feff}').trim().to_lowercase().replace([' ', '-'], "_")
}

/// A decimal comma as a point; with three digits behind it, it may part thousands and stays.
fn pointed(cell: &str) -> String {
    let Some((whole, part)) = cell.split_once(',') else { return cell.to_owned() };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_plain = digits(whole) && digits(part);
    if is_plain && part.len() != 3 { format!("{whole}.{part}") } else { cell.to_owned() }
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\n', '\r']) || cell.starts_with('#') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

fn called(delimiter: u8) -> &'static str {
    match delimiter {
        b';' => "semicolons",
        b'\t' => "tabs",
        b'|' => "upright strokes",
        _ => "commas",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_of_days_are_columns_of_some_kind() {
        assert!(OF_DAYS.into_iter().all(|name| known(name).is_some()));
    }
}
