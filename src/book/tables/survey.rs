//! What a survey measured: its own two columns, a row for each part with what its quadrats come
//! to, and the quadrats.

use rusqlite::Connection;

use super::measured::{self, METHODS};
use super::part::{self, StoredSample, read_parts};
use super::quadrat;
use crate::book::error::{Failure, Refusal};
use crate::book::fields::Fields;
use crate::book::row::NewRow;
use crate::records::{FactId, SurveyMethod};

/// Where the book keeps a fact.
#[derive(Clone, Copy, Debug)]
pub(in crate::book) struct Seat {
    /// The number of the place it is about.
    pub(in crate::book) place: i64,
    pub(in crate::book) id: FactId,
}

/// Its own columns; [`write_parts`] writes the rest.
pub(super) fn write(method: &SurveyMethod, row: &mut NewRow) -> Result<(), Refusal> {
    let (name, measured_in) = measured::named(method);
    let parts = parts(method).len();
    if parts == 0 || parts != measured::measurements(method).len() {
        return Err(Refusal::NoQuadrats { key: row.key().to_owned() });
    }
    row.text(name);
    row.written(measured_in);
    Ok(())
}

/// Without what was measured; [`fill`] adds it.
pub(super) fn read(fields: &mut Fields) -> rusqlite::Result<SurveyMethod> {
    let method = fields.text_as("method of a survey", |text| {
        METHODS.iter().find(|(name, _)| *name == text).map(|(_, empty)| *empty)
    })?;
    fields.text_as("unit or scale of a survey", method)
}

pub(in crate::book) fn write_parts(
    method: &SurveyMethod,
    seat: Seat,
    key: &str,
    book: &Connection,
) -> Result<(), Failure> {
    let (parts, measurements) = (parts(method), measured::measurements(method));
    for ((part, measurements), ordinal) in parts.iter().zip(&measurements).zip(1_i64..) {
        part::write(seat, ordinal, part, key, book)?;
        for (measurement, nth) in measurements.iter().zip(1_i64..) {
            quadrat::write(seat.id, [ordinal, nth], measurement, key, book)?;
        }
    }
    Ok(())
}

/// Reads back what [`write_parts`] wrote.
pub(in crate::book) fn fill(
    method: &mut SurveyMethod,
    id: FactId,
    book: &Connection,
) -> rusqlite::Result<()> {
    let with_measurements = |(part, ordinal)| Ok((part, quadrat::read(id, ordinal, book)?));
    let parts = read_parts(id, book)?.into_iter().zip(1_i64..).map(with_measurements);
    measured::fill(method, parts.collect::<rusqlite::Result<_>>()?);
    Ok(())
}

/// None for a survey that lacks some.
pub(in crate::book) fn parts(method: &SurveyMethod) -> Vec<StoredSample> {
    method.summary().map(|summary| measured::parts(&summary)).unwrap_or_default()
}

/// A method without its measurements, made from what it was measured in.
pub(super) type Empty = fn(&str) -> Option<SurveyMethod>;
