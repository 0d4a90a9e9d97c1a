//! Facts that count on places that do not: one book withdrew a place, another recorded on it.

use std::collections::HashSet;

use rusqlite::Connection;

use super::error::{BookError, Failure};
use super::fields::Fields;
use super::history::fact_of;
use super::open::Book;
use super::view::View;
use super::words::Words;
use crate::records::{FactId, HistoryLine, Kind};

impl Book {
    /// Facts that would count if their place, or the site it lies on, were not withdrawn.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn misplaced(&self) -> Result<Vec<HistoryLine>, BookError> {
        misplaced(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }
}

pub(super) fn misplaced(book: &Connection) -> rusqlite::Result<Vec<HistoryLine>> {
    let view = View::read(book, None)?;
    let places = |kind: Kind| -> rusqlite::Result<HashSet<i64>> {
        Ok(live(kind, "place", &view, book)?.into_iter().map(|(_, place)| place).collect())
    };
    let sites = places(Kind::Site)?;
    let mut all = places(Kind::Patch)?;
    all.extend(&sites);
    let mut found = Vec::new();
    for kind in Kind::ALL {
        let (column, standing) = match kind {
            Kind::Site => continue,
            Kind::Patch => ("site", &sites),
            _ => ("place", &all),
        };
        for (id, place) in live(kind, column, &view, book)? {
            if !standing.contains(&place) {
                found.extend(fact_of(id, book)?);
            }
        }
    }
    Ok(found)
}

fn live(
    kind: Kind,
    column: &str,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<(FactId, i64)>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let sql = format!("SELECT id, recorded_on, {column} FROM {} ORDER BY id", kind.name());
    let mut statement = book.prepare_cached(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let id = fields.id()?;
        if view.counts(id, fields.day()?) {
            found.push((id, fields.whole()?));
        }
    }
    Ok(found)
}
