//! A book from a file onto a server, site by site, and back into a file.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use rusqlite::Connection;
use rusqlite::types::Value;
use tokio_postgres::types::Type;

use super::figures::Figures;
use super::fresh::{Fresh, FreshRow};
use super::layout;
use super::link::{Link, Snag};
use super::send::send;
use super::stopped::Stopped;
use super::tables::{TABLES, Table};
use super::{Shared, patiently, storage};
use crate::book::address::Address;
use crate::book::error::{BookError, Failure, StorageError};
use crate::book::fields::bytes;
use crate::book::numbering;
use crate::book::open::Book;
use crate::book::stretches::STRETCH;
use crate::book::tally;
use crate::book::taught::Taught;
use crate::book::trouble::Trouble;
use crate::records::{FactId, Ledger, SiteFacts};

/// Sites with about so many rows together go in one transaction.
const ROWS_AT_ONCE: usize = 20_000;

impl Book {
    /// Puts this book into a database that has none, with every id, checksum and name; gives how
    /// many facts it has. What was cut off goes on where it stopped, also behind its last step. At
    /// the end all of it is read back, looked through, and held against this book.
    ///
    /// # Errors
    /// A storage error where either cannot be read or written, where a book is there already, or
    /// where what was read back is not the same.
    pub(in crate::book) fn put_on_server(
        &self,
        address: &Address,
        taught: &Taught,
    ) -> Result<u64, BookError> {
        let shown = address.shown();
        if let Some(what) = self.integrity()?.into_iter().next() {
            let wrong = vec![what];
            return Err(StorageError::NotCopied { path: self.path.clone(), wrong }.into());
        }
        let at = |trouble: Trouble| storage(&shown, trouble);
        let moment = self
            .connection
            .unchecked_transaction()
            .map_err(|error| Failure::from(error).at(&self.path))?;
        let link = patiently(|| Link::to(address)).map_err(&at)?;
        let source = source_of(&moment).map_err(|error| Failure::from(error).at(&self.path))?;
        match layout::make(&link, &source) {
            Err(Snag::Told(Trouble::AlreadyThere)) => {
                let there =
                    Shared::open(address).and_then(|there| self.is_the_same(&there, &shown));
                return there
                    .map_or_else(|_| Err(at(Trouble::AlreadyThere)), |()| self.facts_in_all());
            }
            made => _ = made.map_err(|snag| at(snag.into()))?,
        }
        let sent = Sending::of(&moment)
            .map_err(|error| Failure::from(error).at(&self.path))?
            .all(&moment, &link);
        sent.map_err(|stopped| match stopped {
            Stopped::Snag(snag) => at(match snag.away() {
                Some(cause) => Trouble::CutOff(cause.to_owned()),
                None => snag.into(),
            }),
            Stopped::Book(error) => Failure::from(error).at(&self.path),
        })?;
        // What changes of the book from here on is found at the end.
        drop(moment);
        let figures = self.figures(taught)?;
        let is_whole = "UPDATE book SET state = 'whole', source = NULL";
        link.run("BEGIN")
            .and_then(|()| figures.write(&link))
            .and_then(|()| link.run(is_whole))
            .and_then(|()| link.run("COMMIT"))
            .map_err(|snag| at(snag.into()))?;
        let there = Shared::open(address).and_then(|there| self.is_the_same(&there, &shown));
        if let Err(error) = there {
            // What is not the same is nobody's book.
            let sql = "UPDATE book SET state = 'copying', source = 'what could not be copied'";
            let _ = link.run(sql);
            return Err(error);
        }
        self.facts_in_all()
    }

    /// What its sites tell to those who may not see their facts.
    fn figures(&self, taught: &Taught) -> Result<Figures, BookError> {
        let failed = |error: rusqlite::Error| Failure::from(error).at(&self.path);
        let mut figures = Figures::default();
        let number = |id: FactId| -> rusqlite::Result<i64> {
            let sql = "SELECT place FROM site WHERE id = ?";
            self.connection.query_row(sql, [bytes(&id)], |row| row.get(0))
        };
        let judged = self.stretches(None, STRETCH)?.each_judged(|ledger| {
            let alone =
                |site: &SiteFacts| Ledger { sites: vec![site.clone()], ..Ledger::default() };
            ledger.sites.iter().map(|site| (site.site.id, alone(site))).collect::<Vec<_>>()
        })?;
        for (id, site) in judged.into_iter().flatten() {
            figures.learn(number(id).map_err(failed)?, &site, taught);
        }
        let mut sites =
            self.connection.prepare("SELECT DISTINCT place FROM site").map_err(failed)?;
        let homes = sites.query_map([], |row| row.get(0)).map_err(failed)?;
        let homes = homes.collect::<rusqlite::Result<_>>().map_err(failed)?;
        figures.lie(&homes, &self.connection).map_err(failed)?;
        Ok(figures)
    }

    /// Whether another book has what this one has: row for row by their checksums, place by place.
    fn is_the_same(&self, other: &Self, shown: &Path) -> Result<(), BookError> {
        if let Some(what) = other.integrity()?.into_iter().next() {
            return Err(storage(shown, Trouble::NotTheSame(what)));
        }
        let told = |book: &Self| -> rusqlite::Result<_> {
            let tallies: BTreeMap<_, _> = tally::all_kept(&book.connection)?
                .into_iter()
                .map(|(topic, kept)| (topic, (kept.rows, kept.digest)))
                .collect();
            let mut counts = Vec::new();
            for table in TABLES.iter() {
                let sql = format!("SELECT count(*) FROM \"{}\"", table.name);
                let rows: i64 = book.connection.query_row(&sql, [], |row| row.get(0))?;
                counts.push((table.name, rows));
            }
            Ok((tallies, counts))
        };
        let failed = |error: rusqlite::Error| Failure::from(error).at(&self.path);
        let (ours, theirs) = (told(self).map_err(failed)?, told(other).map_err(failed)?);
        for ((table, here), (_, there)) in ours.1.iter().zip(&theirs.1) {
            if here != there {
                let what = format!("{there} rows of `{table}` arrived of {here}");
                return Err(storage(shown, Trouble::NotTheSame(what)));
            }
        }
        match ours.0 == theirs.0 {
            true => Ok(()),
            false => Err(storage(
                shown,
                Trouble::NotTheSame("the checksums of a place differ".to_owned()),
            )),
        }
    }
}

/// What tells the state of this book from any other: what was cut off goes on only with the same.
fn source_of(book: &Connection) -> rusqlite::Result<String> {
    let (mut rows, mut sum) = (0_i64, 0_i64);
    for (topic, kept) in tally::all_kept(book)? {
        if let tally::Topic::Place(_) = topic {
            rows = rows.wrapping_add(kept.rows);
            sum = sum.wrapping_mul(31).wrapping_add(kept.digest);
        }
    }
    Ok(format!("{rows} rows, {sum:016x}"))
}

/// The rows of a book by their sites.
struct Sending {
    /// The site of each place.
    homes: BTreeMap<i64, i64>,
    /// What no index finds by its place, by the number of its table and the place.
    loose: HashMap<(usize, i64), Vec<Vec<Value>>>,
}

impl Sending {
    fn of(book: &Connection) -> rusqlite::Result<Self> {
        let mut homes = BTreeMap::from([(0, 0)]);
        let mut places = book.prepare(
            "SELECT no, CASE kind WHEN 'site' THEN no ELSE coalesce((SELECT site FROM patch \
             WHERE patch.place = place.no ORDER BY id LIMIT 1), 0) END FROM place",
        )?;
        let mut rows = places.query([])?;
        while let Some(row) = rows.next()? {
            homes.insert(row.get(0)?, row.get(1)?);
        }
        drop(rows);
        let mut loose: HashMap<(usize, i64), Vec<Vec<Value>>> = HashMap::new();
        for (at, table) in TABLES.iter().enumerate() {
            let Some(by) = loose_by(table) else { continue };
            let sql = format!("SELECT {}, {by} FROM \"{}\" AS t", columns(table), table.name);
            let mut statement = book.prepare(&sql)?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let place = row.get(table.columns.len())?;
                loose.entry((at, place)).or_default().push(values_of(row, table)?);
            }
        }
        Ok(Self { homes, loose })
    }

    fn all(&self, book: &Connection, link: &Link) -> Result<(), Stopped> {
        let done: Vec<i64> = {
            let rows = link.rows("SELECT home FROM head WHERE steps > 0", &[])?;
            rows.iter().map(|row| row.try_get(0)).collect::<Result<_, _>>()?
        };
        let mut by_home: BTreeMap<i64, Vec<i64>> = BTreeMap::new();
        for (place, home) in &self.homes {
            by_home.entry(*home).or_default().push(*place);
        }
        let mut together = Vec::new();
        let mut rows = 0;
        for (home, places) in by_home.iter().filter(|(home, _)| !done.contains(home)) {
            together.push(*home);
            for place in places {
                rows += rows_about(*place, book)?;
            }
            if rows >= ROWS_AT_ONCE {
                self.some(&std::mem::take(&mut together), &by_home, book, link)?;
                rows = 0;
            }
        }
        self.some(&together, &by_home, book, link)?;
        let last = self.homes.keys().next_back().copied().unwrap_or(0);
        let block = numbering::first_block_beyond(last);
        link.rows("SELECT setval('place_block', $1, false)", &[(&block, Type::INT8)])?;
        Ok(())
    }

    /// All of some sites, in one transaction.
    fn some(
        &self,
        homes: &[i64],
        places: &BTreeMap<i64, Vec<i64>>,
        book: &Connection,
        link: &Link,
    ) -> Result<(), Stopped> {
        let mut fresh = Fresh::default();
        for home in homes {
            fresh.homes.insert(*home);
            let of_home = places.get(home).map(Vec::as_slice).unwrap_or_default();
            for (at, table) in TABLES.iter().enumerate() {
                let rows = fresh.rows.entry(at).or_default();
                let sql = statement(table);
                for place in of_home {
                    if let Some(sql) = &sql {
                        read(table, sql, *home, *place, book, rows)?;
                    }
                    let loose = self.loose.get(&(at, *place)).into_iter().flatten();
                    rows.extend(
                        loose.map(|values| FreshRow { home: *home, values: values.clone() }),
                    );
                }
            }
        }
        fresh.rows.retain(|_, rows| !rows.is_empty());
        if fresh.homes.is_empty() {
            return Ok(());
        }
        link.run("BEGIN")?;
        send(&fresh, |_| 1, link)?;
        let homes: Vec<i64> = fresh.homes.iter().copied().collect();
        let act = uuid::Uuid::now_v7().to_string();
        let sql = "WITH told AS (SELECT unnest($1::bigint[]) AS home), \
                   headed AS (INSERT INTO head (home, steps, chain) SELECT home, 1, 0 FROM told \
                              ON CONFLICT (home) DO UPDATE SET steps = 1) \
                   INSERT INTO step (home, step, act, tables, chain) \
                   SELECT home, 1, $2::text::uuid, -1, 0 FROM told";
        link.rows(sql, &[(&homes, Type::INT8_ARRAY), (&act, Type::TEXT)])?;
        link.run("COMMIT")?;
        Ok(())
    }
}

fn rows_about(place: i64, book: &Connection) -> rusqlite::Result<usize> {
    let kept = tally::kept(&tally::Topic::Place(place), book)?;
    Ok(kept.map_or(0, |kept| usize::try_from(kept.rows).unwrap_or(0)))
}

fn columns(table: &Table) -> String {
    let columns: Vec<String> =
        table.columns.iter().map(|column| format!("t.\"{}\"", column.name)).collect();
    columns.join(", ")
}

/// How the place is found of rows that have no index by it; `None` for those that have one. What
/// is about no place is the book's, 0.
fn loose_by(table: &Table) -> Option<&'static str> {
    match table.name {
        "correction" => Some("t.place"),
        "forgotten" => Some("0"),
        // By the site on which their walk starts.
        "attendee" => Some(
            "coalesce((SELECT place FROM walk WHERE walk.name = t.walk ORDER BY id DESC LIMIT 1), 0)",
        ),
        _ => None,
    }
}

/// What brings the rows of a table that are about one place.
fn statement(table: &Table) -> Option<String> {
    let columns = columns(table);
    match table.name {
        _ if loose_by(table).is_some() => None,
        "place" => Some(format!("SELECT {columns} FROM place AS t WHERE t.no = ?")),
        "quadrat" => Some(format!(
            "SELECT {columns} FROM survey AS s CROSS JOIN quadrat AS t ON t.survey = s.id \
             WHERE s.place = ?"
        )),
        name => Some(format!("SELECT {columns} FROM \"{name}\" AS t WHERE t.place = ?")),
    }
}

fn read(
    table: &Table,
    sql: &str,
    home: i64,
    place: i64,
    book: &Connection,
    rows: &mut Vec<FreshRow>,
) -> rusqlite::Result<()> {
    let mut statement = book.prepare_cached(sql)?;
    let mut found = statement.query([place])?;
    while let Some(row) = found.next()? {
        rows.push(FreshRow { home, values: values_of(row, table)? });
    }
    Ok(())
}

fn values_of(row: &rusqlite::Row, table: &Table) -> rusqlite::Result<Vec<Value>> {
    (0..table.columns.len()).map(|at| row.get(at)).collect()
}
