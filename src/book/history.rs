//! All that was ever recorded, and what became of it.

use std::collections::BTreeSet;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, ToSql, params};

use super::checks::{recorded_kind, unknown_fact};
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
use crate::records::{Correction, Fact, FactId, Kind, PatchName, Record, Replacement, SiteName};

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

    /// Every fact that was ever put right or withdrawn, and what took its place.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn corrected(&self) -> Result<Vec<HistoryLine>, BookError> {
        corrected(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
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
    let mut lines = Vec::new();
    match places_of(scope, &moment)? {
        None => collect(&Kind::ALL, Condition::NONE, &moment, &mut lines)?,
        Some(places) => {
            for place in places {
                let of_place = Condition { clause: "WHERE place = ?", values: params![place] };
                collect(&Kind::ALL, of_place, &moment, &mut lines)?;
            }
        }
    }
    Ok(in_order(lines))
}

pub(super) fn versions(
    book: &Connection,
    kind: Kind,
    key: &str,
) -> rusqlite::Result<Vec<HistoryLine>> {
    let mut lines = Vec::new();
    let of_key = Condition { clause: "WHERE key = ?", values: params![key] };
    collect(&[kind], of_key, book, &mut lines)?;
    Ok(in_order(lines))
}

fn corrected(book: &Connection) -> rusqlite::Result<Vec<HistoryLine>> {
    const CLAUSE: &str = "WHERE id IN (SELECT replaced FROM correction) \
                          OR id IN (SELECT replacement FROM correction)";
    let mut lines = Vec::new();
    let either_side = Condition { clause: CLAUSE, values: params![] };
    collect(&Kind::ALL, either_side, book, &mut lines)?;
    Ok(in_order(lines))
}

pub(super) fn fact(book: &Connection, asked: &str) -> Result<HistoryLine, Failure> {
    let (id, kind) = fact_called(asked, book)?;
    of_kind_and_id(kind, id, book)?.ok_or_else(|| unknown_fact(id).into())
}

/// `None` where the book has no fact of that id.
pub(super) fn fact_of(id: FactId, book: &Connection) -> rusqlite::Result<Option<HistoryLine>> {
    match recorded_kind(id, book)? {
        Some(kind) => of_kind_and_id(kind, id, book),
        None => Ok(None),
    }
}

fn of_kind_and_id(
    kind: Kind,
    id: FactId,
    book: &Connection,
) -> rusqlite::Result<Option<HistoryLine>> {
    let mut lines = Vec::new();
    let of_id = Condition { clause: "WHERE id = ?", values: params![bytes(&id)] };
    collect(&[kind], of_id, book, &mut lines)?;
    Ok(lines.pop())
}

/// Everything of the kind that was ever recorded of a day on a patch, oldest first.
pub(super) fn deeds_of_day(
    kind: Kind,
    patch: &PatchName,
    day: Date,
    book: &Connection,
) -> Result<Vec<HistoryLine>, Failure> {
    let mut lines = Vec::new();
    let place = last_patch_named(patch, book)?;
    let day = day.to_string();
    let of_day =
        Condition { clause: "WHERE place = ? AND happened_on = ?", values: params![place, day] };
    collect(&[kind], of_day, book, &mut lines)?;
    Ok(in_order(lines))
}

/// The latest day on which anything happened.
pub(super) fn last_day(book: &Connection) -> rusqlite::Result<Option<Date>> {
    let mut last = None;
    let mut words = Words::default();
    for kind in Kind::ALL {
        let sql = format!("SELECT max(happened_on) FROM {}", kind.name());
        let day = book
            .prepare_cached(&sql)?
            .query_row([], |row| Fields::of(row, &mut words).maybe_day())?;
        last = last.max(day);
    }
    Ok(last)
}

fn collect(
    kinds: &[Kind],
    which: Condition,
    book: &Connection,
    lines: &mut Vec<HistoryLine>,
) -> rusqlite::Result<()> {
    let mut see = |line| {
        lines.push(line);
        Ok(())
    };
    kinds.iter().try_for_each(|kind| each_line(*kind, which, book, &mut see))
}

/// Facts known from one day come in the order of their ids, which is that of their making.
fn in_order(mut lines: Vec<HistoryLine>) -> Vec<HistoryLine> {
    lines.sort_by_key(|line| (line.fact.recorded_on, line.fact.id));
    lines
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
        Scope::Patch(name) => Ok(Some(BTreeSet::from([last_patch_named(name, book)?]))),
    }
}

fn last_patch_named(name: &PatchName, book: &Connection) -> Result<i64, Failure> {
    let site = last_site_named(name.site(), book)?;
    let values = params![name.patch(), site];
    let patch = last_named("patch", "name = ? AND site = ?", values, book)?;
    patch.ok_or_else(|| not_found("patch", name.to_string()))
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
        "SELECT place FROM {table} WHERE {condition} ORDER BY {live} DESC, rowid DESC LIMIT 1"
    ))?
    .query_row(values, |row| row.get(0))
    .optional()
}

/// Which rows of a table to read.
#[derive(Clone, Copy)]
pub(super) struct Condition<'a> {
    clause: &'a str,
    values: &'a [&'a dyn ToSql],
}

impl Condition<'_> {
    pub(super) const NONE: Self = Self { clause: "", values: &[] };
}

/// Reads facts in full, whether they still count or not.
struct Archive<'book> {
    book: &'book Connection,
    names: Names,
    words: Words,
}

/// Shows every fact of the kind under the condition to `see`.
pub(super) fn each_line(
    kind: Kind,
    which: Condition,
    book: &Connection,
    see: &mut dyn FnMut(HistoryLine) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    let archive =
        Archive { book, names: newest_names(kind, which, book)?, words: Words::default() };
    match kind {
        Kind::Site => archive.read(Record::Site, which, see),
        Kind::Zone => archive.read(Record::Zone, which, see),
        Kind::Patch => archive.read(Record::Patch, which, see),
        Kind::Permission => archive.read(Record::Permission, which, see),
        Kind::Closure => archive.read(Record::Closure, which, see),
        Kind::Override => archive.read(Record::Override, which, see),
        Kind::Walk => archive.read(Record::Walk, which, see),
        Kind::Survey => archive.read(Record::Survey, which, see),
        Kind::Glance => archive.read(Record::Glance, which, see),
        Kind::Hold => archive.read(Record::Hold, which, see),
        Kind::Cut => archive.read(Record::Cut, which, see),
    }
}

impl Archive<'_> {
    fn read<T: Table>(
        mut self,
        wrap: fn(T) -> Record,
        which: Condition,
        see: &mut dyn FnMut(HistoryLine) -> rusqlite::Result<()>,
    ) -> rusqlite::Result<()> {
        let (table, columns, clause) = (T::KIND.name(), T::COLUMNS, which.clause);
        let sql = format!("SELECT key, {ENVELOPE}, {columns} FROM {table} {clause}");
        let mut statement = self.book.prepare_cached(&sql)?;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut self.words);
            let key = fields.text()?.to_owned();
            let Some(envelope) = Envelope::read(None, &mut fields)? else { continue };
            let (id, place) = (envelope.id, envelope.place);
            let Some(mut record) = T::read(place, &self.names, &mut fields)? else { continue };
            record.read_parts(id, self.book)?;
            let fact = envelope.around(wrap(record));
            let correction = correction_of(id, self.book)?;
            see(HistoryLine { key, fact, correction })?;
        }
        Ok(())
    }
}

/// The newest names of the places that the facts are about.
fn newest_names(kind: Kind, which: Condition, book: &Connection) -> rusqlite::Result<Names> {
    let mut names = Names::default();
    let columns: &[&str] = if kind == Kind::Patch { &["place", "site"] } else { &["place"] };
    for column in columns {
        let sql = format!("SELECT DISTINCT {column} FROM {} {}", kind.name(), which.clause);
        let mut statement = book.prepare_cached(&sql)?;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            names.learn(row.get(0)?, book)?;
        }
    }
    Ok(names)
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
