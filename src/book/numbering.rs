//! Numbers for new places, where more than one working copy finds new places at a time.

use rusqlite::{Connection, OptionalExtension};

/// How many places one decision may find.
#[cfg(feature = "shared")]
const BLOCK: i64 = 1 << 24;

/// From now on new places of this connection have numbers of the block, which no other has.
#[cfg(feature = "shared")]
pub(super) fn within(block: i64, book: &Connection) -> rusqlite::Result<()> {
    book.execute_batch(
        "CREATE TABLE IF NOT EXISTS temp.shared_numbering (next INTEGER NOT NULL); \
         DELETE FROM temp.shared_numbering",
    )?;
    book.execute("INSERT INTO temp.shared_numbering VALUES (?)", [block.saturating_mul(BLOCK)])?;
    Ok(())
}

/// The block behind all that are taken, where numbers are taken up to this one.
#[cfg(feature = "shared")]
pub(super) fn first_block_beyond(number: i64) -> i64 {
    number / BLOCK + 1
}

/// The next number; `None` where the book numbers its places itself.
pub(super) fn next(book: &Connection) -> rusqlite::Result<Option<i64>> {
    let is_told = book
        .prepare_cached("SELECT 1 FROM sqlite_temp_schema WHERE name = 'shared_numbering'")?
        .exists([])?;
    if !is_told {
        return Ok(None);
    }
    book.prepare_cached("UPDATE shared_numbering SET next = next + 1 RETURNING next - 1")?
        .query_row([], |row| row.get(0))
        .optional()
}
