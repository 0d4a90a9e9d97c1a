//! Rows as the text that `intake` reads.

use std::collections::BTreeMap;

/// CSV in which each row stands on the line that its writer sees, so that a problem names it.
#[derive(Clone, Debug, Default)]
pub struct Written {
    header: (u64, String),
    /// The texts of each row, by its line.
    rows: BTreeMap<u64, String>,
}

impl Written {
    pub(super) fn with_header(line: u64, columns: &[&str]) -> Self {
        let names: Vec<String> = columns.iter().map(|name| (*name).to_owned()).collect();
        Self { header: (line, csv_row(&names)), rows: BTreeMap::new() }
    }

    pub(super) fn push(&mut self, line: u64, values: &[String]) {
        self.rows.insert(line, csv_row(values));
    }

    pub fn len(&self) -> usize {
        self.rows.len()
    }

    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    pub(super) fn header_line(&self) -> u64 {
        self.header.0
    }

    pub(super) fn remove(&mut self, line: u64) {
        self.rows.remove(&line);
    }

    pub fn text(&self) -> String {
        let (first, header) = &self.header;
        let mut text = String::new();
        let mut line = 1;
        for (wanted, row) in std::iter::once((first, header)).chain(&self.rows) {
            while line < *wanted {
                text.push('\n');
                line += 1;
            }
            text += row;
            line += 1;
        }
        text
    }

    pub(super) fn rows(&self) -> impl Iterator<Item = (u64, &str)> {
        self.rows.iter().map(|(line, row)| (*line, row.as_str()))
    }
}

/// A row with its line end. What would be taken for a comment is quoted.
pub(super) fn csv_row(cells: &[String]) -> String {
    let quoted: Vec<String> = cells.iter().map(|cell| quoted(cell)).collect();
    quoted.join(",") + "\n"
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', ';', '\t', '|']) || cell.starts_with('#') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}
