//! Whether anything was written to a book, told without reading it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError, TryLockError};

use rusqlite::Connection;

use super::address::is_on_a_server;
use super::open::{Book, FileMark, connect_as_usual, same_file};

/// Looks at a book through a connection of its own, which never writes.
#[derive(Debug)]
pub struct Watch {
    path: PathBuf,
    seen: Mutex<Seen>,
}

#[derive(Debug, Default)]
struct Seen {
    /// How often it was opened.
    opened: u64,
    open: Option<Open>,
}

#[derive(Debug)]
struct Open {
    book: Book,
    eye: Connection,
    file: Option<FileMark>,
}

/// How far a book had come. A later one is the same only where nothing was written since.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BookMark {
    opened: u64,
    /// `PRAGMA data_version`: another as soon as any other connection, of this process or of another,
    /// has committed (<https://sqlite.org/pragma.html#pragma_data_version>).
    version: i64,
}

impl Watch {
    /// Of the book of that name; it is opened when it is first looked at.
    pub fn of(book: &Path) -> Self {
        Self { path: book.to_owned(), seen: Mutex::default() }
    }

    /// How far the book has come. `None` where that cannot be told: it cannot be opened, or lies
    /// where nothing can be written and a change would not be seen.
    pub fn mark(&self) -> Option<BookMark> {
        let mut seen = match self.seen.try_lock() {
            Ok(seen) => seen,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            // A server may be silent for long: nobody waits for who asks it.
            Err(TryLockError::WouldBlock) if is_on_a_server(&self.path) => return None,
            Err(TryLockError::WouldBlock) => {
                self.seen.lock().unwrap_or_else(PoisonError::into_inner)
            }
        };
        let mark = seen.mark(&self.path);
        if mark.is_none() {
            seen.open = None;
        }
        mark
    }
}

impl Seen {
    fn mark(&mut self, path: &Path) -> Option<BookMark> {
        // Another file may lie there by now.
        self.open.take_if(|open| open.file != file_at(path));
        let open = match &mut self.open {
            Some(open) => open,
            none => {
                self.opened += 1;
                none.insert(Open::at(path)?)
            }
        };
        open.book.catch_up().ok()?;
        let version = open.eye.pragma_query_value(None, "data_version", |row| row.get(0)).ok()?;
        Some(BookMark { opened: self.opened, version })
    }
}

impl Open {
    fn at(path: &Path) -> Option<Self> {
        let file = file_at(path);
        let book = Book::open_to_read(path).ok()?;
        let eye = connect_as_usual(Path::new(book.connection.path()?)).ok()?;
        Some(Self { book, eye, file })
    }
}

fn file_at(path: &Path) -> Option<FileMark> {
    fs::metadata(path).ok().and_then(|file| same_file(&file))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn writes(path: &Path) {
        let book = Book::open(path).unwrap();
        book.connection.execute("CREATE TABLE IF NOT EXISTS tried (n)", []).unwrap();
        book.connection.execute("INSERT INTO tried VALUES (1)", []).unwrap();
    }

    #[test]
    fn a_mark_is_another_after_any_write_and_the_same_without_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("hill.sqlite");
        let watch = Watch::of(&path);
        assert_eq!(watch.mark(), None);
        drop(Book::create(&path).unwrap());
        let first = watch.mark().unwrap();
        drop(Book::open_to_read(&path).unwrap());
        assert_eq!(watch.mark(), Some(first));
        writes(&path);
        let second = watch.mark().unwrap();
        assert_ne!(second, first);
        assert_eq!(watch.mark(), Some(second));
    }

    #[test]
    fn another_file_in_its_place_is_another_book() {
        let folder = tempfile::tempdir().unwrap();
        let (path, other) = (folder.path().join("hill.sqlite"), folder.path().join("dale.sqlite"));
        drop(Book::create(&path).unwrap());
        drop(Book::create(&other).unwrap());
        let watch = Watch::of(&path);
        let first = watch.mark().unwrap();
        for end in ["-wal", "-shm"] {
            let _ = fs::remove_file(folder.path().join(format!("hill.sqlite{end}")));
        }
        fs::rename(&other, &path).unwrap();
        assert_ne!(watch.mark(), Some(first));
    }
}
