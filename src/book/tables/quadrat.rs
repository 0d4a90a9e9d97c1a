//! Single measurements of a survey, as they were written down, where more is known of them than
//! their amounts; also all those of books that were written before layout 15.

use std::sync::Arc;

use rusqlite::{Connection, params};

use crate::book::error::Refusal;
use crate::book::fields::{Fields, bytes};
use crate::book::row::NewRow;
use crate::book::words::Words;
use crate::records::{FactId, GpsPoint};
use crate::units::Metres;

const COLUMNS: &str = "lon, lat, accuracy_m, amount, measured, cover_to, cover_class";

/// One measurement of a part.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Measurement {
    pub(super) at: Option<GpsPoint>,
    /// Grams, pieces or units; for cover, the least per cent that it may be.
    pub(super) amount: f64,
    /// Where `amount` was judged by eye: what it was then measured to be.
    pub(super) measured: Option<f64>,
    /// The most per cent that it may be.
    pub(super) cover_to: Option<f64>,
    pub(super) cover_class: Option<Arc<str>>,
}

impl Measurement {
    pub(super) fn of(amount: f64) -> Self {
        Self { amount, ..Self::default() }
    }

    /// Whether nothing but the amount is known, as of most.
    pub(super) fn is_plain(&self) -> bool {
        let Self { at, amount: _, measured, cover_to, cover_class } = self;
        at.is_none() && measured.is_none() && cover_to.is_none() && cover_class.is_none()
    }
}

/// Its columns in the order in which [`write`] gives them.
pub(super) fn columns() -> String {
    format!("survey, part, ordinal, {COLUMNS}")
}

pub(super) fn write<'a>(
    survey: &'a FactId,
    ordinals: [i64; 2],
    measurement: &'a Measurement,
    row: &mut NewRow<'a>,
) -> Result<(), Refusal> {
    row.bytes(survey.0.as_bytes());
    ordinals.into_iter().for_each(|number| row.whole(number));
    row.maybe_number("lon", measurement.at.map(|at| at.lon))?;
    row.maybe_number("lat", measurement.at.map(|at| at.lat))?;
    row.maybe_number("accuracy_m", measurement.at.map(|at| at.accuracy.0))?;
    row.number("amount", measurement.amount)?;
    row.maybe_number("measured", measurement.measured)?;
    row.maybe_number("cover", measurement.cover_to)?;
    row.maybe_text(measurement.cover_class.as_ref());
    Ok(())
}

/// Those of one part, in the order they were recorded.
pub(super) fn read(
    survey: FactId,
    part: i64,
    book: &Connection,
) -> rusqlite::Result<Vec<Measurement>> {
    let mut words = Words::default();
    book.prepare_cached(&format!(
        "SELECT {COLUMNS} FROM quadrat WHERE survey = ? AND part = ? ORDER BY ordinal"
    ))?
    .query_map(params![bytes(&survey), part], |row| {
        let mut fields = Fields::of(row, &mut words);
        let position = (fields.maybe_number()?, fields.maybe_number()?, fields.maybe_number()?);
        let at = match position {
            (Some(lon), Some(lat), Some(accuracy)) => {
                Some(GpsPoint { lon, lat, accuracy: Metres(accuracy) })
            }
            _ => None,
        };
        Ok(Measurement {
            at,
            amount: fields.number()?,
            measured: fields.maybe_number()?,
            cover_to: fields.maybe_number()?,
            cover_class: fields.maybe_word()?,
        })
    })?
    .collect()
}
