//! Making and opening book files, and saying what a file is that is no book.

use std::collections::HashSet;
use std::fs::{self, File, Metadata};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::{LazyLock, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::address::Address;
use super::error::{BookError, StorageError};
use super::schema;
use super::shared::Shared;
use super::temporary::{Temporary, with_end};
use super::trouble::Trouble;

/// How long a command waits for another that is writing.
pub(super) const PATIENCE: Duration = Duration::from_secs(5);

/// How every SQLite file begins (<https://sqlite.org/fileformat.html>, 1.3.1).
const HEADER: &[u8] = b"SQLite format 3\0";

/// Big enough that a load of a hundred thousand quadrats spills nothing, in KiB.
const CACHE_KIB: i64 = 65_536;

/// Statements that are kept ready: more than any command asks of one connection.
const STATEMENTS: usize = 128;

/// One SQLite file with everything recorded. Facts are appended to it, never edited.
#[derive(Debug)]
pub struct Book {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    /// For a book on a server: then the file is a working copy of it.
    pub(super) shared: Option<Box<Shared>>,
}

impl Book {
    /// Makes an empty book at `path`.
    ///
    /// # Errors
    /// A [`StorageError`] where something is there already or nothing can be written there.
    pub fn create(path: &Path) -> Result<Self, BookError> {
        files_only(path, "a new book is begun in a file; `stintbook copy` brings it there")?;
        match fs::symlink_metadata(path) {
            Ok(_) if path.is_dir() => return Err(StorageError::Folder(path.to_owned()).into()),
            Ok(_) => return Err(StorageError::AlreadyThere(path.to_owned()).into()),
            Err(_) => {}
        }
        // Under another name first: half a book under its own would be in the way of the next.
        let new = Temporary::beside(path)?;
        lay_out(&new.path).map_err(|error| StorageError::from_sqlite(path, &error))?;
        new.settle_where_nothing_is(path)?;
        Self::open(path)
    }

    /// Opens a book to read and append; one of an older layout is brought up to date.
    ///
    /// # Errors
    /// A [`StorageError`] that says what the file is, where it is no book.
    pub fn open(path: &Path) -> Result<Self, BookError> {
        if let Some(address) = Address::of(path) {
            return Shared::open(&address);
        }
        see_what_it_is(path)?;
        let failed = |error: rusqlite::Error| StorageError::from_sqlite(path, &error);
        let mut connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(failed)?;
        let layout = check_layout(&connection, path)?;
        // SQLite opens a file that it may not write to read-only, without a word.
        if connection.is_readonly("main").map_err(failed)? {
            return Err(StorageError::ReadOnly(path.to_owned()).into());
        }
        if layout < schema::NEWEST {
            schema::upgrade(&mut connection).map_err(failed)?;
        }
        prepare_to_write(&connection).map_err(failed)?;
        Ok(Self { connection, path: path.to_owned(), shared: None })
    }

    /// Opens a book to read only. It may lie where nothing can be written.
    ///
    /// # Errors
    /// As [`Book::open`].
    pub fn open_to_read(path: &Path) -> Result<Self, BookError> {
        if let Some(address) = Address::of(path) {
            return Shared::open(&address);
        }
        see_what_it_is(path)?;
        let connection =
            connect_to_read(path).map_err(|error| StorageError::from_sqlite(path, &error))?;
        if check_layout(&connection, path)? < schema::NEWEST {
            return Self::open(path).map_err(|error| match error {
                BookError::Storage(StorageError::ReadOnly(path)) => {
                    StorageError::OldAndReadOnly(path).into()
                }
                other => other,
            });
        }
        Ok(Self { connection, path: path.to_owned(), shared: None })
    }

    /// Opens a book to read only, whatever its layout.
    pub(super) fn open_as_it_is(path: &Path) -> Result<Self, BookError> {
        see_what_it_is(path)?;
        let connection =
            connect_to_read(path).map_err(|error| StorageError::from_sqlite(path, &error))?;
        check_layout(&connection, path)?;
        Ok(Self { connection, path: path.to_owned(), shared: None })
    }

    /// Opens a book to read only and leaves its file as it is: one of an older layout is
    /// brought up to date in a copy beside `own`, which is gone when the command ends.
    ///
    /// # Errors
    /// As [`Book::open`].
    pub fn open_untouched(path: &Path, own: &Path) -> Result<Self, BookError> {
        if let Some(address) = Address::of(path) {
            return Shared::open(&address);
        }
        see_what_it_is(path)?;
        let failed = |error: rusqlite::Error| StorageError::from_sqlite(path, &error);
        let connection = connect_to_read(path).map_err(failed)?;
        if check_layout(&connection, path)? == schema::NEWEST {
            return Ok(Self { connection, path: path.to_owned(), shared: None });
        }
        let copy = Temporary::beside(own)?;
        let copied = copied(&connection, &copy.path);
        // Open, it needs no name any longer. Where it keeps it, it is only a file too many.
        drop(copy);
        Ok(Self { connection: copied.map_err(failed)?, path: path.to_owned(), shared: None })
    }

    /// Another connection to the same file, to read from; `None` where it cannot be had.
    pub(super) fn connect_again(&self) -> Option<Connection> {
        let path = self.connection.path().filter(|path| !path.is_empty())?;
        connect_to_read(Path::new(path)).ok()
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// # Errors
/// Where the path is that of a book on a server; `instead` says what can be done there.
pub(super) fn files_only(path: &Path, instead: &'static str) -> Result<(), StorageError> {
    let Some(address) = Address::of(path) else { return Ok(()) };
    let (path, trouble) = (address.shown(), Trouble::NotOnServers(instead));
    Err(StorageError::Server { path, trouble })
}

/// A connection to the working copy of a book on a server.
#[cfg(feature = "shared")]
pub(super) fn connect_to_write(path: &Path) -> rusqlite::Result<Connection> {
    let connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    prepare_to_write(&connection)?;
    Ok(connection)
}

/// Makes a book of an empty file.
pub(super) fn lay_out(path: &Path) -> rusqlite::Result<()> {
    schema::upgrade(&mut connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?)
}

fn connect(path: &Path, mode: OpenFlags) -> rusqlite::Result<Connection> {
    let connection = Connection::open_with_flags(path, mode | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(PATIENCE)?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS);
    connection.pragma_update(None, "foreign_keys", true)?;
    // Else some queries are planned anew whenever another value is bound, though the plan is the same.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    Ok(connection)
}

/// A book in write-ahead mode needs two files beside it even to be read. Where they cannot
/// be made and none is left over, nobody can be writing either: then the file is read as one
/// that does not change.
fn connect_to_read(path: &Path) -> rusqlite::Result<Connection> {
    match connect_as_usual(path) {
        // A command was cut off in the midst of a change: only who may write can take it back,
        // and the file is none to be read before.
        Err(error) if cannot_share(&error) && has_beside(path, "-journal") => {
            drop(connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE).and_then(first_read)?);
            connect_as_usual(path)
        }
        Err(error) if cannot_share(&error) && !has_beside(path, "-wal") => {
            let mode = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
            connect(Path::new(&unchanging_uri(path)), mode).and_then(first_read)
        }
        other => other,
    }
}

/// A connection that sees what others commit.
pub(super) fn connect_as_usual(path: &Path) -> rusqlite::Result<Connection> {
    connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY).and_then(first_read)
}

fn first_read(connection: Connection) -> rusqlite::Result<Connection> {
    schema::application_id(&connection)?;
    Ok(connection)
}

/// A copy of an older book, brought up to date.
fn copied(older: &Connection, to: &Path) -> rusqlite::Result<Connection> {
    older.execute("VACUUM INTO ?", [to.to_string_lossy()])?;
    let mut copy = connect(to, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    copy.pragma_update(None, "journal_mode", "memory")?;
    schema::upgrade(&mut copy)?;
    Ok(copy)
}

fn cannot_share(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly))
}

/// Whether something lies in the file beside the book whose name ends so.
fn has_beside(path: &Path, end: &str) -> bool {
    fs::metadata(with_end(path, end)).is_ok_and(|beside| beside.len() > 0)
}

/// The file as an SQLite URI (<https://sqlite.org/uri.html>), with `%`, `?` and `#` escaped.
fn unchanging_uri(path: &Path) -> String {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let escaped =
        path.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23");
    format!("file:{escaped}?immutable=1")
}

fn prepare_to_write(connection: &Connection) -> rusqlite::Result<()> {
    connection.pragma_update(None, "journal_mode", "wal")?;
    connection.pragma_update(None, "synchronous", "full")?;
    // What is deleted is overwritten, and what is moved about leaves less behind.
    connection.pragma_update(None, "secure_delete", true)?;
    connection.pragma_update(None, "cache_size", -CACHE_KIB)
}

/// SQLite would make a database of a missing, empty or very short file, so these are told
/// apart first.
fn see_what_it_is(path: &Path) -> Result<(), StorageError> {
    let unreadable = |error: io::Error| match error.kind() {
        ErrorKind::NotFound => StorageError::Missing(path.to_owned()),
        ErrorKind::PermissionDenied => StorageError::Locked(path.to_owned()),
        _ => StorageError::Other { path: path.to_owned(), cause: error.to_string() },
    };
    let file = fs::metadata(path).map_err(unreadable)?;
    if file.is_dir() {
        return Err(StorageError::Folder(path.to_owned()));
    }
    if file.len() == 0 {
        return Err(StorageError::Empty(path.to_owned()));
    }
    let is_seen = same_file(&file);
    if is_seen.is_some_and(|file| seen().contains(&file)) {
        return Ok(());
    }
    let mut start = Vec::new();
    let file = File::open(path).map_err(unreadable)?;
    file.take(HEADER.len() as u64).read_to_end(&mut start).map_err(unreadable)?;
    if start != HEADER {
        return Err(StorageError::NotABook(path.to_owned()));
    }
    seen().extend(is_seen);
    Ok(())
}

/// What tells one file from another, whatever it is called: its place on the disk, and since when
/// it has been there.
pub(super) type FileMark = (u64, u64, Option<SystemTime>);

/// The files that were books when this process first looked at them. A file is opened and closed
/// by hand once alone, and before SQLite has it open: POSIX gives up all locks of a process on a
/// file as soon as it closes one descriptor of it (<https://sqlite.org/howtocorrupt.html>, 2.2).
fn seen() -> MutexGuard<'static, HashSet<FileMark>> {
    static SEEN: LazyLock<Mutex<HashSet<FileMark>>> = LazyLock::new(Mutex::default);
    SEEN.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(unix)]
pub(super) fn same_file(file: &Metadata) -> Option<FileMark> {
    use std::os::unix::fs::MetadataExt;
    Some((file.dev(), file.ino(), file.created().ok()))
}

/// Elsewhere a lock belongs to the descriptor that took it.
#[cfg(not(unix))]
pub(super) fn same_file(_: &Metadata) -> Option<FileMark> {
    None
}

/// The layout of the book, if it is one and not of a later time.
fn check_layout(connection: &Connection, path: &Path) -> Result<i64, StorageError> {
    let failed = |error: rusqlite::Error| StorageError::from_sqlite(path, &error);
    let found = schema::layout(connection).map_err(failed)?;
    let damaged = |what: String| Err(StorageError::Damaged { path: path.to_owned(), what });
    if schema::application_id(connection).map_err(failed)? != schema::APPLICATION_ID {
        if schema::is_of_layout(found, connection).map_err(failed)? {
            return damaged("its tables are a book's, but its mark as one is not".to_owned());
        }
        return Err(StorageError::OtherProgram(path.to_owned()));
    }
    if found > schema::NEWEST {
        return Err(StorageError::Newer { path: path.to_owned(), found, known: schema::NEWEST });
    }
    if found < schema::NEWEST && !schema::is_of_layout(found, connection).map_err(failed)? {
        return damaged(format!(
            "it says that its layout is {found}, but its tables are another's"
        ));
    }
    Ok(found)
}
