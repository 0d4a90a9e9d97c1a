//! A part of a survey: what one sample of it comes to.

use std::sync::Arc;

use rusqlite::Connection;

use super::survey::Seat;
use crate::book::error::Refusal;
use crate::book::fields::{Fields, bytes};
use crate::book::row::NewRow;
use crate::book::words::Words;
use crate::estimate::Sample;
use crate::records::{FactId, Frame};
use crate::units::{Metres, SquareMetres};

pub(in crate::book) const PART_COLUMNS: &str =
    "role, name, area_m2, frame_m2, frame_m, n, mean, sd, covariance";

/// One sample and what it is of.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::book) struct StoredSample {
    pub(in crate::book) role: Role,
    /// The stratum, or nothing.
    pub(in crate::book) name: Arc<str>,
    pub(in crate::book) area: Option<SquareMetres>,
    /// Means nothing where the sample is not of sampling units.
    pub(in crate::book) frame: Frame,
    pub(in crate::book) sample: Sample,
    /// Of a measured sample with what the eye had judged it to be.
    pub(in crate::book) covariance: Option<f64>,
}

/// What a sample is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::book) enum Role {
    /// Amounts of the crop in sampling units.
    Amount,
    /// The same by eye.
    Judged,
    /// The eye's judgement of those that were measured too.
    JudgedOfMeasured,
    /// What these were measured to be.
    Measured,
    /// Units in sampling units.
    Units,
    /// All units of the patch: a sample of one.
    UnitsInAll,
    /// Grams of one unit.
    UnitWeight,
    /// Parts of the ground covered.
    Cover,
    /// Grams a square metre at full cover.
    FullCover,
}

impl Role {
    const ALL: [Self; 9] = [
        Self::Amount,
        Self::Judged,
        Self::JudgedOfMeasured,
        Self::Measured,
        Self::Units,
        Self::UnitsInAll,
        Self::UnitWeight,
        Self::Cover,
        Self::FullCover,
    ];

    fn name(self) -> &'static str {
        match self {
            Self::Amount => "amount",
            Self::Judged => "judged",
            Self::JudgedOfMeasured => "judged of measured",
            Self::Measured => "measured",
            Self::Units => "units",
            Self::UnitsInAll => "units in all",
            Self::UnitWeight => "unit weight",
            Self::Cover => "cover",
            Self::FullCover => "full cover",
        }
    }

    fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.name() == name)
    }
}

impl StoredSample {
    /// A sample that is not of sampling units, or has its frame from another part.
    pub(super) fn of(role: Role, sample: Sample) -> Self {
        Self { role, name: "".into(), area: None, frame: Frame::Plant, sample, covariance: None }
    }
}

/// Its columns in the order in which [`write`] gives them.
pub(super) fn columns() -> String {
    format!("place, survey, ordinal, {PART_COLUMNS}, quadrats")
}

/// `quadrats` is the sum of the checksums of its quadrats.
pub(super) fn write<'a>(
    seat: &'a Seat,
    ordinal: i64,
    part: &'a StoredSample,
    quadrats: i64,
    row: &mut NewRow<'a>,
) -> Result<(), Refusal> {
    row.whole(seat.place);
    row.bytes(seat.id.0.as_bytes());
    row.whole(ordinal);
    row.text(part.role.name());
    row.text(&part.name);
    row.maybe_number("stratum_area_m2", part.area.map(|area| area.0))?;
    let (area, length) = match part.frame {
        Frame::Area(area) => (Some(area.0), None),
        Frame::Length(length) => (None, Some(length.0)),
        Frame::Plant => (None, None),
    };
    row.maybe_number("frame_m2", area)?;
    row.maybe_number("frame_m", length)?;
    // More quadrats than an i64 counts do not fit in memory.
    row.whole(i64::try_from(part.sample.n).unwrap_or(i64::MAX));
    row.number("amount", part.sample.mean)?;
    row.number("amount", part.sample.sd)?;
    row.maybe_number("amount", part.covariance)?;
    row.whole(quadrats);
    Ok(())
}

/// The columns of `PART_COLUMNS`.
pub(in crate::book) fn read_part(fields: &mut Fields) -> rusqlite::Result<StoredSample> {
    Ok(StoredSample {
        role: fields.text_as("role of a part", Role::named)?,
        name: fields.word()?,
        area: fields.maybe_number()?.map(SquareMetres),
        frame: read_frame(fields)?,
        sample: Sample { n: fields.whole()?, mean: fields.number()?, sd: fields.number()? },
        covariance: fields.maybe_number()?,
    })
}

fn read_frame(fields: &mut Fields) -> rusqlite::Result<Frame> {
    let area = fields.maybe_number()?.map(|area| Frame::Area(SquareMetres(area)));
    let length = fields.maybe_number()?.map(|length| Frame::Length(Metres(length)));
    Ok(area.or(length).unwrap_or(Frame::Plant))
}

/// The parts of one survey, in the order they were recorded.
pub(in crate::book) fn read_parts(
    survey: FactId,
    book: &Connection,
) -> rusqlite::Result<Vec<StoredSample>> {
    let mut words = Words::default();
    book.prepare_cached(&format!(
        "SELECT {PART_COLUMNS} FROM part \
         WHERE place = (SELECT place FROM survey WHERE id = ?1) AND survey = ?1 ORDER BY ordinal"
    ))?
    .query_map([bytes(&survey)], |row| read_part(&mut Fields::of(row, &mut words)))?
    .collect()
}
