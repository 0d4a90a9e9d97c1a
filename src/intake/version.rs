//! A record with its dates, written out in the columns it was read from.

use jiff::civil::Date;

use super::column::Cell;
use super::kinds::rows;
use crate::records::{Entry, Fact, FactId, Record};
use crate::units::Measure;

/// A record as it stands in the book, or as it comes in.
#[derive(Clone, Copy, Debug)]
pub struct Version<'a> {
    /// `None` where it has none yet.
    pub id: Option<FactId>,
    /// What it says.
    pub record: &'a Record,
    /// When it happened.
    pub happened_on: Date,
    /// From when it counts as known; `None` where that is not said.
    pub recorded_on: Option<Date>,
    /// By whom.
    pub by: &'a str,
}

impl<'a> From<&'a Fact<Record>> for Version<'a> {
    fn from(fact: &'a Fact<Record>) -> Self {
        Self {
            id: Some(fact.id),
            record: &fact.record,
            happened_on: fact.happened_on,
            recorded_on: Some(fact.recorded_on),
            by: &fact.by,
        }
    }
}

impl<'a> From<&'a Entry> for Version<'a> {
    fn from(entry: &'a Entry) -> Self {
        Self {
            id: entry.id,
            record: &entry.record,
            happened_on: entry.happened_on,
            recorded_on: entry.recorded_on,
            by: &entry.by,
        }
    }
}

impl Version<'_> {
    /// One row, or one for each quadrat of a survey; `measure` is what a survey's crop is
    /// reckoned in. Empty cells are left out.
    pub(super) fn rows(&self, measure: Measure) -> Vec<Vec<Cell>> {
        let mut rows = rows(self.record, measure);
        let mut of_all = vec![("date", self.happened_on.to_string()), ("by", self.by.to_owned())];
        of_all.extend(self.recorded_on.map(|day| ("recorded_on", day.to_string())));
        of_all.extend(self.id.map(|id| ("fact", id.to_string())));
        for row in &mut rows {
            row.retain(|(_, text)| !text.is_empty());
            row.extend_from_slice(&of_all);
        }
        rows
    }
}
