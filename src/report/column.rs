//! The columns of a data format: one list makes the JSON objects, the CSV and the GeoJSON
//! properties alike.

use std::borrow::{Borrow, Cow};
use std::io;

use jiff::civil::Date;
use serde_json::Value;

pub(super) use crate::json::in_unit;
use crate::json::{Coded, Degrees, Form, InUnit, Member, Members, Object, Shape, closed, or_null};
use crate::units::Measure;

/// One column of a format: its name, and where its value comes from.
pub(super) struct Column<T> {
    name: &'static str,
    source: Source<T>,
}

/// The types that a column may have, each with what makes a column of it.
macro_rules! sources {
    ($($Source:ident $make:ident $Type:ty;)+) => {
        enum Source<T> {
            $($Source(fn(&T) -> $Type),)+
            /// A word of a list.
            Coded(fn() -> Vec<&'static str>, fn(&T) -> &'static str),
            MaybeCoded(fn() -> Vec<&'static str>, fn(&T) -> Option<&'static str>),
            /// Grams or pieces; the column's name ends in `_g` or `_count`.
            Amount(fn(&T) -> Option<f64>),
        }

        impl<T> Column<T> {
            $(pub(super) const fn $make(name: &'static str, of: fn(&T) -> $Type) -> Self {
                Self { name, source: Source::$Source(of) }
            })+
        }

        impl<T> Source<T> {
            fn value(&self, row: &T) -> Value {
                match self {
                    $(Self::$Source(of) => of(row).value(),)+
                    Self::Coded(_, of) => of(row).value(),
                    Self::MaybeCoded(_, of) => of(row).value(),
                    Self::Amount(of) => of(row).value(),
                }
            }

            fn schema(&self) -> Value {
                match self {
                    $(Self::$Source(_) => <$Type>::schema(),)+
                    Self::Coded(all, _) => closed(&all()),
                    Self::MaybeCoded(all, _) => or_null(closed(&all())),
                    Self::Amount(_) => Option::<f64>::schema(),
                }
            }
        }
    };
}

sources! {
    Text text String;
    MaybeText maybe_text Option<String>;
    Day day Date;
    MaybeDay maybe_day Option<Date>;
    Number number f64;
    MaybeNumber maybe_number Option<f64>;
    MaybeDegrees degrees Option<Degrees>;
    Whole whole usize;
    MaybeWhole maybe_whole Option<usize>;
    MaybeCount maybe_count Option<u32>;
    Count count u32;
    Total total u64;
    Yes yes bool;
    MaybeYes maybe_yes Option<bool>;
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

    pub(super) const fn coded<C: Coded>(name: &'static str, of: fn(&T) -> &'static str) -> Self {
        Self { name, source: Source::Coded(C::codes, of) }
    }

    pub(super) const fn maybe_coded<C: Coded>(
        name: &'static str,
        of: fn(&T) -> Option<&'static str>,
    ) -> Self {
        Self { name, source: Source::MaybeCoded(C::codes, of) }
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

/// A row of which one list of columns tells.
pub(super) trait Columned: Measured + Sized {
    fn columns() -> Vec<Column<Self>>;
}

/// One row as an object, or as members of one; an amount stands under the name of its own unit only.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<'a, T>(pub &'a T);

impl<T: Columned> Object for Line<'_, T> {
    fn put_members(self, members: &mut Members) {
        for Column { name, source } in T::columns() {
            let name = match source {
                Source::Amount(_) => in_unit(name, self.0.measure()),
                _ => name.to_owned(),
            };
            members.insert(name, source.value(self.0));
        }
    }

    fn declare_members(shape: &mut Shape) {
        for Column { name, source } in T::columns() {
            match source {
                Source::Amount(_) => InUnit::<Option<f64>>::declare(name, "", shape),
                _ => shape.add(name, source.schema(), ""),
            }
        }
    }
}

impl<T: Columned> Form for Line<'_, T> {
    fn value(self) -> Value {
        object(self.0).into()
    }

    fn schema() -> Value {
        let mut shape = Shape::default();
        Self::declare_members(&mut shape);
        shape.schema()
    }
}

/// The members of one row.
pub(super) fn object<T: Columned>(row: &T) -> Members {
    let mut members = Members::new();
    Line(row).put_members(&mut members);
    members
}

/// A line of names, then a line a row. An amount has a column for grams and one for pieces,
/// of which one is empty.
pub(super) fn csv<'a, T: Measured + 'a>(
    columns: &[Column<T>],
    rows: impl IntoIterator<Item = &'a T>,
) -> Result<String, csv::Error> {
    Ok(csv_headings(columns)? + csv_lines(columns, rows)?.together())
}

/// The line of names.
pub(super) fn csv_headings<T>(columns: &[Column<T>]) -> Result<String, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(columns.iter().flat_map(Column::headings))?;
    text(table)
}

/// The line of each row.
pub(super) fn csv_lines<T: Measured>(
    columns: &[Column<T>],
    rows: impl IntoIterator<Item: Borrow<T>>,
) -> Result<Lines, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let mut ends = Vec::new();
    for row in rows {
        for column in columns {
            column.write_cells(row.borrow(), &mut table)?;
        }
        table.write_record(None::<&[u8]>)?;
        table.flush()?;
        ends.push(table.get_ref().len());
    }
    Ok(Lines { text: text(table)?, ends })
}

/// Lines in one text: a large book has a hundred thousand of them.
#[derive(Debug)]
pub struct Lines {
    text: String,
    ends: Vec<usize>,
}

impl Lines {
    /// One after the other.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, end)| &self.text[start..*end])
    }

    /// All of them.
    pub fn together(&self) -> &str {
        &self.text
    }
}

fn text(table: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = table.into_inner().map_err(csv::IntoInnerError::into_error)?;
    String::from_utf8(bytes).map_err(|error| io::Error::other(error).into())
}

impl<T> Column<T> {
    fn headings(&self) -> Vec<String> {
        match self.source {
            Source::Amount(_) => MEASURES.map(|measure| in_unit(self.name, measure)).to_vec(),
            _ => vec![self.name.to_owned()],
        }
    }
}

impl<T: Measured> Column<T> {
    fn write_cells(&self, row: &T, table: &mut csv::Writer<Vec<u8>>) -> Result<(), csv::Error> {
        match &self.source {
            Source::Amount(value) => MEASURES.into_iter().try_for_each(|measure| {
                let own = if row.measure() == measure { value(row) } else { None };
                table.write_field(&*cell(own.value()))
            }),
            source => table.write_field(&*cell(source.value(row))),
        }
    }
}

const MEASURES: [Measure; 2] = [Measure::Mass, Measure::Count];

fn cell(value: Value) -> Cow<'static, str> {
    match value {
        Value::Null => "".into(),
        Value::Bool(true) => "true".into(),
        Value::Bool(false) => "false".into(),
        Value::Number(number) => number.to_string().into(),
        Value::String(text) => text.into(),
        list => list.to_string().into(),
    }
}
