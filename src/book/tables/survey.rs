//! What a survey measured: its own two columns, a row for each part with what its quadrats come
//! to, and the quadrats.

use rusqlite::types::Value;
use rusqlite::{Connection, Statement, params_from_iter};

use super::amounts;
use super::measured::{self, METHODS};
use super::part::{self, StoredSample, read_parts};
use super::quadrat::{self, Measurement};
use crate::book::bundle::Bundles;
use crate::book::error::{Failure, Refusal};
use crate::book::fields::Fields;
use crate::book::packed::WrittenSection;
use crate::book::row::{NewRow, insertion};
use crate::book::seal::{SEALS, Sealer, Seals};
use crate::book::tally::{Tallies, Tally};
use crate::records::{FactId, Kind, SurveyMethod};

/// Where the book keeps a fact.
#[derive(Clone, Copy, Debug)]
pub(in crate::book) struct Seat {
    /// The number of the place it is about.
    pub(in crate::book) place: i64,
    pub(in crate::book) id: FactId,
}

/// Its own columns; a [`PartWriter`] writes the rest.
pub(super) fn write(method: &SurveyMethod, row: &mut NewRow) {
    let (name, measured_in) = measured::named(method);
    row.text(name);
    row.written(measured_in);
}

/// Without what was measured; [`fill`] adds it.
pub(super) fn read(fields: &mut Fields) -> rusqlite::Result<SurveyMethod> {
    let method = fields.text_as("method of a survey", |text| {
        METHODS.iter().find(|(name, _)| *name == text).map(|(_, empty)| *empty)
    })?;
    fields.text_as("unit or scale of a survey", method)
}

/// Writes the parts and quadrats of surveys, sealed and counted.
pub(in crate::book) struct PartWriter<'book> {
    part: Statement<'book>,
    amounts: Statement<'book>,
    quadrat: Statement<'book>,
}

/// The parts of a survey with what is kept of their quadrats.
pub(in crate::book) struct SummedParts(Vec<SummedPart>);

struct SummedPart {
    part: StoredSample,
    seals: Seals,
    /// The sum of its quadrats' checksums.
    quadrats: i64,
    /// All of them; `None` where each has a row.
    amounts: Option<Vec<u8>>,
}

/// Sums up what surveys measured.
pub(in crate::book) struct Summing {
    part: Sealer,
    /// What is packed of a part.
    section: Option<WrittenSection>,
    amounts: Sealer,
    quadrat: Sealer,
}

impl Summing {
    pub(in crate::book) fn new() -> Self {
        let part = part::columns();
        Self {
            section: WrittenSection::of("part", &part),
            part: Sealer::of_list(&part),
            amounts: Sealer::of_list(amounts::COLUMNS),
            quadrat: Sealer::of_list(&quadrat::columns()),
        }
    }

    /// Packs the parts too, where that is wanted.
    ///
    /// # Errors
    /// A refusal of a survey without a quadrat, or with a number that is none.
    pub(in crate::book) fn sum_up(
        &mut self,
        method: &SurveyMethod,
        seat: Seat,
        key: &str,
        mut bundles: Option<&mut Bundles>,
    ) -> Result<SummedParts, Failure> {
        let (parts, measurements) = (parts(method), measured::measurements(method));
        if parts.is_empty() || parts.len() != measurements.len() {
            return Err(Refusal::NoQuadrats { key: key.to_owned() }.into());
        }
        let mut summed = Vec::with_capacity(parts.len());
        for ((part, measurements), ordinal) in parts.into_iter().zip(&measurements).zip(1_i64..) {
            let mut row = NewRow::of(Kind::Survey, key);
            let amounts = amounts::packed(measurements, &row)?;
            let mut tally = Tally::default();
            if let Some(amounts) = &amounts {
                amounts::write(&seat, ordinal, amounts, &mut row);
                tally.add(self.amounts.seals_of_values(row.values())?);
            } else {
                for (measurement, nth) in measurements.iter().zip(1_i64..) {
                    row.clear();
                    quadrat::write(&seat.id, [ordinal, nth], measurement, &mut row)?;
                    tally.add(self.quadrat.seals_of_values(row.values())?);
                }
            }
            let quadrats = tally.digest;
            let mut row = NewRow::of(Kind::Survey, key);
            part::write(&seat, ordinal, &part, quadrats, &mut row)?;
            let seals = self.part.seals_of_values(row.values())?;
            if let (Some(bundles), Some(section)) = (&mut bundles, &self.section) {
                section.pack(row.values(), seals, bundles)?;
            }
            summed.push(SummedPart { part, seals, quadrats, amounts });
        }
        Ok(SummedParts(summed))
    }
}

impl<'book> PartWriter<'book> {
    pub(in crate::book) fn of(book: &'book Connection) -> rusqlite::Result<Self> {
        let (part, quadrat) = (part::columns(), quadrat::columns());
        Ok(Self {
            part: book.prepare(&insertion("part", &format!("{part}, {SEALS}")))?,
            amounts: book.prepare(&insertion("amounts", amounts::COLUMNS))?,
            quadrat: book.prepare(&insertion("quadrat", &quadrat))?,
        })
    }

    /// The parts, and their quadrats where these need no rows of their own. Gives whether some
    /// do.
    pub(in crate::book) fn write(
        &mut self,
        SummedParts(parts): &SummedParts,
        seat: Seat,
        key: &str,
        tallies: &mut Tallies,
    ) -> Result<bool, Failure> {
        for (SummedPart { part, seals, quadrats, amounts }, ordinal) in parts.iter().zip(1_i64..) {
            let mut row = NewRow::of(Kind::Survey, key);
            part::write(&seat, ordinal, part, *quadrats, &mut row)?;
            tallies.count_new("part", seat.place, *seals, |_| Ok(Value::Null))?;
            row.whole(seals.limit);
            row.whole(seals.words);
            self.part.execute(params_from_iter(row.values()))?;
            if let Some(amounts) = amounts {
                row.clear();
                amounts::write(&seat, ordinal, amounts, &mut row);
                self.amounts.execute(params_from_iter(row.values()))?;
            }
        }
        Ok(parts.iter().any(|part| part.amounts.is_none()))
    }

    /// Those that need rows.
    pub(in crate::book) fn write_quadrats(
        &mut self,
        method: &SurveyMethod,
        id: FactId,
        key: &str,
    ) -> Result<(), Failure> {
        let mut row = NewRow::of(Kind::Survey, key);
        for (measurements, part) in measured::measurements(method).iter().zip(1_i64..) {
            if measurements.iter().all(Measurement::is_plain) {
                continue;
            }
            for (measurement, nth) in measurements.iter().zip(1_i64..) {
                row.clear();
                quadrat::write(&id, [part, nth], measurement, &mut row)?;
                self.quadrat.execute(params_from_iter(row.values()))?;
            }
        }
        Ok(())
    }
}

/// Reads back what a [`PartWriter`] wrote.
pub(in crate::book) fn fill(
    method: &mut SurveyMethod,
    id: FactId,
    book: &Connection,
) -> rusqlite::Result<()> {
    let with_measurements = |(part, ordinal)| {
        let mut measurements = amounts::read(id, ordinal, book)?;
        if measurements.is_empty() {
            measurements = quadrat::read(id, ordinal, book)?;
        }
        Ok((part, measurements))
    };
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
