//! Writing a row's columns one after the other, none of them a number that is none.

use std::sync::Arc;

use geo::{CoordsIter, Geometry};
use jiff::civil::Date;
use rusqlite::types::{ToSqlOutput, Value, ValueRef};

use super::error::Refusal;
use super::{day, shape};
use crate::records::{FactId, Kind, Written};
use crate::units::{Amount, Measure};

/// The statement that writes a row of these columns.
pub(super) fn insertion(table: &str, columns: &str) -> String {
    let marks = vec!["?"; columns.split(',').count()].join(", ");
    format!("INSERT INTO {table} ({columns}) VALUES ({marks})")
}

/// A value that is about to be written, as SQLite keeps it. It must be of the type that its column
/// keeps: SQLite makes a real number of a whole one.
pub(super) fn as_kept<'v>(value: &'v ToSqlOutput) -> rusqlite::Result<ValueRef<'v>> {
    match value {
        ToSqlOutput::Borrowed(value) => Ok(*value),
        ToSqlOutput::Owned(value) => Ok(value.into()),
        _ => Err(rusqlite::Error::ToSqlConversionFailure("no plain value".into())),
    }
}

/// The values of a row to be written, in the order of its columns.
pub(super) struct NewRow<'a> {
    kind: Kind,
    key: &'a str,
    values: Vec<ToSqlOutput<'a>>,
}

impl<'a> NewRow<'a> {
    pub(super) fn of(kind: Kind, key: &'a str) -> Self {
        Self { kind, key, values: Vec::with_capacity(20) }
    }

    /// Makes it ready for the next row of the same fact.
    pub(super) fn clear(&mut self) {
        self.values.clear();
    }

    pub(super) fn values(&self) -> &[ToSqlOutput<'a>] {
        &self.values
    }

    /// The value at a position, as SQLite keeps it.
    pub(super) fn value(&self, at: usize) -> Value {
        let value = self.values.get(at).and_then(|value| as_kept(value).ok());
        value.and_then(|value| value.try_into().ok()).unwrap_or(Value::Null)
    }

    pub(super) fn text(&mut self, text: &'a str) {
        self.values.push(ToSqlOutput::Borrowed(ValueRef::from(text)));
    }

    pub(super) fn maybe_text(&mut self, text: Option<&'a Arc<str>>) {
        match text {
            Some(text) => self.text(text),
            None => self.nothing(),
        }
    }

    pub(super) fn written(&mut self, text: String) {
        self.own(Value::Text(text));
    }

    /// As its type writes it, where it may be recorded at all.
    pub(super) fn usable<W: Written>(
        &mut self,
        field: &'static str,
        value: &W,
    ) -> Result<(), Refusal> {
        if let Some(expected) = value.is_unusable() {
            return Err(self.refuse(field, value, expected));
        }
        self.written(value.to_string());
        Ok(())
    }

    /// Items as people write them, one behind a semicolon.
    pub(super) fn list<W: Written>(
        &mut self,
        field: &'static str,
        items: &[W],
    ) -> Result<(), Refusal> {
        let text = items.iter().map(W::to_string).collect::<Vec<_>>().join("; ");
        if let Some(expected) = items.iter().find_map(W::is_unusable) {
            return Err(self.refuse(field, text, expected));
        }
        self.written(text);
        Ok(())
    }

    pub(super) fn whole(&mut self, number: impl Into<i64>) {
        self.own(Value::Integer(number.into()));
    }

    pub(super) fn maybe_whole(&mut self, number: Option<impl Into<i64>>) {
        match number {
            Some(number) => self.whole(number),
            None => self.nothing(),
        }
    }

    /// SQLite takes a NaN for an empty column, so a number must be one.
    pub(super) fn number(&mut self, field: &'static str, number: f64) -> Result<(), Refusal> {
        if !number.is_finite() {
            return Err(self.refuse(field, number, "a finite number"));
        }
        self.own(Value::Real(number));
        Ok(())
    }

    pub(super) fn maybe_number(
        &mut self,
        field: &'static str,
        number: Option<f64>,
    ) -> Result<(), Refusal> {
        match number {
            Some(number) => self.number(field, number)?,
            None => self.nothing(),
        }
        Ok(())
    }

    pub(super) fn day(&mut self, field: &'static str, day: Date) -> Result<(), Refusal> {
        let text = day::to_text(day)
            .ok_or_else(|| self.refuse(field, day, "a day of the years 0 to 9999"))?;
        self.written(text);
        Ok(())
    }

    pub(super) fn maybe_day(
        &mut self,
        field: &'static str,
        day: Option<Date>,
    ) -> Result<(), Refusal> {
        match day {
            Some(day) => self.day(field, day)?,
            None => self.nothing(),
        }
        Ok(())
    }

    pub(super) fn id(&mut self, id: FactId) {
        self.own(Value::Blob(id.0.as_bytes().to_vec()));
    }

    pub(super) fn bytes(&mut self, bytes: &'a [u8]) {
        self.values.push(ToSqlOutput::Borrowed(ValueRef::Blob(bytes)));
    }

    pub(super) fn maybe_id(&mut self, id: Option<FactId>) {
        match id {
            Some(id) => self.id(id),
            None => self.nothing(),
        }
    }

    pub(super) fn shape(&mut self, field: &'static str, shape: &Geometry) -> Result<(), Refusal> {
        if let Some(bad) = shape.coords_iter().find(|at| !at.x.is_finite() || !at.y.is_finite()) {
            let found = format!("{}, {}", bad.x, bad.y);
            return Err(self.refuse(field, found, "a position in degrees"));
        }
        self.own(Value::Blob(shape::to_bytes(shape)));
        Ok(())
    }

    /// Two columns: grams, then pieces; one of them stays empty.
    pub(super) fn amount(&mut self, field: &'static str, amount: Amount) -> Result<(), Refusal> {
        if !amount.is_usable() {
            return Err(self.refuse(field, amount.value, "a finite amount, 0 or more"));
        }
        let value = Value::Real(amount.value);
        match amount.measure {
            Measure::Mass => {
                self.own(value);
                self.nothing();
            }
            Measure::Count => {
                self.nothing();
                self.own(value);
            }
        }
        Ok(())
    }

    pub(super) fn maybe_amount(
        &mut self,
        field: &'static str,
        amount: Option<Amount>,
    ) -> Result<(), Refusal> {
        match amount {
            Some(amount) => self.amount(field, amount)?,
            None => {
                self.nothing();
                self.nothing();
            }
        }
        Ok(())
    }

    /// A JSON array of words.
    pub(super) fn words(&mut self, words: &[Arc<str>]) {
        let words = words.iter().map(|word| serde_json::Value::from(&**word)).collect();
        self.written(serde_json::Value::Array(words).to_string());
    }

    pub(super) fn refuse(
        &self,
        field: &'static str,
        found: impl ToString,
        expected: &'static str,
    ) -> Refusal {
        Refusal::Unusable {
            what: self.kind.name(),
            key: self.key.to_owned(),
            field,
            found: found.to_string(),
            expected,
        }
    }

    pub(super) fn nothing(&mut self) {
        self.own(Value::Null);
    }

    fn own(&mut self, value: Value) {
        self.values.push(ToSqlOutput::Owned(value));
    }
}
