//! Sealing what was recorded, and keeping count of it.

use rusqlite::types::Value;
use rusqlite::{Connection, Row, Statement, ToSql, params};
use uuid::Uuid;

use super::fields::bytes;
use super::seal::{Sealer, Seals, columns_of};
use super::tally::{Tallies, Tally};
use crate::records::{FactId, Kind};

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
    PartSealing::of(book)?.seal(ALL, &mut tallies)?;
    place_corrections(book)?;
    seal_corrections(ALL, book, &mut tallies)?;
    tallies.write(book)?;
    Ok(())
}

/// Seals corrections that a transaction has recorded, once all of it is there: by their own id
/// and that of what they replace. Whoever writes corrections ends with this: what is not sealed
/// is taken for damaged. Gives the places of what they are of.
pub(super) fn seal_new_corrections(
    corrections: impl Iterator<Item = (FactId, FactId)>,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let mut tallies = Tallies::default();
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
    after.write(book)?;
    Ok(())
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

/// Seals parts, with the sum of their quadrats' checksums.
struct PartSealing<'book> {
    book: &'book Connection,
    part: Rows,
    quadrats: Quadrats<'book>,
}

/// A table's columns, and their sealer.
struct Rows {
    select: String,
    sealer: Sealer,
}

impl Rows {
    fn of(table: &str, book: &Connection) -> rusqlite::Result<Self> {
        let columns = columns_of(table, book)?;
        let sealer = Sealer::of_list(&columns);
        Ok(Self { select: format!("SELECT {columns} FROM {table}"), sealer })
    }

    fn each(
        &mut self,
        which: Which,
        book: &Connection,
        mut see: impl FnMut(&Row, &mut Sealer) -> rusqlite::Result<()>,
    ) -> rusqlite::Result<()> {
        let Self { select, sealer } = self;
        let mut statement = book.prepare_cached(&format!("{select} {}", which.clause))?;
        let mut rows = statement.query(which.values)?;
        while let Some(row) = rows.next()? {
            see(row, sealer)?;
        }
        Ok(())
    }
}

impl<'book> PartSealing<'book> {
    fn of(book: &'book Connection) -> rusqlite::Result<Self> {
        Ok(Self { book, part: Rows::of("part", book)?, quadrats: Quadrats::in_rows(book)? })
    }

    fn seal(&mut self, which: Which, tallies: &mut Tallies) -> rusqlite::Result<()> {
        let Self { book, part, quadrats } = self;
        let mut keys: Vec<PartKey> = Vec::new();
        part.each(which, book, |row, _| {
            keys.push((row.get("place")?, row.get("survey")?, row.get("ordinal")?));
            Ok(())
        })?;
        const OF_PART: &str = "WHERE place = ? AND survey = ? AND ordinal = ?";
        let sum = format!("UPDATE part SET quadrats = ? {OF_PART}");
        let close = format!("UPDATE part SET seal = ?, words_seal = ? {OF_PART}");
        for (place, survey, ordinal) in keys {
            let sum_of_quadrats = quadrats.sum(place, &survey, ordinal)?;
            book.prepare_cached(&sum)?.execute(params![sum_of_quadrats, place, survey, ordinal])?;
            let of_part = Which { clause: OF_PART, values: params![place, survey, ordinal] };
            let mut sealed = None;
            part.each(of_part, book, |row, sealer| {
                let seals = sealer.seals(row)?;
                tallies.count("part", row, seals)?;
                sealed = Some(seals);
                Ok(())
            })?;
            if let Some(seals) = sealed {
                let values = params![seals.limit, seals.words, place, survey, ordinal];
                book.prepare_cached(&close)?.execute(values)?;
            }
        }
        Ok(())
    }
}

/// The sums of the checksums of parts' quadrats.
pub(super) struct Quadrats<'book>(Vec<(Statement<'book>, Sealer)>);

impl<'book> Quadrats<'book> {
    /// In rows of their own or all in one, as each part has them.
    pub(super) fn of(book: &'book Connection) -> rusqlite::Result<Self> {
        let amounts = Self::kept_in("amounts", "place = ?1 AND survey = ?2 AND part = ?3", book)?;
        let Self(rows) = Self::in_rows(book)?;
        Ok(Self(std::iter::once(amounts).chain(rows).collect()))
    }

    /// Those with a row each, as all were when they were first sealed.
    fn in_rows(book: &'book Connection) -> rusqlite::Result<Self> {
        Ok(Self(vec![Self::kept_in("quadrat", "survey = ?2 AND part = ?3", book)?]))
    }

    fn kept_in(
        table: &str,
        of_part: &str,
        book: &'book Connection,
    ) -> rusqlite::Result<(Statement<'book>, Sealer)> {
        let Rows { select, sealer } = Rows::of(table, book)?;
        Ok((book.prepare(&format!("{select} WHERE {of_part}"))?, sealer))
    }

    fn sum(&mut self, place: i64, survey: &dyn ToSql, part: i64) -> rusqlite::Result<i64> {
        let mut tally = Tally::default();
        for (statement, sealer) in &mut self.0 {
            let mut rows = statement.query(params![place, survey, part])?;
            while let Some(row) = rows.next()? {
                tally.add(sealer.seals(row)?);
            }
        }
        Ok(tally.digest)
    }

    /// A sentence, where a part's quadrats do not add up to what is kept of them.
    pub(super) fn wrong(&mut self, part: &Row) -> rusqlite::Result<Option<String>> {
        let survey: Value = part.get("survey")?;
        let kept: Option<i64> = part.get("quadrats")?;
        let found = self.sum(part.get("place")?, &survey, part.get("ordinal")?)?;
        Ok((kept != Some(found)).then(|| {
            let name = match survey {
                Value::Blob(id) => Uuid::from_slice(&id).ok().map(|id| FactId(id).short()),
                _ => None,
            };
            let name = name.map_or("a survey".to_owned(), |name| format!("survey `{name}`"));
            format!("the quadrats of {name} do not match their checksum")
        }))
    }
}

fn each(
    table: &str,
    which: Which,
    book: &Connection,
    see: impl FnMut(&Row, &mut Sealer) -> rusqlite::Result<()>,
) -> rusqlite::Result<()> {
    Rows::of(table, book)?.each(which, book, see)
}
