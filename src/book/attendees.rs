//! What the parties of a walk are called: the one thing in a book that can be deleted.
//!
//! Nothing else in the book holds these names. A forgotten name is overwritten in the file,
//! not only unlinked, and does not linger in the write-ahead log.

use rusqlite::{Connection, TransactionBehavior, params};

use super::error::{BookError, Failure};
use super::fields::Fields;
use super::open::Book;
use super::words::Words;
use crate::records::WalkName;

/// What one party of a walk is called.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attendee {
    pub walk: WalkName,
    /// The party's number on the walk, from 1.
    pub party: u32,
    pub name: String,
}

impl Book {
    /// The names that are known of a walk's parties, by number.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn attendees(&self, walk: &WalkName) -> Result<Vec<Attendee>, BookError> {
        read(&self.connection, walk).map_err(|error| Failure::from(error).at(&self.path))
    }

    /// Keeps these names, in the place of any that the same parties had.
    ///
    /// # Errors
    /// A storage error where the book cannot be written; then none of them is kept.
    pub fn name_attendees(&mut self, attendees: &[Attendee]) -> Result<(), BookError> {
        write(&mut self.connection, attendees).map_err(|error| Failure::from(error).at(&self.path))
    }

    /// Deletes the names of a walk's parties, and says how many there were.
    ///
    /// # Errors
    /// A storage error where the book cannot be written.
    pub fn forget_all_of(&mut self, walk: &WalkName) -> Result<usize, BookError> {
        let of_walk = "walk = ?";
        forget(&self.connection, of_walk, walk.as_str())
            .map_err(|error| Failure::from(error).at(&self.path))
    }

    /// Deletes every party's name that is this one, and says how many there were.
    ///
    /// # Errors
    /// A storage error where the book cannot be written.
    pub fn forget(&mut self, name: &str) -> Result<usize, BookError> {
        let so_called = "name = ? COLLATE NOCASE";
        forget(&self.connection, so_called, name.trim())
            .map_err(|error| Failure::from(error).at(&self.path))
    }
}

pub(super) fn read(book: &Connection, walk: &WalkName) -> rusqlite::Result<Vec<Attendee>> {
    let mut words = Words::default();
    book.prepare_cached("SELECT party, name FROM attendee WHERE walk = ? ORDER BY party")?
        .query_map([walk.as_str()], |row| {
            let mut fields = Fields::of(row, &mut words);
            let (party, name) = (fields.whole()?, fields.text()?.to_owned());
            Ok(Attendee { walk: walk.clone(), party, name })
        })?
        .collect()
}

fn write(book: &mut Connection, attendees: &[Attendee]) -> rusqlite::Result<()> {
    let transaction = book.transaction_with_behavior(TransactionBehavior::Immediate)?;
    write_in(&transaction, attendees)?;
    transaction.commit()
}

/// The same within a transaction that is open already.
pub(super) fn write_in(transaction: &Connection, attendees: &[Attendee]) -> rusqlite::Result<()> {
    for attendee in attendees {
        transaction
            .prepare_cached("INSERT OR REPLACE INTO attendee (walk, party, name) VALUES (?, ?, ?)")?
            .execute(params![attendee.walk.as_str(), attendee.party, attendee.name])?;
    }
    Ok(())
}

fn forget(book: &Connection, which: &str, value: &str) -> rusqlite::Result<usize> {
    book.pragma_update(None, "secure_delete", true)?;
    let forgotten =
        book.prepare_cached(&format!("DELETE FROM attendee WHERE {which}"))?.execute([value])?;
    book.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
    Ok(forgotten)
}
