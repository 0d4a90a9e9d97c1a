//! All that was ever recorded, and what became of it.

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension, ToSql, params};

use super::checks::unknown_fact;
use super::envelope::{ENVELOPE, Envelope};
use super::error::{BookError, Failure};
use super::fields::{Fields, bytes};
use super::lookup::fact_called;
use super::names::Names;
use super::open::Book;
use super::places::is_live;
use super::scope::{Scope, not_found};
use super::tables::Table;
use super::words::Words;
use crate::records::{Correction, Fact, FactId, Kind, Record, Replacement, SiteName};

/// One fact in full, the key it was recorded under, and what took its place, if anything did.
#[derive(Clone, Debug, PartialEq)]
pub struct HistoryLine {
    pub key: String,
    pub fact: Fact<Record>,
    pub correction: Option<Correction>,
}

impl Book {
    /// Everything ever recorded of a patch, of a site with its patches, or at all, in the
    /// order in which it was recorded. Places bear their present names, but what set a place
    /// down keeps the name it gave.
    ///
    /// # Errors
    /// A refusal for a site or patch that is not known; a storage error where the book cannot
    /// be read.
    pub fn history(&self, scope: &Scope) -> Result<Vec<HistoryLine>, BookError> {
        history(&self.connection, scope).map_err(|failure| failure.at(&self.path))
    }

    /// Every fact of the kind ever recorded under the key, oldest first.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn versions(&self, kind: Kind, key: &str) -> Result<Vec<HistoryLine>, BookError> {
        versions(&self.connection, kind, key).map_err(|error| Failure::from(error).at(&self.path))
    }

    /// The fact that people call by the last eight digits of its id, or by more of them.
    ///
    /// # Errors
    /// A refusal that says what may have been meant.
    pub fn fact(&self, asked: &str) -> Result<HistoryLine, BookError> {
        fact(&self.connection, asked).map_err(|failure| failure.at(&self.path))
    }
}

fn history(book: &Connection, scope: &Scope) -> Result<Vec<HistoryLine>, Failure> {
    let moment = book.unchecked_transaction()?;
    let mut archive = Archive::of(&moment);
    match places_of(scope, &moment)? {
        None => archive.read_every_kind(Condition { clause: "", values: &[] })?,
        Some(places) => {
            for place in places {
                let values = params![place];
                archive.read_every_kind(Condition { clause: "WHERE place = ?", values })?;
            }
        }
    }
    Ok(archive.into_lines())
}

fn versions(book: &Connection, kind: Kind, key: &str) -> rusqlite::Result<Vec<HistoryLine>> {
    let mut archive = Archive::of(book);
    archive.read(kind, Condition { clause: "WHERE key = ?", values: params![key] })?;
    Ok(archive.into_lines())
}

fn fact(book: &Connection, asked: &str) -> Result<HistoryLine, Failure> {
    let (id, kind) = fact_called(asked, book)?;
    let mut archive = Archive::of(book);
    archive.read(kind, Condition { clause: "WHERE id = ?", values: params![bytes(&id)] })?;
    archive.into_lines().pop().ok_or_else(|| unknown_fact(id).into())
}

/// The places whose history is wanted; `None` for all. What is withdrawn keeps its history,
/// so a name that no place bears now stands for the last that bore it.
fn places_of(scope: &Scope, book: &Connection) -> Result<Option<BTreeSet<i64>>, Failure> {
    match scope {
        Scope::All => Ok(None),
        Scope::Site(name) => {
            let site = last_site_named(name, book)?;
            let mut patches = book.prepare_cached("SELECT place FROM patch WHERE site = ?")?;
            let patches = patches.query_map([site], |row| row.get(0))?;
            Ok(Some(patches.chain([Ok(site)]).collect::<rusqlite::Result<_>>()?))
        }
        Scope::Patch(name) => {
            let site = last_site_named(name.site(), book)?;
            let values = params![name.patch(), site];
            let patch = last_named("patch", "name = ? AND site = ?", values, book)?;
            let patch = patch.ok_or_else(|| not_found("patch", name.to_string()))?;
            Ok(Some(BTreeSet::from([patch])))
        }
    }
}

fn last_site_named(name: &SiteName, book: &Connection) -> Result<i64, Failure> {
    last_named("site", "name = ?", params![name.as_str()], book)?
        .ok_or_else(|| not_found("site", name.to_string()))
}

fn last_named(
    table: &str,
    condition: &str,
    values: &[&dyn ToSql],
    book: &Connection,
) -> rusqlite::Result<Option<i64>> {
    let live = is_live(table);
    book.prepare_cached(&format!(
        "SELECT place FROM {table} WHERE {condition} ORDER BY {live} DESC, no DESC LIMIT 1"
    ))?
    .query_row(values, |row| row.get(0))
    .optional()
}

/// Which rows of a table to read.
#[derive(Clone, Copy)]
struct Condition<'a> {
    clause: &'a str,
    values: &'a [&'a dyn ToSql],
}

/// Collects facts in full, whether they still count or not.
struct Archive<'book> {
    book: &'book Connection,
    names: Names,
    words: Words,
    lines: Vec<HistoryLine>,
}

impl<'book> Archive<'book> {
    fn of(book: &'book Connection) -> Self {
        Self { book, names: Names::default(), words: Words::default(), lines: Vec::new() }
    }

    /// Facts known from one day come in the order of their ids, which is that of their making.
    fn into_lines(mut self) -> Vec<HistoryLine> {
        self.lines.sort_by_key(|line| (line.fact.recorded_on, line.fact.id));
        self.lines
    }

    fn read_every_kind(&mut self, which: Condition) -> rusqlite::Result<()> {
        Kind::ALL.into_iter().try_for_each(|kind| self.read(kind, which))
    }

    fn read(&mut self, kind: Kind, which: Condition) -> rusqlite::Result<()> {
        match kind {
            Kind::Site => self.read_as(Record::Site, which),
            Kind::Zone => self.read_as(Record::Zone, which),
            Kind::Patch => self.read_as(Record::Patch, which),
            Kind::Permission => self.read_as(Record::Permission, which),
            Kind::Closure => self.read_as(Record::Closure, which),
            Kind::Override => self.read_as(Record::Override, which),
            Kind::Survey => self.read_as(Record::Survey, which),
            Kind::Glance => self.read_as(Record::Glance, which),
            Kind::Cut => self.read_as(Record::Cut, which),
        }
    }

    fn read_as<T: Table>(
        &mut self,
        wrap: fn(T) -> Record,
        which: Condition,
    ) -> rusqlite::Result<()> {
        self.learn_names(T::KIND, which)?;
        let (table, columns, clause) = (T::KIND.name(), T::COLUMNS, which.clause);
        let sql = format!("SELECT key, {ENVELOPE}, {columns} FROM {table} {clause}");
        let mut statement = self.book.prepare_cached(&sql)?;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut self.words);
            let key = fields.text()?.to_owned();
            let envelope = Envelope::read(None, &mut fields)?;
            let Some(envelope) = envelope else { continue };
            let (no, place) = (envelope.no, envelope.place);
            let Some(mut record) = T::read(place, &self.names, &mut fields)? else { continue };
            record.read_parts(no, self.book)?;
            let fact = envelope.around(wrap(record));
            let correction = correction_of(fact.id, self.book)?;
            self.lines.push(HistoryLine { key, fact, correction });
        }
        Ok(())
    }

    fn learn_names(&mut self, kind: Kind, which: Condition) -> rusqlite::Result<()> {
        let table = kind.name();
        let columns: &[&str] = if kind == Kind::Patch { &["place", "site"] } else { &["place"] };
        for column in columns {
            let sql = format!("SELECT DISTINCT {column} FROM {table} {}", which.clause);
            let mut statement = self.book.prepare_cached(&sql)?;
            let mut rows = statement.query(which.values)?;
            while let Some(row) = rows.next()? {
                self.names.learn(row.get(0)?, self.book)?;
            }
        }
        Ok(())
    }
}

fn correction_of(id: FactId, book: &Connection) -> rusqlite::Result<Option<Correction>> {
    let mut words = Words::default();
    book.prepare_cached(
        "SELECT id, replacement, why, recorded_on, by_whom FROM correction WHERE replaced = ?",
    )?
    .query_row([bytes(&id)], |row| {
        let mut fields = Fields::of(row, &mut words);
        Ok(Correction {
            id: fields.id()?,
            replaced: id,
            replacement: fields.maybe_id()?.map_or(Replacement::Withdrawn, Replacement::By),
            why: fields.word()?,
            recorded_on: fields.day()?,
            by: fields.word()?,
        })
    })
    .optional()
}
