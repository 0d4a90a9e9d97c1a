//! Writing to a book, whatever it is kept in: all of a command's in one transaction, or nothing.

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use super::address::Address;
use super::error::{BookError, Failure};
use super::open::Book;
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
            None => write_to_file(connection, |moment| write(moment, path)),
        };
        written.map_err(|failure| failure.at(path))
    }

    /// Says which part of the book the next decision is about, and what it may call a walk. Whoever decides about other sites of a book on a server at that time need
    /// not wait for it then. What is recorded beyond that is recorded all the same, unless another
    /// writes there at that very moment. Of a file that is all one.
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
