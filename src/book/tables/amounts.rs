//! The measurements of a part of which nothing but the amounts is known, as of most: one row.

use rusqlite::{Connection, params};

use super::quadrat::Measurement;
use super::survey::Seat;
use crate::book::error::Refusal;
use crate::book::fields::{Fields, bytes};
use crate::book::row::NewRow;
use crate::book::words::Words;
use crate::records::FactId;

/// Its columns in the order in which [`write`] gives them.
pub(super) const COLUMNS: &str = "place, survey, part, amounts";

pub(super) fn write<'a>(seat: &'a Seat, part: i64, amounts: &'a [u8], row: &mut NewRow<'a>) {
    row.whole(seat.place);
    row.bytes(seat.id.0.as_bytes());
    row.whole(part);
    row.bytes(amounts);
}

/// As the table keeps them; `None` where there are none, or more is known of one of them.
///
/// # Errors
/// An amount that is no number.
pub(super) fn packed(
    measurements: &[Measurement],
    row: &NewRow,
) -> Result<Option<Vec<u8>>, Refusal> {
    if measurements.is_empty() || !measurements.iter().all(Measurement::is_plain) {
        return Ok(None);
    }
    let mut packed = Vec::with_capacity(8 * measurements.len());
    for Measurement { amount, .. } in measurements {
        if !amount.is_finite() {
            return Err(row.refuse("amount", amount, "a finite number"));
        }
        packed.extend_from_slice(&amount.to_le_bytes());
    }
    Ok(Some(packed))
}

/// Those of one part, in the order they were recorded; none where they have rows of their own.
pub(super) fn read(
    survey: FactId,
    part: i64,
    book: &Connection,
) -> rusqlite::Result<Vec<Measurement>> {
    let mut words = Words::default();
    let mut statement = book.prepare_cached(
        "SELECT amounts FROM amounts \
         WHERE place = (SELECT place FROM survey WHERE id = ?1) AND survey = ?1 AND part = ?2",
    )?;
    let mut rows = statement.query(params![bytes(&survey), part])?;
    let amounts = match rows.next()? {
        Some(row) => Fields::of(row, &mut words).numbers()?,
        None => Vec::new(),
    };
    Ok(amounts.into_iter().map(Measurement::of).collect())
}
