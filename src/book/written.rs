//! Writing to a book, whatever it is kept in: all of a command's in one transaction, or nothing.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};

use super::address::Address;
use super::error::{BookError, Failure};
use super::open::{Book, PATIENCE};
use super::scope::Scope;
use super::taught::Taught;

impl Book {
    /// Lets `write` look at the book and write to it while nobody else can; what it wrote stays if
    /// it says so, beside its answer.
    pub(super) fn written<T>(
        &mut self,
        write: impl FnOnce(&Connection, &Path) -> Result<(T, bool), Failure>,
    ) -> Result<T, BookError> {
        let Self { connection, path, shared } = self;
        let written = match shared {
            Some(shared) => shared.written(connection, |moment| write(moment, path)),
            None => {
                let written = write_to_file(connection, |moment| write(moment, path));
                write_ahead_again(connection);
                written
            }
        };
        written.map_err(|failure| failure.at(path))
    }

    /// Lets what is written next go straight into the file of an empty book. Through the log of what
    /// is written ahead each page goes twice, and again whenever the cache is full; in exchange
    /// others can read meanwhile, and there is nothing to be read. All of it is there at the end, or
    /// nothing. Where others have the book open it stays as it is.
    pub fn takes_in_files(&self) {
        if self.shared.is_none() {
            // It is as good the other way.
            let _ = straight_if_empty(&self.connection);
        }
    }

    /// Says which part of the book the next decision is about, and what it may call a walk. Whoever
    /// decides about other sites of a book on a server at that time need not wait for it then. What
    /// is recorded beyond that is recorded all the same, unless another writes there at that very
    /// moment. Of a file that is all one.
    pub fn is_about(&mut self, scope: Scope, name: Option<&str>) {
        if let Some(shared) = &mut self.shared {
            shared.is_about(scope, name.map(str::to_owned));
        }
    }

    /// Says how it is reckoned what a site's facts teach of eyes; a shared book tells that to those
    /// who may not see the facts.
    pub fn is_taught(&mut self, taught: Taught) {
        if let Some(shared) = &mut self.shared {
            shared.is_taught(taught);
        }
    }

    /// Brings the book elsewhere, with every id, checksum and name: into a database that has none,
    /// or into a file that is not there yet. Gives how many facts it has.
    ///
    /// # Errors
    /// A storage error where either cannot be read or written, or the copy would not be the same.
    pub fn copy_to(&self, target: &Path, taught: &Taught) -> Result<u64, BookError> {
        match Address::of(target) {
            Some(address) => self.put_on_server(&address, taught),
            None => {
                let facts = self.back_up(target, false)?;
                Ok(u64::try_from(facts).unwrap_or(u64::MAX))
            }
        }
    }

    /// Where the bytes of the book lie on this machine: its file, or its working copy.
    pub(super) fn file(&self) -> &Path {
        self.shared.as_ref().map_or(&self.path, |shared| shared.copy())
    }
}

fn write_to_file<T>(
    book: &mut Connection,
    write: impl FnOnce(&Connection) -> Result<(T, bool), Failure>,
) -> Result<T, Failure> {
    let transaction = book.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let (answer, stays) = write(&transaction)?;
    if stays {
        transaction.commit()?;
    }
    Ok(answer)
}

fn straight_if_empty(book: &Connection) -> rusqlite::Result<()> {
    let is_empty =
        book.query_row("SELECT NOT EXISTS (SELECT 1 FROM place)", [], |row| row.get(0))?;
    if is_empty {
        book.busy_timeout(Duration::ZERO)?;
        let set = book.pragma_update(None, "journal_mode", "delete");
        book.busy_timeout(PATIENCE)?;
        set?;
    }
    Ok(())
}

fn write_ahead_again(book: &Connection) {
    let mode = book.pragma_query_value(None, "journal_mode", |row| row.get::<_, String>(0));
    if mode.is_ok_and(|mode| mode != "wal") {
        // If somebody reads just now, whoever opens it next to write does it.
        let _ = book.pragma_update(None, "journal_mode", "wal");
    }
}
