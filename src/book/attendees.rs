//! What the parties of a walk are called: the one thing in a book that can be deleted.
//!
//! Nothing else in the book holds these names. Each has an id of its own; one that is
//! forgotten leaves its id as a mark, so that no older copy brings it back. `traces` sees to
//! it that the file does not hold it either.

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, params};
use xxhash_rust::xxh3::xxh3_128;

use super::day;
use super::error::{BookError, Failure};
use super::fields::Fields;
use super::open::Book;
use super::traces::{Traces, clear_away};
use super::words::Words;
use crate::records::{WalkName, composed, folded};

/// What one party of a walk is called.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attendee {
    /// Which walk.
    pub walk: WalkName,
    /// The party's number on the walk, from 1.
    pub party: u32,
    /// As it is called; no part of any fact.
    pub name: String,
}

/// Names of a walk's parties that are to be forgotten.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Going {
    /// Which walk.
    pub walk: WalkName,
    /// The party that left: those after it move up by one. `None` for all of the walk's.
    pub left: Option<u32>,
    /// The day that its mark bears.
    pub on: Date,
}

/// What became of names that were to be forgotten.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Forgetting {
    /// How many parties bore them.
    pub parties: usize,
    /// What a look at the file showed afterwards.
    pub traces: Traces,
}

/// A name as the book has it, and the id that it has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Named {
    pub(super) id: [u8; 16],
    pub(super) attendee: Attendee,
}

/// That a name was forgotten, and when; not which name it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Mark {
    pub(super) id: [u8; 16],
    /// `None` for one whose place another name took.
    pub(super) day: Option<Date>,
}

impl Book {
    /// The names that are known of a walk's parties, by number.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn attendees(&self, walk: &WalkName) -> Result<Vec<Attendee>, BookError> {
        read(&self.connection, walk).map_err(|error| Failure::from(error).at(&self.path))
    }

    /// Keeps these names, in the place of any that the same parties had; those are forgotten.
    ///
    /// # Errors
    /// A storage error where the book cannot be written; then none of them is kept.
    pub fn name_attendees(&mut self, attendees: &[Attendee]) -> Result<(), BookError> {
        self.written(|moment, _| Ok((write_in(moment, attendees)?, true)))
    }

    /// Deletes every party's name that is this one, whatever its case and however its accents
    /// are written.
    ///
    /// # Errors
    /// A storage error where the book cannot be written.
    pub fn forget(&mut self, name: &str, on: Date) -> Result<Forgetting, BookError> {
        let wanted = folded(name);
        let so_called = |named: &Named| folded(&named.attendee.name) == wanted;
        let names =
            self.written(|moment, _| Ok((forget_in(moment, so_called, Some(on))?, true)))?;
        let parties = names.len();
        // An earlier attempt may have left old pages behind, with the name as it is asked for.
        let names: Vec<String> = names.into_iter().chain([name.trim().to_owned()]).collect();
        Ok(Forgetting { parties, traces: self.clear_away(&names) })
    }

    /// Overwrites what is left in the file of names that a decision deleted, and says what was
    /// seen there. Whatever comes of it, the deletion stands.
    pub fn clear_away(&self, names: &[String]) -> Traces {
        clear_away(names, &self.connection, self.file())
            .unwrap_or_else(|error| Traces { unseen: Some(error.to_string()), ..Traces::default() })
    }
}

/// Every name of the book.
pub(super) fn all(book: &Connection) -> rusqlite::Result<Vec<Named>> {
    let mut words = Words::default();
    book.prepare_cached("SELECT id, walk, party, name FROM attendee ORDER BY walk, party")?
        .query_map([], |row| {
            let id = row.get(0)?;
            let mut fields = Fields::after(1, row, &mut words);
            let walk = fields.text_as("name of a walk", |text| text.parse().ok())?;
            let (party, name) = (fields.whole()?, fields.text()?.to_owned());
            Ok(Named { id, attendee: Attendee { walk, party, name } })
        })?
        .collect()
}

pub(super) fn read(book: &Connection, walk: &WalkName) -> rusqlite::Result<Vec<Attendee>> {
    let wanted = folded(walk.as_str());
    let mut found: Vec<Attendee> = all(book)?.into_iter().map(|named| named.attendee).collect();
    found.retain(|attendee| folded(attendee.walk.as_str()) == wanted);
    found.sort_by_key(|attendee| attendee.party);
    Ok(found)
}

/// As [`Book::name_attendees`], within a transaction that is open already.
pub(super) fn write_in(moment: &Connection, attendees: &[Attendee]) -> rusqlite::Result<()> {
    if attendees.is_empty() {
        return Ok(());
    }
    let same = |one: &Attendee, other: &Attendee| {
        one.party == other.party && folded(one.walk.as_str()) == folded(other.walk.as_str())
    };
    let named_anew =
        |named: &Named| attendees.iter().any(|attendee| same(attendee, &named.attendee));
    forget_in(moment, named_anew, None)?;
    for Attendee { walk, party, name } in attendees {
        // An id drawn by chance, so that it tells nothing of the name.
        moment
            .prepare_cached(
                "INSERT INTO attendee (id, walk, party, name) VALUES (randomblob(16), ?, ?, ?)",
            )?
            .execute(params![walk.as_str(), party, composed(name.trim())])?;
    }
    Ok(())
}

/// Deletes the names, leaves their marks, and moves up those that come after one that left.
pub(super) fn let_go(moment: &Connection, going: &Going) -> rusqlite::Result<()> {
    let wanted = folded(going.walk.as_str());
    let of_walk = |named: &Named| folded(named.attendee.walk.as_str()) == wanted;
    let goes = |named: &Named| going.left.is_none_or(|left| named.attendee.party == left);
    forget_in(moment, |named| of_walk(named) && goes(named), Some(going.on))?;
    let Some(left) = going.left else { return Ok(()) };
    // By their number, so that each moves to a place that is free already. They keep their ids:
    // an older copy of the book knows them by these.
    let after = all(moment)?.into_iter().filter(of_walk);
    for named in after.filter(|named| named.attendee.party > left) {
        moment
            .prepare_cached("UPDATE attendee SET party = party - 1 WHERE id = ?")?
            .execute([named.id])?;
    }
    Ok(())
}

fn forget_in(
    moment: &Connection,
    which: impl Fn(&Named) -> bool,
    on: Option<Date>,
) -> rusqlite::Result<Vec<String>> {
    let found: Vec<Named> = all(moment)?.into_iter().filter(which).collect();
    let marks: Vec<Mark> = found.iter().map(|named| Mark { id: named.id, day: on }).collect();
    apply(&marks, moment)?;
    Ok(found.into_iter().map(|named| named.attendee.name).collect())
}

/// The marks of all names that were ever forgotten.
pub(super) fn marks(book: &Connection) -> rusqlite::Result<Vec<Mark>> {
    let mut words = Words::default();
    book.prepare_cached("SELECT id, day FROM forgotten ORDER BY id")?
        .query_map([], |row| {
            Ok(Mark { id: row.get(0)?, day: Fields::after(1, row, &mut words).maybe_day()? })
        })?
        .collect()
}

/// Leaves the marks, and deletes the names that they are of; gives those.
pub(super) fn apply(marks: &[Mark], moment: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut names = Vec::new();
    for Mark { id, day } in marks {
        let day = day.and_then(day::to_text);
        moment
            .prepare_cached("INSERT OR IGNORE INTO forgotten (id, day) VALUES (?, ?)")?
            .execute(params![id, day])?;
        let deleted = moment
            .prepare_cached("DELETE FROM attendee WHERE id = ? RETURNING name")?
            .query_row([id], |row| row.get(0))
            .optional()?;
        names.extend::<Option<String>>(deleted);
    }
    Ok(names)
}

/// Gives ids to names that have none yet: from the walk and the party's number, and so the
/// same in every copy of the book; never from the name, which could be guessed from it.
pub(super) fn give_ids(book: &Connection) -> rusqlite::Result<()> {
    let mut statement = book.prepare(
        "SELECT walk, party, (SELECT id FROM walk WHERE walk.name = attendee.walk \
         ORDER BY id DESC LIMIT 1) FROM attendee WHERE id IS NULL",
    )?;
    let found: Vec<(String, i64, Option<Vec<u8>>)> = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (walk, party, of_walk) in found {
        let mut bytes = of_walk.unwrap_or_else(|| walk.clone().into_bytes());
        bytes.extend_from_slice(&party.to_le_bytes());
        let id = xxh3_128(&bytes).to_be_bytes();
        book.prepare_cached("UPDATE attendee SET id = ? WHERE walk = ? AND party = ?")?
            .execute(params![id, walk, party])?;
    }
    Ok(())
}
