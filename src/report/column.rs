//! The columns of a data format: one list makes the JSON objects, the CSV and the GeoJSON
//! properties alike.

use serde_json::{Map, Number, Value};

use crate::units::Measure;

/// One column of a format: its name, and where its value comes from.
pub(super) struct Column<T> {
    name: &'static str,
    source: Source<T>,
}

enum Source<T> {
    Plain(fn(&T) -> Value),
    /// Grams or pieces; the column's name ends in `_g` or `_count`.
    Amount(fn(&T) -> Option<f64>),
}

/// A row whose amounts are in the measure of its crop.
pub(super) trait Measured {
    /// Rows without amounts need not say.
    fn measure(&self) -> Measure {
        Measure::Mass
    }
}

impl<T> Column<T> {
    /// Of an amount without its unit.
    pub(super) const fn name(&self) -> &'static str {
        self.name
    }

    pub(super) const fn plain(name: &'static str, value: fn(&T) -> Value) -> Self {
        Self { name, source: Source::Plain(value) }
    }

    pub(super) const fn amount(name: &'static str, value: fn(&T) -> Option<f64>) -> Self {
        Self { name, source: Source::Amount(value) }
    }
}

/// Without the short id, which a spreadsheet may take for a number: `12345678`, `1e234567`. The id in
/// full stands beside it.
pub(super) fn for_a_spreadsheet<T>(
    columns: impl IntoIterator<Item = Column<T>>,
) -> impl Iterator<Item = Column<T>> {
    columns.into_iter().filter(|column| column.name != "short_id")
}

/// One row as an object; an amount stands under the name of its own unit only.
pub(super) fn object<T: Measured>(columns: &[Column<T>], row: &T) -> Map<String, Value> {
    let field = |column: &Column<T>| match column.source {
        Source::Plain(value) => (column.name.to_owned(), value(row)),
        Source::Amount(value) => (in_unit(column.name, row.measure()), optional(value(row))),
    };
    columns.iter().map(field).collect()
}

/// A line of names, then a line a row. An amount has a column for grams and one for pieces,
/// of which one is empty.
pub(super) fn csv<'a, T: Measured + 'a>(
    columns: &[Column<T>],
    rows: impl IntoIterator<Item = &'a T>,
) -> Result<String, csv::Error> {
    Ok(csv_headings(columns)? + &csv_lines(columns, rows)?.concat())
}

/// The line of names.
pub(super) fn csv_headings<T>(columns: &[Column<T>]) -> Result<String, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(columns.iter().flat_map(Column::headings))?;
    Ok(text(&table.into_inner().map_err(csv::IntoInnerError::into_error)?))
}

/// The line of each row.
pub(super) fn csv_lines<'a, T: Measured + 'a>(
    columns: &[Column<T>],
    rows: impl IntoIterator<Item = &'a T>,
) -> Result<Vec<String>, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut lines = Vec::new();
    let mut start = 0;
    for row in rows {
        for column in columns {
            column.write_cells(row, &mut table)?;
        }
        table.write_record(None::<&[u8]>)?;
        table.flush()?;
        let written = table.get_ref();
        lines.push(text(&written[start..]));
        start = written.len();
    }
    Ok(lines)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

impl<T> Column<T> {
    fn headings(&self) -> Vec<String> {
        match self.source {
            Source::Plain(_) => vec![self.name.to_owned()],
            Source::Amount(_) => MEASURES.map(|measure| in_unit(self.name, measure)).to_vec(),
        }
    }
}

impl<T: Measured> Column<T> {
    fn write_cells(&self, row: &T, table: &mut csv::Writer<Vec<u8>>) -> Result<(), csv::Error> {
        match self.source {
            Source::Plain(value) => table.write_field(cell(value(row))),
            Source::Amount(value) => MEASURES.into_iter().try_for_each(|measure| {
                let own = if row.measure() == measure { value(row) } else { None };
                table.write_field(cell(optional(own)))
            }),
        }
    }
}

const MEASURES: [Measure; 2] = [Measure::Mass, Measure::Count];

/// `most_g` for grams, `most_count` for pieces.
pub(super) fn in_unit(name: &str, measure: Measure) -> String {
    match measure {
        Measure::Mass => format!("{name}_g"),
        Measure::Count => format!("{name}_count"),
    }
}

/// Rounded to four decimals; null for what is no number.
pub(super) fn number(value: f64) -> Value {
    const ROUNDED: f64 = 1e4;
    // `+ 0.0` turns −0 into 0.
    let rounded = (value * ROUNDED).round() / ROUNDED + 0.0;
    let shown = if rounded.is_finite() { rounded } else { value };
    Number::from_f64(shown).map_or(Value::Null, Value::Number)
}

pub(super) fn optional(value: Option<f64>) -> Value {
    value.map_or(Value::Null, number)
}

/// A date, a name, a grade: whatever shows itself as a word or two.
pub(super) fn word(text: impl ToString) -> Value {
    Value::String(text.to_string())
}

pub(super) fn optional_word(text: Option<impl ToString>) -> Value {
    text.map_or(Value::Null, word)
}

fn cell(value: Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text,
        other => other.to_string(),
    }
}

/// Laid out so that people can read it too, with a line break at its end.
pub(super) fn document(value: &Value) -> String {
    format!("{value:#}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_null_and_nothing_is_minus_nothing() {
        for (value, written) in [
            (f64::NAN, "null"),
            (f64::INFINITY, "null"),
            (-0.0, "0.0"),
            (0.123_456, "0.1235"),
            (1e300, "1e+300"),
            (1e305, "1e+305"),
        ] {
            assert_eq!(number(value).to_string(), written);
        }
    }
}
