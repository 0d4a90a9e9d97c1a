//! One file for each kind of record: its columns, how they are written and read back.

mod closure;
mod crop_override;
mod cut;
mod glance;
mod hold;
pub(super) mod measured;
pub(super) mod part;
mod patch;
mod permission;
mod quadrat;
mod site;
mod survey;
mod walk;
mod zone;

use rusqlite::Connection;

use super::error::Failure;
use super::fields::Fields;
use super::names::Names;
use super::places::Places;
use super::row::NewRow;
use crate::records::{FactId, Listed};

/// Where the book keeps a fact.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seat {
    /// The number of the place it is about.
    pub(super) place: i64,
    pub(super) id: FactId,
}

/// A kind of record as the table that bears its name.
///
/// `COLUMNS` are those after the envelope that all tables share; `write` and `read` take them
/// in this order.
pub(super) trait Table: Listed {
    const COLUMNS: &'static str;

    fn write<'a>(&'a self, places: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure>;

    /// `None` where the place, or the site it lies on, has no name in this view of the book.
    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>>;

    /// Writes what other tables hold of this record.
    fn write_parts(&self, _seat: Seat, _key: &str, _book: &Connection) -> Result<(), Failure> {
        Ok(())
    }

    /// Reads it back.
    fn read_parts(&mut self, _id: FactId, _book: &Connection) -> rusqlite::Result<()> {
        Ok(())
    }
}
