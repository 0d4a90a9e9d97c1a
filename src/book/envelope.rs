//! The columns that every table of facts begins with.

use std::sync::Arc;

use jiff::civil::Date;

use super::fields::Fields;
use super::view::View;
use crate::records::{Fact, FactId};

/// In the order in which [`Envelope::read`] takes them: what decides whether a fact counts
/// comes first, so that the rest of one that does not is never taken apart.
pub(super) const ENVELOPE: &str = "id, recorded_on, place, happened_on, by_whom, file";

/// A fact without its record.
#[derive(Debug)]
pub(super) struct Envelope {
    /// The number of the place it is about.
    pub(super) place: i64,
    pub(super) id: FactId,
    happened_on: Date,
    recorded_on: Date,
    by: Arc<str>,
    file: Option<Arc<str>>,
}

impl Envelope {
    /// `None` for a fact that does not count in the view.
    pub(super) fn read(view: Option<&View>, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let (id, recorded_on) = (fields.id()?, fields.day()?);
        if view.is_some_and(|view| !view.counts(id, recorded_on)) {
            return Ok(None);
        }
        Ok(Some(Self {
            id,
            recorded_on,
            place: fields.whole()?,
            happened_on: fields.day()?,
            by: fields.word()?,
            file: fields.maybe_word()?,
        }))
    }

    pub(super) fn around<T>(self, record: T) -> Fact<T> {
        Fact {
            id: self.id,
            happened_on: self.happened_on,
            recorded_on: self.recorded_on,
            by: self.by,
            file: self.file,
            record,
        }
    }
}
