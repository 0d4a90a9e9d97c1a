//! Seals what was recorded, and keeps count of it.

use std::collections::BTreeMap;

use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Row, ToSql, params};

use super::fields::bytes;
use super::seal::{Sealer, Seals, columns_of};
use crate::records::{FactId, Kind};

/// How many rows there are, and the sum of their checksums.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Tally {
    pub(super) rows: i64,
    pub(super) digest: i64,
}

impl Tally {
    pub(super) fn add(&mut self, seals: Seals) {
        self.join(Self { rows: 1, digest: seals.weight() });
    }

    pub(super) fn join(&mut self, other: Self) {
        self.rows = self.rows.wrapping_add(other.rows);
        self.digest = self.digest.wrapping_add(other.digest);
    }
}

/// What a tally is of; the migration that makes the table says what counts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Topic {
    Place(i64),
    Seen(i64),
    On(i64),
    Crop(String),
}

/// The subject under which [`Topic::On`] has the sites of the book.
pub(super) const THE_BOOK: i64 = 0;

impl Topic {
    fn name(&self) -> &'static str {
        match self {
            Self::Place(_) => "place",
            Self::Seen(_) => "seen",
            Self::On(_) => "on",
            Self::Crop(_) => "crop",
        }
    }

    fn subject(&self) -> &dyn ToSql {
        match self {
            Self::Place(number) | Self::Seen(number) | Self::On(number) => number,
            Self::Crop(name) => name,
        }
    }
}

/// The tally that was kept; none for a subject that has none.
pub(super) fn kept(topic: &Topic, book: &Connection) -> rusqlite::Result<Option<Tally>> {
    book.prepare_cached("SELECT rows, digest FROM tally WHERE topic = ? AND subject = ?")?
        .query_row(params![topic.name(), topic.subject()], |row| {
            Ok(Tally { rows: row.get(0)?, digest: row.get(1)? })
        })
        .optional()
}

/// Every tally of the book; one whose topic cannot be read is left out, and so missed.
pub(super) fn all_kept(book: &Connection) -> rusqlite::Result<Vec<(Topic, Tally)>> {
    let mut all = Vec::new();
    let mut statement = book.prepare("SELECT topic, subject, rows, digest FROM tally")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let (name, subject): (String, Value) = (row.get(0)?, row.get(1)?);
        let topic = match (name.as_str(), subject) {
            ("place", Value::Integer(number)) => Topic::Place(number),
            ("seen", Value::Integer(number)) => Topic::Seen(number),
            ("on", Value::Integer(number)) => Topic::On(number),
            ("crop", Value::Text(name)) => Topic::Crop(name),
            _ => continue,
        };
        all.push((topic, Tally { rows: row.get(2)?, digest: row.get(3)? }));
    }
    Ok(all)
}

/// Which rows of a table to seal.
#[derive(Clone, Copy)]
struct Which<'a> {
    clause: &'a str,
    values: &'a [&'a dyn ToSql],
}

const ALL: Which = Which { clause: "", values: &[] };

/// The tables of facts when they were first sealed.
const FIRST_SEALED: [&str; 11] = [
    "site",
    "zone",
    "patch",
    "permission",
    "closure",
    "override",
    "walk",
    "survey",
    "glance",
    "hold",
    "cut",
];

/// Seals every row of a book that has no checksums yet.
pub(super) fn seal_all(book: &Connection) -> rusqlite::Result<()> {
    let mut tallies = Tallies::default();
    for table in FIRST_SEALED {
        seal(table, ALL, book, &mut tallies)?;
    }
    seal_parts(ALL, book, &mut tallies)?;
    place_corrections(book)?;
    seal_corrections(ALL, book, &mut tallies)?;
    tallies.write(book)
}

/// Seals what a transaction has recorded, once all of it is there: facts, and corrections by
/// their own id and that of what they replace. Whoever writes facts or
/// corrections ends with this: what is not sealed is taken for damaged.
pub(super) fn seal_new(
    facts: impl Iterator<Item = (Kind, FactId)>,
    corrections: impl Iterator<Item = (FactId, FactId)>,
    book: &Connection,
) -> rusqlite::Result<()> {
    let mut tallies = Tallies::default();
    for (kind, id) in facts {
        let of_fact = Which { clause: "WHERE id = ?", values: params![bytes(&id)] };
        seal(kind.name(), of_fact, book, &mut tallies)?;
        if kind == Kind::Survey {
            const OF_SURVEY: &str =
                "WHERE survey = ?1 AND place = (SELECT place FROM survey WHERE id = ?1)";
            let of_survey = Which { clause: OF_SURVEY, values: params![bytes(&id)] };
            seal_parts(of_survey, book, &mut tallies)?;
        }
    }
    for (id, replaced) in corrections {
        let values = params![bytes(&id), bytes(&replaced)];
        book.prepare_cached(
            "UPDATE correction SET place = coalesce( \
                 (SELECT place FROM fact WHERE fact.id = correction.replaced), \
                 (SELECT max(earlier.place) FROM correction AS earlier \
                  WHERE earlier.id = correction.replaced), 0) \
             WHERE id = ? AND replaced = ?",
        )?
        .execute(values)?;
        let of_correction = Which { clause: "WHERE id = ? AND replaced = ?", values };
        seal_corrections(of_correction, book, &mut tallies)?;
    }
    tallies.write(book)
}

/// Says of a fact that it counts as known from another day, and what its file is called, and
/// seals it anew. A row that was damaged stays found so: only what it should have weighed is
/// taken out of the count.
pub(super) fn known_since(
    kind: Kind,
    id: FactId,
    recorded_on: &str,
    file: Option<&str>,
    book: &Connection,
) -> rusqlite::Result<()> {
    let (table, values) = (kind.name(), params![bytes(&id)]);
    let of_fact = || Which { clause: "WHERE id = ?", values };
    let mut before = Tallies::default();
    each(table, of_fact(), book, |row, sealer| {
        let seals = sealer.seals(row)?;
        before.count(table, row, seals)
    })?;
    let taken_out = before.0.into_iter().map(|(topic, Tally { rows, digest })| {
        (topic, Tally { rows: rows.wrapping_neg(), digest: digest.wrapping_neg() })
    });
    Tallies(taken_out.collect()).write(book)?;
    let sql = format!("UPDATE {table} SET recorded_on = ?, file = ? WHERE id = ?");
    book.prepare_cached(&sql)?.execute(params![recorded_on, file, bytes(&id)])?;
    let mut after = Tallies::default();
    seal(table, of_fact(), book, &mut after)?;
    after.write(book)
}

/// Seals rows of a table that has an id.
fn seal(
    table: &str,
    which: Which,
    book: &Connection,
    tallies: &mut Tallies,
) -> rusqlite::Result<()> {
    let mut found: Vec<(Value, Seals)> = Vec::new();
    each(table, which, book, |row, sealer| {
        let seals = sealer.seals(row)?;
        tallies.count(table, row, seals)?;
        found.push((row.get("id")?, seals));
        Ok(())
    })?;
    let sql = format!("UPDATE {table} SET seal = ?, words_seal = ? WHERE id = ?");
    let mut update = book.prepare_cached(&sql)?;
    for (id, seals) in found {
        update.execute(params![seals.limit, seals.words, id])?;
    }
    Ok(())
}

/// Gives each correction the place of what it is of: a fact, or an earlier correction that
/// withdrew one.
fn place_corrections(book: &Connection) -> rusqlite::Result<()> {
    book.execute(
        "UPDATE correction SET place = (SELECT place FROM fact WHERE fact.id = replaced)",
        [],
    )?;
    const OF_EARLIER: &str = "(SELECT max(earlier.place) FROM correction AS earlier \
                              WHERE earlier.id = correction.replaced)";
    let follow = format!(
        "UPDATE correction SET place = {OF_EARLIER} WHERE place IS NULL AND {OF_EARLIER} NOTNULL"
    );
    while book.execute(&follow, [])? > 0 {}
    book.execute("UPDATE correction SET place = 0 WHERE place IS NULL", [])?;
    Ok(())
}

/// One correction may put several facts right, a row for each.
fn seal_corrections(
    which: Which,
    book: &Connection,
    tallies: &mut Tallies,
) -> rusqlite::Result<()> {
    let mut found: Vec<([Value; 2], Seals)> = Vec::new();
    each("correction", which, book, |row, sealer| {
        let seals = sealer.seals(row)?;
        tallies.count("correction", row, seals)?;
        found.push(([row.get("id")?, row.get("replaced")?], seals));
        Ok(())
    })?;
    for ([id, replaced], seals) in found {
        let sql = "UPDATE correction SET seal = ?, words_seal = ? WHERE id = ? AND replaced = ?";
        book.prepare_cached(sql)?.execute(params![seals.limit, seals.words, id, replaced])?;
    }
    Ok(())
}

/// The key of a part: its place, survey and ordinal.
type PartKey = (i64, Value, i64);

fn seal_parts(which: Which, book: &Connection, tallies: &mut Tallies) -> rusqlite::Result<()> {
    let mut keys: Vec<PartKey> = Vec::new();
    each("part", which, book, |row, _| {
        keys.push((row.get("place")?, row.get("survey")?, row.get("ordinal")?));
        Ok(())
    })?;
    const OF_PART: &str = "WHERE place = ? AND survey = ? AND ordinal = ?";
    let sum = format!("UPDATE part SET quadrats = ? {OF_PART}");
    let close = format!("UPDATE part SET seal = ?, words_seal = ? {OF_PART}");
    for (place, survey, ordinal) in keys {
        let quadrats = quadrats_of(&survey, ordinal, book)?;
        book.prepare_cached(&sum)?.execute(params![quadrats, place, survey, ordinal])?;
        let of_part = Which { clause: OF_PART, values: params![place, survey, ordinal] };
        let mut sealed = None;
        each("part", of_part, book, |row, sealer| {
            let seals = sealer.seals(row)?;
            tallies.count("part", row, seals)?;
            sealed = Some(seals);
            Ok(())
        })?;
        if let Some(seals) = sealed {
            book.prepare_cached(&close)?.execute(params![
                seals.limit,
                seals.words,
                place,
                survey,
                ordinal
            ])?;
        }
    }
    Ok(())
}

/// The sum of the checksums of a part's quadrats.
pub(super) fn quadrats_of(
    survey: &dyn ToSql,
    part: i64,
    book: &Connection,
) -> rusqlite::Result<i64> {
    let of_part = Which { clause: "WHERE survey = ? AND part = ?", values: params![survey, part] };
    let mut tally = Tally::default();
    each("quadrat", of_part, book, |row, sealer| {
        tally.add(sealer.seals(row)?);
        Ok(())
    })?;
    Ok(tally.digest)
}

fn each(
    table: &str,
    which: Which,
    book: &Connection,
    mut see: impl FnMut(&Row, &mut Sealer) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    let columns = columns_of(table, book)?;
    let sql = format!("SELECT {columns} FROM {table} {}", which.clause);
    let mut statement = book.prepare_cached(&sql)?;
    let mut sealer = Sealer::of_list(&columns);
    let mut rows = statement.query(which.values)?;
    while let Some(row) = rows.next()? {
        see(row, &mut sealer)?;
    }
    Ok(())
}

/// What comes to the tallies of a book.
#[derive(Debug, Default)]
pub(super) struct Tallies(pub(super) BTreeMap<Topic, Tally>);

impl Tallies {
    pub(super) fn count(&mut self, table: &str, row: &Row, seals: Seals) -> rusqlite::Result<()> {
        let place = row.get("place")?;
        self.of(Topic::Place(place)).add(seals);
        match table {
            "survey" | "glance" => self.of(Topic::Seen(place)).add(seals),
            "site" => self.of(Topic::On(THE_BOOK)).add(seals),
            "patch" => {
                self.of(Topic::On(row.get("site")?)).add(seals);
                self.of(Topic::Crop(row.get("crop")?)).add(seals);
            }
            _ => {}
        }
        Ok(())
    }

    fn of(&mut self, topic: Topic) -> &mut Tally {
        self.0.entry(topic).or_default()
    }

    fn write(self, book: &Connection) -> rusqlite::Result<()> {
        let mut replace = book.prepare_cached(
            "INSERT OR REPLACE INTO tally (topic, subject, rows, digest) VALUES (?, ?, ?, ?)",
        )?;
        for (topic, coming) in self.0 {
            let mut tally = kept(&topic, book)?.unwrap_or_default();
            tally.join(coming);
            replace.execute(params![topic.name(), topic.subject(), tally.rows, tally.digest])?;
        }
        Ok(())
    }
}
