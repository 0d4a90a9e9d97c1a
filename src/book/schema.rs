//! The layout of the file, as a list of steps that only ever grows.

use rusqlite::{Connection, TransactionBehavior};

/// Marks the file as a book: `stbk` in ASCII.
pub(super) const APPLICATION_ID: i64 = 0x7374_626b;

/// Step `n` (from 0) brings layout `n` to `n + 1`. Append; never edit one that was released.
const STEPS: [&str; 4] = [
    include_str!("migrations/0001_first.sql"),
    include_str!("migrations/0002_walks.sql"),
    include_str!("migrations/0003_underfoot.sql"),
    include_str!("migrations/0004_union.sql"),
];

/// The layout this program writes.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// The layout of the file, 0 for one that holds nothing yet.
pub(super) fn layout(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "user_version", |row| row.get(0))
}

pub(super) fn application_id(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "application_id", |row| row.get(0))
}

/// Brings the file to the newest layout in one transaction: all of it, or nothing.
pub(super) fn upgrade(connection: &mut Connection) -> rusqlite::Result<()> {
    let steps = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Asked again inside the transaction: another command may have been quicker.
    let done = usize::try_from(layout(&steps)?).unwrap_or(0);
    for step in STEPS.iter().skip(done) {
        steps.execute_batch(step)?;
    }
    steps.pragma_update(None, "application_id", APPLICATION_ID)?;
    steps.pragma_update(None, "user_version", NEWEST)?;
    steps.commit()
}
