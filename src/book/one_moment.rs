//! Several connections to one book that all see it as it stood at one moment.

use rusqlite::{Connection, Transaction};

use super::open::Book;

/// How often to look for a moment at which nobody else writes.
const ATTEMPTS: usize = 20;

/// A read transaction on the book's own connection, and further connections on which one of the
/// same moment is open. There are none where that cannot be had: others write all the time, or the
/// file has no name any more.
pub(super) fn at_one_moment(
    book: &Book,
    further: usize,
) -> rusqlite::Result<(Transaction<'_>, Vec<Connection>)> {
    let others: Option<Vec<Connection>> = (0..further).map(|_| book.connect_again()).collect();
    if let Some(others) = others {
        for _ in 0..ATTEMPTS {
            // What a connection says of this number changes when another has written
            // (<https://sqlite.org/pragma.html#pragma_data_version>). So if it is the same before
            // the others begin and within the book's own transaction, nothing was written between.
            let before = version(&book.connection)?;
            others.iter().try_for_each(begin)?;
            let moment = book.connection.unchecked_transaction()?;
            if version(&moment)? == before {
                return Ok((moment, others));
            }
            others.iter().try_for_each(|other| other.execute_batch("ROLLBACK"))?;
        }
    }
    Ok((book.connection.unchecked_transaction()?, Vec::new()))
}

fn begin(book: &Connection) -> rusqlite::Result<()> {
    book.execute_batch("BEGIN")?;
    // SQLite takes its view of the file at the first read, and not before.
    book.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(()))
}

fn version(book: &Connection) -> rusqlite::Result<i64> {
    book.query_row("PRAGMA data_version", [], |row| row.get(0))
}
