//! Two checksums of each row: one over the columns that bear on a limit, one over the words.
//!
//! A disk may give back other bytes than were written, and a number that reads well may still
//! be another. XXH3 (<https://github.com/Cyan4973/xxHash>, its specification is stable) finds
//! such accidents at some 10 ns a row; it is no defence against someone who means harm.

use rusqlite::types::{ToSqlOutput, Type, ValueRef};
use rusqlite::{Connection, Row};
use xxhash_rust::xxh3::xxh3_64;

use super::fields::Cells;
use super::row::as_kept;

/// Columns that are words, in whatever table; every other bears on a limit.
const WORDS: [&str; 7] = ["key", "file", "note", "reason", "source", "occupier", "why"];

/// The checksums themselves.
pub(super) const SEALS: &str = "seal, words_seal";

/// What an older or a rebuilt book may lack or have otherwise, and means the same: neither
/// bears a checksum.
const UNSEALED: [&str; 3] = ["seal", "words_seal", "folded"];

/// The checksums of one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Seals {
    pub(super) limit: i64,
    pub(super) words: i64,
}

/// All columns of a table, as a query has them.
///
/// # Errors
/// A name that is no text: SQLite would show it, but whoever asked for its name would panic.
pub(super) fn columns_of(table: &str, book: &Connection) -> rusqlite::Result<String> {
    book.prepare_cached("SELECT group_concat(name, ', ') FROM pragma_table_info(?)")?.query_row(
        [table],
        |row| {
            let names = row.get_ref(0)?.as_str().map(str::to_owned);
            names.map_err(|_| {
                let what = format!("the columns of the table `{table}` have no names");
                rusqlite::Error::FromSqlConversionFailure(0, Type::Text, what.into())
            })
        },
    )
}

/// Which of a row's checksums is not that of its columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Broken {
    /// Of the columns that bear on a limit.
    Limit,
    Words,
}

/// A column to be summed, and what stands for its name in the sum.
#[derive(Debug)]
struct Column {
    at: usize,
    name: [u8; 4],
}

/// Computes and compares the checksums of the rows of one statement, whatever the order of
/// its columns. Empty columns are left out, so that a column that a later layout adds leaves
/// the checksums of older rows as they are.
#[derive(Debug)]
pub(super) struct Sealer {
    limit: Vec<Column>,
    words: Vec<Column>,
    stored: Option<[usize; 2]>,
    /// Where the columns `id` and `place` are, if they are there.
    pub(super) id: Option<usize>,
    pub(super) place: Option<usize>,
    bytes: Vec<u8>,
}

impl Sealer {
    /// For a list of columns, as a query has it.
    pub(super) fn of_list(columns: &str) -> Self {
        Self::of_columns(&columns.split(',').map(str::trim).collect::<Vec<_>>())
    }

    fn of_columns(names: &[&str]) -> Self {
        let mut sorted: Vec<(&str, usize)> = names.iter().copied().zip(0..).collect();
        sorted.sort_unstable();
        let sealed = sorted.iter().filter(|(name, _)| !UNSEALED.contains(name));
        let (words, limit): (Vec<(&str, usize)>, _) =
            sealed.partition(|(name, _)| WORDS.contains(name));
        let column = |(name, at): (&str, usize)| {
            let [a, b, c, d, ..] = xxh3_64(name.as_bytes()).to_le_bytes();
            Column { at, name: [a, b, c, d] }
        };
        let position = |wanted: &str| names.iter().position(|name| *name == wanted);
        Self {
            limit: limit.into_iter().map(column).collect(),
            words: words.into_iter().map(column).collect(),
            stored: position("seal").zip(position("words_seal")).map(|(one, two)| [one, two]),
            id: position("id"),
            place: position("place"),
            bytes: Vec::new(),
        }
    }

    pub(super) fn seals(&mut self, row: &Row) -> rusqlite::Result<Seals> {
        self.seals_of(|at| row.get_ref(at))
    }

    /// Of a row that is about to be written, its values in the order of the columns.
    pub(super) fn seals_of_values(&mut self, values: &[ToSqlOutput]) -> rusqlite::Result<Seals> {
        self.seals_of(|at| as_kept(&values[at]))
    }

    fn seals_of<'v>(
        &mut self,
        value: impl Fn(usize) -> rusqlite::Result<ValueRef<'v>>,
    ) -> rusqlite::Result<Seals> {
        let Self { limit, words, bytes, .. } = self;
        let mut sum = |columns: &[Column]| -> rusqlite::Result<i64> {
            bytes.clear();
            for column in columns {
                write(bytes, column.name, value(column.at)?);
            }
            Ok(xxh3_64(bytes).cast_signed())
        };
        Ok(Seals { limit: sum(limit)?, words: sum(words)? })
    }

    /// The checksums of the row, and which of them is not the one stored with it.
    pub(super) fn look(&mut self, cells: &Cells) -> rusqlite::Result<Result<Seals, Broken>> {
        let found = self.seals_of(|at| cells.get(at))?;
        let Some([limit, words]) = self.stored else { return Ok(Err(Broken::Limit)) };
        let same = |at: usize, sum: i64| -> rusqlite::Result<bool> {
            Ok(cells.get(at)? == ValueRef::Integer(sum))
        };
        Ok(match (same(limit, found.limit)?, same(words, found.words)?) {
            (true, true) => Ok(found),
            (false, _) => Err(Broken::Limit),
            (true, false) => Err(Broken::Words),
        })
    }
}

impl Seals {
    /// One number for both, of which sums are made.
    pub(super) fn weight(self) -> i64 {
        self.limit.wrapping_add(self.words.rotate_left(17))
    }
}

/// The column's name, the kind of value, its length and its bytes.
fn write(bytes: &mut Vec<u8>, name: [u8; 4], value: ValueRef) {
    const HEAD: usize = 13;
    let head = |kind: u8, length: usize| {
        let mut head = [0; HEAD];
        head[..4].copy_from_slice(&name);
        head[4] = kind;
        head[5..].copy_from_slice(&(length as u64).to_le_bytes());
        head
    };
    let mut put_number = |kind: u8, value: [u8; 8]| {
        let mut whole = [0; HEAD + 8];
        whole[..HEAD].copy_from_slice(&head(kind, value.len()));
        whole[HEAD..].copy_from_slice(&value);
        bytes.extend_from_slice(&whole);
    };
    let (kind, value) = match value {
        ValueRef::Null => return,
        ValueRef::Integer(number) => return put_number(1, number.to_le_bytes()),
        // SQLite keeps no sign of zero.
        ValueRef::Real(number) => return put_number(2, (number + 0.0).to_bits().to_le_bytes()),
        ValueRef::Text(text) => (3, text),
        ValueRef::Blob(blob) => (4, blob),
    };
    bytes.extend_from_slice(&head(kind, value.len()));
    bytes.extend_from_slice(value);
}
