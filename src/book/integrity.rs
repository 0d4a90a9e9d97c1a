//! Whether the book is whole.

use rusqlite::Connection;

use super::error::{BookError, StorageError};
use super::open::Book;

impl Book {
    /// Everything that is wrong with the book, a sentence each; nothing for one that is whole.
    ///
    /// # Errors
    /// A storage error where the book cannot be read at all.
    pub fn integrity(&self) -> Result<Vec<String>, BookError> {
        integrity(&self.connection)
            .map_err(|error| StorageError::from_sqlite(&self.path, &error).into())
    }
}

fn integrity(_book: &Connection) -> rusqlite::Result<Vec<String>> {
    Ok(Vec::new())
}
