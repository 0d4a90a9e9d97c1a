//! Reading a row's columns one after the other, each as what it should be.

use std::str::FromStr;
use std::sync::Arc;

use geo::Geometry;
use jiff::civil::Date;
use rusqlite::Row;
use rusqlite::types::{FromSqlError, FromSqlResult, Type, ValueRef};
use uuid::Uuid;

use super::packing::Unpacking;
use super::words::Words;
use super::{day, shape};
use crate::records::FactId;
use crate::units::Amount;

/// An id as SQLite takes it.
pub(super) fn bytes(id: &FactId) -> &[u8] {
    id.0.as_bytes()
}

/// A column that holds something else than it should: the file was tampered with.
#[derive(Debug, thiserror::Error)]
#[error("column `{column}` holds no {expected}")]
struct Misread {
    column: String,
    expected: &'static str,
}

/// Every value of one row of a query. To ask SQLite for one takes a third of the time that a whole
/// book takes to read, so each is asked for once.
#[derive(Debug, Default)]
pub(super) struct Cells<'row> {
    row: Option<&'row Row<'row>>,
    values: Vec<ValueRef<'row>>,
}

impl<'row> Cells<'row> {
    pub(super) fn of(row: &'row Row<'row>) -> Self {
        let columns = row.as_ref().column_count();
        let mut values = Vec::with_capacity(columns);
        for at in 0..columns {
            // Only a column that the row does not have is refused.
            let Ok(value) = row.get_ref(at) else { break };
            values.push(value);
        }
        Self { row: Some(row), values }
    }

    #[inline]
    pub(super) fn get(&self, at: usize) -> rusqlite::Result<ValueRef<'row>> {
        self.values.get(at).copied().ok_or_else(|| rusqlite::Error::InvalidColumnIndex(at))
    }

    fn name(&self, at: usize) -> &str {
        self.row.and_then(|row| row.as_ref().column_name(at).ok()).unwrap_or("?")
    }
}

/// The columns of one row, taken from left to right.
pub(super) struct Fields<'row, 'words> {
    cells: Cells<'row>,
    /// Of a row that is packed, whose cells are empty: each value is unpacked as it is taken.
    packed: Option<&'words mut Unpacking<'row>>,
    next: usize,
    words: &'words mut Words,
}

impl<'row, 'words> Fields<'row, 'words> {
    pub(super) fn of(row: &'row Row<'row>, words: &'words mut Words) -> Self {
        Self::after(0, row, words)
    }

    /// From the column of that number on.
    pub(super) fn after(next: usize, row: &'row Row<'row>, words: &'words mut Words) -> Self {
        Self { cells: Cells::of(row), packed: None, next, words }
    }

    /// Of the row that is packed next.
    pub(super) fn packed(packed: &'words mut Unpacking<'row>, words: &'words mut Words) -> Self {
        Self { cells: Cells::default(), packed: Some(packed), next: 0, words }
    }

    /// What a row is proved by. One that is packed is not proved by itself, and has none.
    pub(super) fn cells(&self) -> &Cells<'row> {
        &self.cells
    }

    #[inline]
    pub(super) fn text(&mut self) -> rusqlite::Result<&'row str> {
        self.take("text", |value| value.as_str())
    }

    #[inline]
    pub(super) fn maybe_text(&mut self) -> rusqlite::Result<Option<&'row str>> {
        self.take("text", |value| value.as_str_or_null())
    }

    /// Text that many rows share: a name, a person, a file.
    #[inline]
    pub(super) fn word(&mut self) -> rusqlite::Result<Arc<str>> {
        let text = self.text()?;
        Ok(self.words.share(text))
    }

    #[inline]
    pub(super) fn maybe_word(&mut self) -> rusqlite::Result<Option<Arc<str>>> {
        let text = self.maybe_text()?;
        Ok(text.map(|text| self.words.share(text)))
    }

    #[inline]
    pub(super) fn number(&mut self) -> rusqlite::Result<f64> {
        self.take("number", |value| value.as_f64())
    }

    #[inline]
    pub(super) fn maybe_number(&mut self) -> rusqlite::Result<Option<f64>> {
        self.take("number", |value| value.as_f64_or_null())
    }

    #[inline]
    pub(super) fn whole<T: TryFrom<i64>>(&mut self) -> rusqlite::Result<T> {
        self.maybe_whole()?.ok_or_else(|| self.misread("whole number"))
    }

    #[inline]
    pub(super) fn maybe_whole<T: TryFrom<i64>>(&mut self) -> rusqlite::Result<Option<T>> {
        self.take("whole number", |value| {
            let number = value.as_i64_or_null()?;
            number.map(|n| T::try_from(n).map_err(|_| FromSqlError::OutOfRange(n))).transpose()
        })
    }

    pub(super) fn yes_or_no(&mut self) -> rusqlite::Result<bool> {
        self.take("yes or no", |value| Ok(value.as_i64()? != 0))
    }

    #[inline]
    pub(super) fn day(&mut self) -> rusqlite::Result<Date> {
        self.maybe_day()?.ok_or_else(|| self.misread("day"))
    }

    #[inline]
    pub(super) fn maybe_day(&mut self) -> rusqlite::Result<Option<Date>> {
        self.take("day", |value| match value {
            ValueRef::Null => Ok(None),
            ValueRef::Text(text) => day::from_text(text).map(Some).ok_or(FromSqlError::InvalidType),
            _ => Err(FromSqlError::InvalidType),
        })
    }

    #[inline]
    pub(super) fn id(&mut self) -> rusqlite::Result<FactId> {
        self.maybe_id()?.ok_or_else(|| self.misread("id"))
    }

    #[inline]
    pub(super) fn maybe_id(&mut self) -> rusqlite::Result<Option<FactId>> {
        self.take("id", |value| {
            let uuid = value.as_blob_or_null()?.map(Uuid::from_slice).transpose();
            uuid.map(|uuid| uuid.map(FactId)).map_err(FromSqlError::other)
        })
    }

    pub(super) fn shape<T: TryFrom<Geometry>>(&mut self) -> rusqlite::Result<T> {
        let shape = self.take("shape", |value| Ok(shape::from_bytes(value.as_blob()?)))?;
        let wanted = shape.and_then(|shape| T::try_from(shape).ok());
        wanted.ok_or_else(|| self.misread("shape of the right form"))
    }

    /// Two columns: grams, then pieces; one of them is empty.
    pub(super) fn amount(&mut self) -> rusqlite::Result<Amount> {
        self.maybe_amount()?.ok_or_else(|| self.misread("amount"))
    }

    pub(super) fn maybe_amount(&mut self) -> rusqlite::Result<Option<Amount>> {
        if let Some(grams) = self.maybe_number()? {
            self.pass(1)?;
            return Ok(Some(Amount::grams(grams)));
        }
        Ok(self.maybe_number()?.map(Amount::count))
    }

    /// Items with a semicolon between them.
    pub(super) fn list<T: FromStr>(&mut self) -> rusqlite::Result<Vec<T>> {
        self.text_as("list of such items", |text| {
            let items = text.split("; ").filter(|item| !item.is_empty());
            items.map(|item| item.parse().ok()).collect()
        })
    }

    /// A JSON array of words.
    pub(super) fn words(&mut self) -> rusqlite::Result<Vec<Arc<str>>> {
        let words: Vec<String> =
            self.text_as("list of words", |text| serde_json::from_str(text).ok())?;
        Ok(words.iter().map(|word| self.words.share(word)).collect())
    }

    /// As many as there are, eight bytes each.
    pub(super) fn numbers(&mut self) -> rusqlite::Result<Vec<f64>> {
        let (numbers, rest) =
            self.take("list of numbers", |value| Ok(value.as_blob()?.as_chunks::<8>()))?;
        match rest {
            [] => Ok(numbers.iter().copied().map(f64::from_le_bytes).collect()),
            _ => Err(self.misread("list of numbers")),
        }
    }

    /// Text that stands for something; `None` from `read` where it does not.
    pub(super) fn text_as<T>(
        &mut self,
        expected: &'static str,
        read: impl FnOnce(&'row str) -> Option<T>,
    ) -> rusqlite::Result<T> {
        let text = self.text()?;
        read(text).ok_or_else(|| self.misread(expected))
    }

    /// The same, where the column may be empty.
    pub(super) fn maybe_text_as<T>(
        &mut self,
        expected: &'static str,
        read: impl FnOnce(&'row str) -> Option<T>,
    ) -> rusqlite::Result<Option<T>> {
        let text = self.maybe_text()?;
        text.map(|text| read(text).ok_or_else(|| self.misread(expected))).transpose()
    }

    /// Leaves out so many columns.
    pub(super) fn pass(&mut self, columns: usize) -> rusqlite::Result<()> {
        self.next += columns;
        match &mut self.packed {
            Some(packed) => (0..columns).try_for_each(|_| packed.take_value().map(|_| ())),
            None => Ok(()),
        }
    }

    /// Leaves out what is left of so many columns.
    pub(super) fn pass_rest(&mut self, columns: usize) -> rusqlite::Result<()> {
        self.pass(columns.saturating_sub(self.next))
    }

    #[inline]
    fn take<T>(
        &mut self,
        expected: &'static str,
        read: impl FnOnce(ValueRef<'row>) -> FromSqlResult<T>,
    ) -> rusqlite::Result<T> {
        let value = match &mut self.packed {
            Some(packed) => packed.take_value()?,
            None => self.cells.get(self.next)?,
        };
        self.next += 1;
        read(value).map_err(|_| self.misread(expected))
    }

    /// Blames the column just taken.
    fn misread(&self, expected: &'static str) -> rusqlite::Error {
        let at = self.next - 1;
        let column = self.cells.name(at).to_owned();
        rusqlite::Error::FromSqlConversionFailure(
            at,
            Type::Null,
            Box::new(Misread { column, expected }),
        )
    }
}
