//! How many rows there are of something, and the sum of their checksums.

use foldhash::HashMap;
use rusqlite::types::{FromSql, Value};
use rusqlite::{Connection, OptionalExtension, Row, ToSql, params};

use super::seal::Seals;

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
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
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

/// What comes to the tallies of a book.
#[derive(Debug, Default)]
pub(super) struct Tallies(pub(super) HashMap<Topic, Tally>);

impl Tallies {
    pub(super) fn count(&mut self, table: &str, row: &Row, seals: Seals) -> rusqlite::Result<()> {
        self.count_new(table, row.get("place")?, seals, |column| row.get(column))
    }

    /// `value` gives a column of the row.
    pub(super) fn count_new(
        &mut self,
        table: &str,
        place: i64,
        seals: Seals,
        value: impl Fn(&str) -> rusqlite::Result<Value>,
    ) -> rusqlite::Result<()> {
        self.of(Topic::Place(place)).add(seals);
        match table {
            "survey" | "glance" => self.of(Topic::Seen(place)).add(seals),
            "site" => self.of(Topic::On(THE_BOOK)).add(seals),
            "patch" => {
                self.of(Topic::On(FromSql::column_result((&value("site")?).into())?)).add(seals);
                self.of(Topic::Crop(FromSql::column_result((&value("crop")?).into())?)).add(seals);
            }
            _ => {}
        }
        Ok(())
    }

    fn of(&mut self, topic: Topic) -> &mut Tally {
        self.0.entry(topic).or_default()
    }

    /// Gives the places about which something came, in order.
    pub(super) fn write(self, book: &Connection) -> rusqlite::Result<Vec<i64>> {
        let mut places = Vec::new();
        let mut replace = book.prepare_cached(
            "INSERT OR REPLACE INTO tally (topic, subject, rows, digest) VALUES (?, ?, ?, ?)",
        )?;
        let mut all: Vec<(Topic, Tally)> = self.0.into_iter().collect();
        all.sort_unstable_by(|(one, _), (other, _)| one.cmp(other));
        for (topic, coming) in all {
            let mut tally = kept(&topic, book)?.unwrap_or_default();
            tally.join(coming);
            replace.execute(params![topic.name(), topic.subject(), tally.rows, tally.digest])?;
            if let Topic::Place(place) = topic {
                places.push(place);
            }
        }
        Ok(places)
    }
}
