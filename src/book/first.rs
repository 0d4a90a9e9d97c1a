//! What a book is known by to those outside it.

use rusqlite::{Connection, OptionalExtension};

use super::error::{BookError, Failure};
use super::fields::Fields;
use super::open::Book;
use super::words::Words;
use crate::records::FactId;

impl Book {
    /// The first site that was ever recorded: it stays the same whatever comes later. `None` for
    /// an empty book.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn first_site(&self) -> Result<Option<FactId>, BookError> {
        first_site(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }
}

fn first_site(book: &Connection) -> rusqlite::Result<Option<FactId>> {
    let mut words = Words::default();
    book.prepare_cached("SELECT id FROM site ORDER BY rowid LIMIT 1")?
        .query_row([], |row| Fields::of(row, &mut words).id())
        .optional()
}
