//! A record with its dates, written out in the columns it was read from.

use std::iter::once;

use jiff::civil::Date;

use super::{
    closure, crop_override, cut, glance, hold, patch, permission, site, survey, walk, zone,
};
use crate::records::{Entry, Fact, FactId, Record};
use crate::units::{Amount, Measure};

/// The name of a column and the text in it.
pub(super) type Cell = (&'static str, String);

/// A record as it stands in the book, or as it comes in.
#[derive(Clone, Copy, Debug)]
pub struct Version<'a> {
    pub id: Option<FactId>,
    pub record: &'a Record,
    pub happened_on: Date,
    pub recorded_on: Option<Date>,
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
        for row in &mut rows {
            row.retain(|(_, text)| !text.is_empty());
            row.push(("date", self.happened_on.to_string()));
            row.push(("by", self.by.to_owned()));
            row.extend(self.recorded_on.map(|day| ("recorded_on", day.to_string())));
            row.extend(self.id.map(|id| ("fact", id.to_string())));
        }
        rows
    }
}

/// The record alone, without dates and names.
fn rows(record: &Record, measure: Measure) -> Vec<Vec<Cell>> {
    match record {
        Record::Survey(survey) => survey::rows(survey, measure),
        Record::Site(site) => vec![site::cells(site)],
        Record::Zone(zone) => vec![zone::cells(zone)],
        Record::Patch(patch) => vec![patch::cells(patch)],
        Record::Permission(permission) => vec![permission::cells(permission)],
        Record::Closure(closure) => vec![closure::cells(closure)],
        Record::Override(change) => vec![crop_override::cells(change)],
        Record::Walk(walk) => vec![walk::cells(walk)],
        Record::Hold(hold) => vec![hold::cells(hold)],
        Record::Glance(glance) => vec![glance::cells(glance)],
        Record::Cut(cut) => vec![cut::cells(cut)],
    }
}

/// An amount in the column of its measure.
pub(super) fn amount_cells(
    (grams, count): (&'static str, &'static str),
    amount: Option<Amount>,
) -> impl Iterator<Item = Cell> {
    amount.into_iter().flat_map(move |amount| {
        let column = if amount.measure == Measure::Mass { grams } else { count };
        once((column, amount.value.to_string()))
    })
}

/// An amount to its last digit, as `Amount` itself reads it back.
pub(super) fn plain_amount(amount: Amount) -> String {
    match amount.measure {
        Measure::Mass => format!("{}g", amount.value),
        Measure::Count => amount.value.to_string(),
    }
}
