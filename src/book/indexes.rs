//! Indexes that are made when all rows are there. To find the place of each new row in them as it
//! comes takes more than half of the time of writing a million cuts; sorted, they take a third of
//! that.

use rusqlite::{Connection, params};

use super::error::Failure;
use super::writer::recorded_twice;
use crate::records::{FactId, Kind};

/// What makes the indexes that a table lacks for now.
#[derive(Debug)]
pub(super) struct PutOff {
    kind: Kind,
    making: Vec<String>,
}

/// Drops the indexes of all rows of a kind's table, where it has none yet, but not those that SQLite
/// made for what must be unique. Until they are made, what they find is found by reading the whole
/// table.
pub(super) fn put_off(kind: Kind, book: &Connection) -> rusqlite::Result<Option<PutOff>> {
    let table = kind.name();
    if book.prepare(&format!("SELECT 1 FROM {table}"))?.exists([])? {
        return Ok(None);
    }
    // One of some rows only costs little as they come, and a look at every row at the end.
    let mut indexes = book.prepare(
        "SELECT indexes.name, sql FROM pragma_index_list(?) AS indexes \
         JOIN sqlite_schema USING (name) \
         WHERE type = 'index' AND sql IS NOT NULL AND NOT partial ORDER BY name",
    )?;
    let indexes = indexes
        .query_map([table], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<Vec<(String, String)>>>()?;
    for (name, _) in &indexes {
        book.execute(&format!("DROP INDEX \"{}\"", name.replace('"', "\"\"")), [])?;
    }
    Ok(Some(PutOff { kind, making: indexes.into_iter().map(|(_, sql)| sql).collect() }))
}

impl PutOff {
    /// # Errors
    /// A refusal of a fact that was recorded twice, which no index had found before.
    pub(super) fn make(self, book: &Connection) -> Result<(), Failure> {
        for sql in &self.making {
            book.execute(sql, []).map_err(|error| match twice(self.kind, book) {
                Ok(id) => recorded_twice(id, error),
                Err(_) => error.into(),
            })?;
        }
        Ok(())
    }
}

/// A fact that has two rows.
fn twice(kind: Kind, book: &Connection) -> rusqlite::Result<FactId> {
    let sql = format!("SELECT id FROM {kind} GROUP BY id HAVING count(*) > 1", kind = kind.name());
    book.query_row(&sql, params![], |row| Ok(FactId(uuid::Uuid::from_bytes(row.get(0)?))))
}
