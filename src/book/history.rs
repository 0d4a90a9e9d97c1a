//! All that was ever recorded, and what became of it.

use std::collections::BTreeSet;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, ToSql, params};

use super::branches::{CORRECTION, kind_of, read_correction};
use super::checks::unknown_fact;
use super::envelope::{ENVELOPE, Envelope};
use super::error::{BookError, Failure};
use super::fields::{Fields, bytes};
use super::lookup::fact_called;
use super::names::Names;
use super::open::Book;
use super::other_sites::call_as_now;
use super::places::is_live;
use super::scope::{Scope, not_found, patch_named, site_named, sites_of_walks};
use super::seal::{SEALS, Sealer};
use super::sound;
use super::tables;
use super::view::View;
use super::whole_surveys::PartsLookedAt;
use super::words::Words;
use crate::records::{
    Correction, Fact, FactId, HistoryLine, Kind, Listed, PatchName, Record, SiteName, for_its_type,
};

impl Book {
    /// Everything ever recorded of a patch, of a site with its patches, or at all, in the
    /// order in which it was recorded. Places bear their present names, but what set a place
    /// down keeps the name it gave.
    ///
    /// # Errors
    /// A refusal for a site or patch that is not known; a storage error where the book cannot
    /// be read.
    pub fn history(&self, scope: &Scope) -> Result<Vec<HistoryLine>, BookError> {
        history(&self.connection, scope, None).map_err(|failure| failure.at(&self.path))
    }

    /// The same as it was on a day: without what was recorded, or came as a correction, later.
    ///
    /// # Errors
    /// As [`Book::history`].
    pub fn history_known_on(
        &self,
        scope: &Scope,
        day: Date,
    ) -> Result<Vec<HistoryLine>, BookError> {
        history(&self.connection, scope, Some(day)).map_err(|failure| failure.at(&self.path))
    }

    /// How many facts were ever recorded.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn facts_in_all(&self) -> Result<u64, BookError> {
        let count =
            self.connection.query_row("SELECT count(*) FROM fact", [], |row| row.get::<_, i64>(0));
        let count = count.map_err(|error| Failure::from(error).at(&self.path))?;
        Ok(count.unsigned_abs())
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

    /// All that was ever put right or withdrawn, with the kind of what it was, in the order of
    /// ids.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn corrections(&self) -> Result<Vec<(Kind, Correction)>, BookError> {
        corrections(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }

    /// The fact that people call by the last eight digits of its id, or by more of them.
    ///
    /// # Errors
    /// A refusal that says what may have been meant.
    pub fn fact(&self, asked: &str) -> Result<HistoryLine, BookError> {
        fact(&self.connection, asked).map_err(|failure| failure.at(&self.path))
    }
}

fn history(
    book: &Connection,
    scope: &Scope,
    known_on: Option<Date>,
) -> Result<Vec<HistoryLine>, Failure> {
    let moment = book.unchecked_transaction()?;
    let view = View::read(&moment, known_on)?;
    view.sound.so_far(&moment)?;
    let mut lines = Vec::new();
    match places_of(scope, &view, &moment)? {
        None => collect(&Kind::ALL, Condition::NONE, &view, &moment, &mut lines)?,
        Some(places) => {
            for place in places {
                let values = params![place];
                let of_place = Condition::of("WHERE place = ?", values);
                collect(&Kind::ALL, of_place, &view, &moment, &mut lines)?;
            }
        }
    }
    lines.retain(|line| view.knows(line.fact.id, line.fact.recorded_on));
    Ok(in_order(lines))
}

pub(super) fn versions(
    book: &Connection,
    kind: Kind,
    key: &str,
) -> rusqlite::Result<Vec<HistoryLine>> {
    let mut lines = Vec::new();
    let values = params![key];
    let of_key = Condition::of("WHERE key = ?", values);
    collect(&[kind], of_key, &View::read(book, None)?, book, &mut lines)?;
    Ok(in_order(lines))
}

fn corrected(book: &Connection) -> rusqlite::Result<Vec<HistoryLine>> {
    const CLAUSE: &str = "WHERE id IN (SELECT replaced FROM correction) \
                          OR id IN (SELECT replacement FROM correction)";
    let mut lines = Vec::new();
    let either_side = Condition::of(CLAUSE, &[]);
    collect(&Kind::ALL, either_side, &View::read(book, None)?, book, &mut lines)?;
    Ok(in_order(lines))
}

pub(super) fn fact(book: &Connection, asked: &str) -> Result<HistoryLine, Failure> {
    let (id, kind) = fact_called(asked, book)?;
    of_kind_and_id(kind, id, book)?.ok_or_else(|| unknown_fact(id).into())
}

/// `None` where the book has no fact of that id.
pub(super) fn fact_of(id: FactId, book: &Connection) -> rusqlite::Result<Option<HistoryLine>> {
    match kind_of(id, book)? {
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
    let values = params![bytes(&id)];
    let of_id = Condition::of("WHERE id = ?", values);
    collect(&[kind], of_id, &View::read(book, None)?, book, &mut lines)?;
    Ok(lines.pop())
}

/// Every fact of the kind that bears the name and counts: there is one at the most.
pub(super) fn named(
    kind: Kind,
    name: &str,
    book: &Connection,
) -> rusqlite::Result<Vec<HistoryLine>> {
    let mut lines = Vec::new();
    let values = params![name];
    let of_name = Condition::of("WHERE name = ?", values);
    collect(&[kind], of_name, &View::read(book, None)?, book, &mut lines)?;
    lines.retain(HistoryLine::counts);
    Ok(lines)
}

/// What was ever set aside for the walk of that name, oldest first.
pub(super) fn holds_ever(walk: &str, book: &Connection) -> rusqlite::Result<Vec<HistoryLine>> {
    let mut lines = Vec::new();
    let values = params![walk];
    let of_walk = Condition::of("WHERE walk = ?", values);
    collect(&[Kind::Hold], of_walk, &View::read(book, None)?, book, &mut lines)?;
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
    view: &View,
    book: &Connection,
    lines: &mut Vec<HistoryLine>,
) -> rusqlite::Result<()> {
    let mut see = |line| {
        lines.push(line);
        Ok(())
    };
    kinds.iter().try_for_each(|kind| each_line(*kind, which, view, book, &mut see))
}

/// Facts known from one day come in the order of their ids, which is that of their making.
fn in_order(mut lines: Vec<HistoryLine>) -> Vec<HistoryLine> {
    lines.sort_by_key(|line| (line.fact.recorded_on, line.fact.id));
    lines
}

/// The places whose history is wanted; `None` for all. What is withdrawn keeps its history,
/// so a name that no place bears now stands for the last that bore it.
fn places_of(
    scope: &Scope,
    view: &View,
    book: &Connection,
) -> Result<Option<BTreeSet<i64>>, Failure> {
    let sites = match scope {
        Scope::All => return Ok(None),
        Scope::Patch(name) => {
            return Ok(Some(BTreeSet::from([last_patch_named(name, view, book)?])));
        }
        Scope::Site(name) => BTreeSet::from([last_site_named(name, view, book)?]),
        Scope::Sites(names) => {
            let named = names.iter().map(|name| last_site_named(name, view, book));
            named.collect::<Result<_, Failure>>()?
        }
        Scope::Walk(name) => sites_of_walks(Some(name), view, book)?,
        Scope::Walks => sites_of_walks(None, view, book)?,
        Scope::Crops(crops) => {
            let places = crops.iter().map(|crop| {
                let mut places = book.prepare_cached("SELECT place FROM patch WHERE crop = ?")?;
                places.query_map([crop], |row| row.get(0))?.collect()
            });
            let places: rusqlite::Result<Vec<Vec<i64>>> = places.collect();
            return Ok(Some(places?.into_iter().flatten().collect()));
        }
    };
    let mut places = sites.clone();
    for site in sites {
        let mut patches = book.prepare_cached("SELECT place FROM patch WHERE site = ?")?;
        let patches = patches.query_map([site], |row| row.get(0))?;
        places.extend(patches.collect::<rusqlite::Result<Vec<i64>>>()?);
    }
    Ok(Some(places))
}

pub(super) fn last_patch_named(
    name: &PatchName,
    view: &View,
    book: &Connection,
) -> Result<i64, Failure> {
    if let Ok((patch, _)) = patch_named(name, view, book) {
        return Ok(patch);
    }
    let site = last_site_named(name.site(), view, book)?;
    let values = params![name.patch(), site];
    let patch = last_named("patch", "name = ? AND site = ?", values, book)?;
    patch.ok_or_else(|| not_found("patch", name.to_string()))
}

fn last_site_named(name: &SiteName, view: &View, book: &Connection) -> Result<i64, Failure> {
    if let Ok(site) = site_named(name, view, book) {
        return Ok(site);
    }
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
        "SELECT place FROM {table} WHERE {condition} \
         ORDER BY {live} DESC, recorded_on DESC, id DESC LIMIT 1"
    ))?
    .query_row(values, |row| row.get(0))
    .optional()
}

/// Which rows of a table to read.
#[derive(Clone, Copy)]
pub(super) struct Condition<'a> {
    clause: &'a str,
    values: &'a [&'a dyn ToSql],
    /// Whether each is held against its checksums; else it is read whatever they say.
    is_looked_at: bool,
}

impl<'a> Condition<'a> {
    pub(super) const NONE: Self = Self::of("", &[]);
    pub(super) const UNSEEN: Self = Self { is_looked_at: false, ..Self::NONE };

    pub(super) const fn of(clause: &'a str, values: &'a [&'a dyn ToSql]) -> Self {
        Self { clause, values, is_looked_at: true }
    }
}

/// Reads facts in full, whether they still count or not.
struct Archive<'book> {
    book: &'book Connection,
    names: Names,
    words: Words,
}

/// Shows every fact of the kind under the condition to `see`, with what became of it.
pub(super) fn each_line(
    kind: Kind,
    which: Condition,
    view: &View,
    book: &Connection,
    see: &mut dyn FnMut(HistoryLine) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    each_fact(kind, which, Some(view), book, &mut |key, _, mut fact| {
        if let Record::Walk(walk) = &mut fact.record {
            call_as_now(walk, fact.recorded_on, view, book)?;
        }
        let correction = view.leading(corrections_of(fact.id, book)?);
        let beaten_by = view.beaten_by(fact.id);
        see(HistoryLine { key: key.to_owned(), fact, correction, beaten_by })
    })
}

/// Takes a fact's key, the number of its place, and the fact.
pub(super) type See<'a> = &'a mut dyn FnMut(&str, i64, Fact<Record>) -> rusqlite::Result<()>;

/// Shows every fact of the kind under the condition to `see`, whether it still counts or not.
/// Without a view, places bear the names they were given.
pub(super) fn each_fact(
    kind: Kind,
    which: Condition,
    view: Option<&View>,
    book: &Connection,
    see: See,
) -> rusqlite::Result<()> {
    let names = newest_names(kind, which, view, book)?;
    let archive = Archive { book, names, words: Words::default() };
    for_its_type!(kind, T => archive.read::<T>(which, see))
}

impl Archive<'_> {
    fn read<T: Listed>(mut self, which: Condition, see: See) -> rusqlite::Result<()> {
        let (table, columns, clause) = (T::NAME, tables::columns::<T>(), which.clause);
        let columns = format!("key, {ENVELOPE}, {columns}, {SEALS}");
        let sql = format!("SELECT {columns} FROM {table} {clause}");
        let mut sealer = Sealer::of_list(&columns);
        let mut statement = self.book.prepare_cached(&sql)?;
        // A table that is loaded asks for each of its rows: what only surveys need waits for one.
        let mut parts = None;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            if which.is_looked_at {
                sound::look(table, &mut sealer, row)?;
            }
            let mut fields = Fields::of(row, &mut self.words);
            let key = fields.text()?;
            let Some(envelope) = Envelope::read(None, &mut fields)? else { continue };
            let (id, place) = (envelope.id, envelope.place);
            let record = tables::read::<T>(place, &self.names, &mut fields)?;
            let Some(mut record) = record else { continue };
            if let Some(method) = record.method_mut() {
                if which.is_looked_at {
                    let parts = match &mut parts {
                        Some(parts) => parts,
                        none => none.insert(PartsLookedAt::of(self.book)?),
                    };
                    parts.look(id)?;
                }
                tables::fill(method, id, self.book)?;
            }
            see(key, place, envelope.around(record.into()))?;
        }
        Ok(())
    }
}

/// The newest names of the places that the facts are about.
fn newest_names(
    kind: Kind,
    which: Condition,
    view: Option<&View>,
    book: &Connection,
) -> rusqlite::Result<Names> {
    let mut names = Names::default();
    let columns: &[&str] = if kind == Kind::Patch { &["place", "site"] } else { &["place"] };
    for column in columns {
        let sql = format!("SELECT DISTINCT {column} FROM {} {}", kind.name(), which.clause);
        let mut statement = book.prepare_cached(&sql)?;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            names.learn(row.get(0)?, view, book)?;
        }
    }
    Ok(names)
}

fn corrections(book: &Connection) -> rusqlite::Result<Vec<(Kind, Correction)>> {
    let mut words = Words::default();
    let sql = format!("SELECT {CORRECTION}, kind FROM correction ORDER BY id, replaced");
    book.prepare_cached(&sql)?
        .query_map([], |row| {
            let correction = read_correction(row, &mut words)?;
            let kind: String = row.get("kind")?;
            let found = Kind::ALL.into_iter().find(|known| known.name() == kind);
            let kind = found.ok_or(rusqlite::Error::InvalidQuery)?;
            Ok((kind, correction))
        })?
        .collect()
}

fn corrections_of(id: FactId, book: &Connection) -> rusqlite::Result<Vec<Correction>> {
    let mut words = Words::default();
    let columns = format!("{CORRECTION}, kind, place, {SEALS}");
    let mut sealer = Sealer::of_list(&columns);
    book.prepare_cached(&format!("SELECT {columns} FROM correction WHERE replaced = ?"))?
        .query_map([bytes(&id)], |row| {
            sound::look("correction", &mut sealer, row)?;
            read_correction(row, &mut words)
        })?
        .collect()
}
