//! What the gate asks of recorded facts: whether one is there, and what was done on a patch.

use std::collections::HashSet;
use std::sync::Arc;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension};

use super::error::{BookError, Failure};
use super::fields::{Fields, bytes};
use super::open::Book;
use super::places::is_live;
use super::words::Words;
use crate::records::{FactId, Kind};
use crate::units::Amount;

/// What became of a fact, without what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fate {
    /// Whether nothing has replaced or withdrawn it.
    pub counts: bool,
    /// The file it came from, if any.
    pub file: Option<Arc<str>>,
}

/// Something seen or done on a patch, as far as it takes to know it again.
#[derive(Clone, Debug, PartialEq)]
pub struct Deed {
    /// Of the fact.
    pub id: FactId,
    /// When.
    pub happened_on: Date,
    /// By whom.
    pub by: Arc<str>,
    /// Where it was read; `None` for what was typed.
    pub file: Option<Arc<str>>,
    /// `None` where it has none, or many.
    pub amount: Option<Amount>,
}

impl Book {
    /// Glances, cuts and surveys that were said to be others than those like them as they came:
    /// their key has a number.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn told_apart(&self) -> Result<HashSet<FactId>, BookError> {
        told_apart(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }
}

fn told_apart(book: &Connection) -> rusqlite::Result<HashSet<FactId>> {
    let mut found = HashSet::new();
    let mut words = Words::default();
    for kind in Kind::ALL.into_iter().filter(|kind| kind.is_deed()) {
        let sql = format!("SELECT id FROM {} WHERE key LIKE '% #%'", kind.name());
        let mut ids = book.prepare_cached(&sql)?;
        let ids = ids.query_map([], |row| Fields::of(row, &mut words).id())?;
        for id in ids {
            found.insert(id?);
        }
    }
    Ok(found)
}

/// `None` where the book has no fact of that kind and id.
pub(super) fn fate(kind: Kind, id: FactId, book: &Connection) -> rusqlite::Result<Option<Fate>> {
    let table = kind.name();
    let live = is_live(table);
    let mut words = Words::default();
    book.prepare_cached(&format!("SELECT {live}, file FROM {table} WHERE id = ?"))?
        .query_row([bytes(&id)], |row| {
            let mut fields = Fields::of(row, &mut words);
            Ok(Fate { counts: fields.yes_or_no()?, file: fields.maybe_word()? })
        })
        .optional()
}

/// The deeds of the kind on a place that count; none of a kind that is no deed.
pub(super) fn deeds(kind: Kind, place: i64, book: &Connection) -> rusqlite::Result<Vec<Deed>> {
    let amount = match kind {
        Kind::Cut => "taken_g, taken_pieces",
        Kind::Glance => "standing_g, standing_pieces",
        Kind::Clipping => "cut_g, cut_pieces",
        _ if kind.is_deed() => "NULL, NULL",
        _ => return Ok(Vec::new()),
    };
    let table = kind.name();
    let live = is_live(table);
    let mut words = Words::default();
    book.prepare_cached(&format!(
        "SELECT id, happened_on, by_whom, file, {amount} FROM {table} WHERE place = ? AND {live}"
    ))?
    .query_map([place], |row| {
        let mut fields = Fields::of(row, &mut words);
        Ok(Deed {
            id: fields.id()?,
            happened_on: fields.day()?,
            by: fields.word()?,
            file: fields.maybe_word()?,
            amount: fields.maybe_amount()?,
        })
    })?
    .collect()
}
