//! What the gate goes by, whatever comes: the crops, the days, and where ids are drawn.

use std::fmt;
use std::sync::Arc;

use jiff::civil::Date;

use super::identity::Ids;
use crate::book::NewFact;
use crate::catalogue::Catalogue;
use crate::records::{Entry, Fact, FactId};

/// What every door has to say beside what it brings.
#[derive(Clone, Copy)]
pub struct Gate<'a> {
    /// The crops that count for this book.
    pub catalogue: &'a Catalogue,
    /// The clock's day.
    pub today: Date,
    /// The day that counts as today.
    pub on: Date,
    /// Draws an id for each new fact.
    pub draw: Ids<'a>,
}

impl fmt::Debug for Gate<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Gate")
            .field("today", &self.today)
            .field("on", &self.on)
            .finish_non_exhaustive()
    }
}

impl Gate<'_> {
    /// The last day on which anything can have been seen or done.
    pub fn last_day(&self) -> Date {
        self.on.max(self.today)
    }

    /// A fact counts as known from the day it was written down: as stated, else today, but
    /// never before it happened.
    pub fn recorded_on(&self, stated: Option<Date>, happened_on: Date) -> Date {
        stated.unwrap_or(self.today.max(happened_on))
    }

    /// The entry as a fact of that id.
    pub fn fact(&self, entry: Entry, file: Option<&Arc<str>>, id: FactId) -> NewFact {
        let fact = Fact {
            id,
            happened_on: entry.happened_on,
            recorded_on: self.recorded_on(entry.recorded_on, entry.happened_on),
            by: entry.by,
            file: file.cloned(),
            record: entry.record,
        };
        NewFact { key: entry.key, fact }
    }
}
