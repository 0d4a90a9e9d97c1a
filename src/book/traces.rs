//! What is left of a forgotten name in the bytes of the book's file.
//!
//! A deleted row is overwritten, but moving rows about can leave older copies in pages, and a
//! program that still reads keeps old pages in the write-ahead log. So the file is looked at
//! afterwards, and written anew where it still has the name.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::records::{composed, decomposed};

/// What was seen of names in the file after they were deleted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Traces {
    /// Another program still reads old pages, which may hold a name.
    pub is_read: bool,
    /// How often the letters of a name stood there before, and were cleared away.
    pub cleared: usize,
    /// How often they still stand in the file or its write-ahead log.
    pub left: usize,
    /// Where they stand in records of other kinds, which are kept: the table, and how many.
    pub records: Vec<(String, usize)>,
    /// The file could not be read, so nobody looked.
    pub unseen: Option<String>,
}

/// Makes the file forget what was deleted from it, and says what is left of the names there.
pub(super) fn clear_away(
    names: &[String],
    book: &Connection,
    path: &Path,
) -> rusqlite::Result<Traces> {
    let spellings = spellings(names);
    if spellings.is_empty() {
        return Ok(Traces::default());
    }
    let mut is_read = !empty_the_log(book)?;
    let before = match seen(&spellings, path) {
        Ok(before) => before,
        Err(error) => {
            return Ok(Traces { is_read, unseen: Some(error.to_string()), ..Traces::default() });
        }
    };
    if before == 0 {
        return Ok(Traces { is_read, ..Traces::default() });
    }
    if !is_read {
        book.execute_batch("VACUUM")?;
        is_read = !empty_the_log(book)?;
    }
    let (left, unseen) = match seen(&spellings, path) {
        Ok(left) => (left, None),
        Err(error) => (before, Some(error.to_string())),
    };
    let records = if left > 0 { records(&spellings, book)? } else { Vec::new() };
    Ok(Traces { is_read, cleared: before.saturating_sub(left), left, records, unseen })
}

/// Moves the write-ahead log into the file; false where a reader is in the way for longer than
/// a command waits.
fn empty_the_log(book: &Connection) -> rusqlite::Result<bool> {
    book.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| Ok(row.get::<_, i64>(0)? == 0))
}

/// The bytes that stand for the names, accents written in either way.
fn spellings(names: &[String]) -> BTreeSet<Vec<u8>> {
    let of = |name: &String| [name.clone(), composed(name).into_owned(), decomposed(name)];
    let bytes = names.iter().flat_map(of).map(String::into_bytes);
    bytes.filter(|bytes| !bytes.is_empty()).collect()
}

/// How often any of the spellings stands in the file and in the files beside it.
fn seen(spellings: &BTreeSet<Vec<u8>>, path: &Path) -> io::Result<usize> {
    let mut count = 0;
    for beside in ["", "-wal", "-journal"] {
        let mut file = path.as_os_str().to_owned();
        file.push(beside);
        match read_and_leave_open(&PathBuf::from(file)) {
            Ok(bytes) => count += spellings.iter().map(|name| times(name, &bytes)).sum::<usize>(),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
    }
    Ok(count)
}

/// A POSIX lock goes with the first descriptor of its file that is closed, whoever holds it
/// (<https://sqlite.org/howtocorrupt.html>, 2.2): to close this one would give up the lock by
/// which the open book keeps its write-ahead log from others. So it stays open until the command
/// ends.
fn read_and_leave_open(path: &Path) -> io::Result<Vec<u8>> {
    let mut file = File::open(path)?;
    let mut bytes = Vec::new();
    let read = file.read_to_end(&mut bytes);
    std::mem::forget(file);
    read.map(|_| bytes)
}

fn times(name: &[u8], bytes: &[u8]) -> usize {
    bytes.windows(name.len()).filter(|window| *window == name).count()
}

/// The tables with rows whose text has one of the spellings.
fn records(
    spellings: &BTreeSet<Vec<u8>>,
    book: &Connection,
) -> rusqlite::Result<Vec<(String, usize)>> {
    let columns: Vec<(String, String)> = book
        .prepare(
            "SELECT t.name, c.name FROM sqlite_schema AS t JOIN pragma_table_info(t.name) AS c \
             WHERE t.type = 'table' AND c.type IN ('TEXT', 'ANY') AND t.name <> 'tally'",
        )?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let mut tables: Vec<String> = columns.iter().map(|(table, _)| table.clone()).collect();
    tables.dedup();
    let mut found = Vec::new();
    for table in tables {
        let of_table = columns.iter().filter(|(of, _)| *of == table);
        let has = |(_, column): &(String, String)| {
            let one = format!("instr(CAST(\"{column}\" AS BLOB), ?) > 0");
            (1..=spellings.len()).map(|n| one.replace('?', &format!("?{n}"))).collect::<Vec<_>>()
        };
        let conditions: Vec<String> = of_table.flat_map(has).collect();
        let sql = format!("SELECT count(*) FROM \"{table}\" WHERE {}", conditions.join(" OR "));
        let rows: i64 = book
            .prepare(&sql)?
            .query_row(rusqlite::params_from_iter(spellings), |row| row.get(0))?;
        found.extend(usize::try_from(rows).ok().filter(|rows| *rows > 0).map(|rows| (table, rows)));
    }
    Ok(found)
}
