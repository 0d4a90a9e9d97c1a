//! Copies of a book that can be believed: made while others write, looked through before they
//! take the name they were asked for, and put back without losing what they replace.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags, OptionalExtension};

use super::attendees::{self, Mark};
use super::error::{BookError, Refusal, StorageError};
use super::open::{Book, files_only, lay_out};
use super::shared::OWN_TABLES;
use super::temporary::{Temporary, with_end};

/// How long a copy waits for others that are in its way.
const PATIENCE: Duration = Duration::from_secs(10);
const PAUSE: Duration = Duration::from_millis(20);

/// What a restored book is like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Restored {
    /// How many it holds.
    pub facts: usize,
    /// Where the book that was there is kept.
    pub aside: Option<PathBuf>,
    /// Names that were forgotten since the backup was made, and so taken out of it again.
    pub forgotten: usize,
    /// The book that was there is so damaged that nobody can tell which names it had forgotten.
    pub marks_are_lost: bool,
}

impl Book {
    /// Copies the book as it stands at one moment into a file at `target`, and says how many
    /// facts it has. Others may read and write meanwhile. What is there already is replaced
    /// only if `over` says so and it is a book of which this one holds every fact.
    ///
    /// # Errors
    /// A refusal where `target` is there and may not be replaced, a storage error where the copy
    /// would not be whole, or cannot be written; then `target` is as it was.
    pub fn back_up(&self, target: &Path, over: bool) -> Result<usize, BookError> {
        files_only(target, "a backup is a file; `stintbook copy` fills an empty database")?;
        let is_there = fs::symlink_metadata(target).is_ok();
        if is_there {
            if !over {
                return Err(Refusal::BackupThere(target.to_owned()).into());
            }
            self.is_later_than(target)?;
        }
        let copy = Temporary::beside(target)?;
        copy_pages(&self.connection, &copy.path)
            .and_then(|()| without_own_tables(&copy.path))
            .map_err(|error| StorageError::from_sqlite(target, &error))?;
        let facts = Book::open_to_read(&copy.path).and_then(|copy| facts_of_whole(&copy));
        let facts = facts.map_err(|error| said_of(&self.path, error))?;
        copy.settle_at(target)?;
        Ok(facts)
    }

    /// # Errors
    /// A refusal where the file is not an older state of this book, else one that says what it is.
    fn is_later_than(&self, older: &Path) -> Result<(), BookError> {
        let same = |path: &Path| fs::canonicalize(path).ok();
        if same(older) == same(&self.path) {
            return Err(Refusal::BackupThere(older.to_owned()).into());
        }
        let copy = Book::open_as_it_is(older)?;
        let failed = |error: rusqlite::Error| StorageError::from_sqlite(older, &error);
        let ids = ids_of(&copy.connection).map_err(failed)?;
        let mut more = 0;
        for id in ids {
            let known = "SELECT 1 FROM fact WHERE id = ?1 \
                         UNION ALL SELECT 1 FROM correction WHERE id = ?1";
            let found = self
                .connection
                .prepare_cached(known)
                .and_then(|mut known| known.query_row([id], |_| Ok(())).optional());
            more += usize::from(found.map_err(failed)?.is_none());
        }
        match more {
            0 => Ok(()),
            more => Err(Refusal::NotOlder { path: older.to_owned(), more }.into()),
        }
    }

    /// Puts a backup in the place of the book at `path`, or where none is. Names that the book
    /// has forgotten are taken out of the backup first, and the book that was there is kept
    /// under another name.
    ///
    /// # Errors
    /// A storage error where the backup is not whole, another program has the book open, or
    /// something cannot be written; then the book is as it was.
    pub fn restore(path: &Path, backup: &Path) -> Result<Restored, BookError> {
        const INSTEAD: &str = "is not put back so; `stintbook copy` puts the backup into a \
                               database of its own";
        files_only(path, INSTEAD)?;
        files_only(backup, "a backup is a file; `stintbook backup` makes one of it")?;
        let copy = Temporary::beside(path)?;
        let source = Book::open_as_it_is(backup)?;
        copy_pages(&source.connection, &copy.path)
            .map_err(|error| StorageError::from_sqlite(backup, &error))?;
        drop(source);
        // Brought up to date, if it is of an older layout; the backup itself is left alone.
        let restored = Book::open(&copy.path).map_err(|error| said_of(backup, error))?;
        let facts = facts_of_whole(&restored).map_err(|error| said_of(backup, error))?;
        let Some(present) = Present::at(path)? else {
            restored.close_up()?;
            copy.settle_at(path)?;
            let (aside, forgotten) = (None, 0);
            return Ok(Restored { facts, aside, forgotten, marks_are_lost: false });
        };
        let forgotten = match &present.marks {
            Some(marks) => restored.forget_marked(marks)?,
            None => 0,
        };
        restored.close_up()?;
        let marks_are_lost = present.marks.is_none();
        let aside = present.keep_aside(path)?;
        copy.settle_at(path)?;
        // Only now may others write again; they will find that the file was moved.
        drop(present);
        Ok(Restored { facts, aside: Some(aside), forgotten, marks_are_lost })
    }

    /// Makes a book anew in the place of the one at `path`, or where nothing is. `fill` has the
    /// new one to write to; only once it is filled does it take the name.
    ///
    /// # Errors
    /// Those of `fill`; a storage error where what is there is no book, or another program has
    /// it open. Then what was there is as it was.
    pub fn make_anew<T, E: From<BookError>>(
        path: &Path,
        fill: impl FnOnce(&mut Self) -> Result<T, E>,
    ) -> Result<T, E> {
        let storage = |error: StorageError| E::from(error.into());
        files_only(path, "this makes a file; `stintbook copy` brings one there")
            .map_err(storage)?;
        if fs::symlink_metadata(path).is_ok() {
            Self::open(path)?;
        }
        let new = Temporary::beside(path).map_err(storage)?;
        lay_out(&new.path).map_err(|error| storage(StorageError::from_sqlite(path, &error)))?;
        let mut book = Self::open(&new.path)?;
        let answer = fill(&mut book)?;
        book.close_up()?;
        // Held until the new one stands in its place, so that nobody writes to what goes.
        let older = Present::at(path)?;
        new.settle_at(path).map_err(storage)?;
        drop(older);
        Ok(answer)
    }

    fn forget_marked(&self, marks: &[Mark]) -> Result<usize, BookError> {
        let failed = |error: rusqlite::Error| StorageError::from_sqlite(&self.path, &error);
        let moment = self.connection.unchecked_transaction().map_err(failed)?;
        let names = attendees::apply(marks, &moment).map_err(failed)?;
        moment.commit().map_err(failed)?;
        if !names.is_empty() {
            self.connection.execute_batch("VACUUM").map_err(failed)?;
        }
        Ok(names.len())
    }

    /// Makes one file of the book, without a write-ahead log beside it.
    fn close_up(self) -> Result<(), BookError> {
        self.connection
            .pragma_update(None, "journal_mode", "delete")
            .map_err(|error| StorageError::from_sqlite(&self.path, &error).into())
    }
}

fn ids_of(book: &Connection) -> rusqlite::Result<Vec<Vec<u8>>> {
    book.prepare("SELECT id FROM fact UNION ALL SELECT id FROM correction")?
        .query_map([], |row| row.get(0))?
        .collect()
}

/// How many facts a copy has, once it was looked through.
fn facts_of_whole(copy: &Book) -> Result<usize, BookError> {
    let wrong = copy.integrity()?;
    if !wrong.is_empty() {
        return Err(StorageError::NotCopied { path: copy.path.clone(), wrong }.into());
    }
    let count: rusqlite::Result<i64> =
        copy.connection.query_row("SELECT count(*) FROM fact", [], |row| row.get(0));
    let count = count.map_err(|error| StorageError::from_sqlite(&copy.path, &error))?;
    Ok(usize::try_from(count).unwrap_or(0))
}

/// What is wrong with a copy, said of the file that it was made of.
fn said_of(path: &Path, error: BookError) -> BookError {
    let path = path.to_owned();
    match error {
        BookError::Storage(StorageError::Damaged { what, .. }) => {
            StorageError::NotCopied { path, wrong: vec![what] }.into()
        }
        BookError::Storage(StorageError::NotCopied { wrong, .. }) => {
            StorageError::NotCopied { path, wrong }.into()
        }
        other => other,
    }
}

/// Takes out what a working copy has besides its book.
fn without_own_tables(copy: &Path) -> rusqlite::Result<()> {
    if OWN_TABLES.is_empty() {
        return Ok(());
    }
    let copy = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    OWN_TABLES
        .iter()
        .try_for_each(|table| copy.execute_batch(&format!("DROP TABLE IF EXISTS main.{table}")))
}

/// Copies all pages in one step, so that they are of one moment.
fn copy_pages(from: &Connection, to: &Path) -> rusqlite::Result<()> {
    let mode = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut copy = Connection::open_with_flags(to, mode)?;
    let began = Instant::now();
    let backup = Backup::new(from, &mut copy)?;
    loop {
        match backup.step(-1)? {
            StepResult::Done => break,
            StepResult::Busy | StepResult::Locked if began.elapsed() > PATIENCE => {
                return Err(rusqlite::Error::SqliteFailure(
                    rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_BUSY),
                    None,
                ));
            }
            _ => thread::sleep(PAUSE),
        }
    }
    drop(backup);
    copy.pragma_update(None, "journal_mode", "delete")
}

/// The book that a backup is to replace, held so that nobody else can write to it.
struct Present {
    /// `None` for one too damaged to be opened.
    book: Option<Book>,
    marks: Option<Vec<Mark>>,
}

impl Present {
    /// `None` where nothing is.
    fn at(path: &Path) -> Result<Option<Self>, BookError> {
        let book = match Book::open(path) {
            Ok(book) => book,
            Err(BookError::Storage(StorageError::Missing(_))) => return Ok(None),
            Err(BookError::Storage(
                StorageError::Damaged { .. } | StorageError::NotABook(_) | StorageError::Empty(_),
            )) => return Ok(Some(Self { book: None, marks: None })),
            Err(error) => return Err(error),
        };
        let failed = |error: rusqlite::Error| StorageError::from_sqlite(path, &error);
        let marks = attendees::marks(&book.connection).ok();
        let alone = book.connection.pragma_update(None, "locking_mode", "exclusive");
        // Fails while another program has the book open; after it, no log lies beside the file.
        alone
            .and_then(|()| book.connection.pragma_update(None, "journal_mode", "delete"))
            .and_then(|()| book.connection.execute_batch("BEGIN EXCLUSIVE; COMMIT"))
            .map_err(|error| match failed(error) {
                StorageError::Busy(path) => StorageError::InUse(path),
                other => other,
            })?;
        Ok(Some(Self { book: Some(book), marks }))
    }

    /// Keeps the book under another name. A copy of it and not a second name for the file: where
    /// a command is killed between the two, both names would stand for one book, and what is
    /// written by way of the one would spoil the other.
    fn keep_aside(&self, path: &Path) -> Result<PathBuf, BookError> {
        let aside = free_name(path);
        let failed = |error: io::Error| StorageError::Other {
            path: aside.clone(),
            cause: error.to_string(),
        };
        if let Some(book) = &self.book {
            // By SQLite, since to open and close the file by another hand would give up its lock.
            let copy = Temporary::beside(&aside)?;
            copy_pages(&book.connection, &copy.path)
                .map_err(|error| StorageError::from_sqlite(&aside, &error))?;
            copy.settle_at(&aside)?;
            return Ok(aside);
        }
        // What nobody can open, nobody can spoil; and it keeps what nobody can read.
        fs::hard_link(path, &aside)
            .or_else(|_| fs::copy(path, &aside).map(|_| ()))
            .map_err(failed)?;
        // What lies beside a damaged file belongs to it, and would spoil the one to come.
        for end in ["-wal", "-shm", "-journal"] {
            let (from, to) = (with_end(path, end), with_end(&aside, end));
            match fs::rename(from, to) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => {
                    return Err(failed(error).into());
                }
                _ => {}
            }
        }
        Ok(aside)
    }
}

/// `stintbook.before-restore.sqlite`, or with a number where that is taken.
fn free_name(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let end = path.extension().map(|end| format!(".{}", end.to_string_lossy()));
    let end = end.unwrap_or_default();
    let name = |n: u32| match n {
        1 => path.with_file_name(format!("{stem}.before-restore{end}")),
        n => path.with_file_name(format!("{stem}.before-restore-{n}{end}")),
    };
    let is_free = |path: &PathBuf| fs::symlink_metadata(path).is_err();
    (1..).map(name).find(is_free).unwrap_or_else(|| name(1))
}
