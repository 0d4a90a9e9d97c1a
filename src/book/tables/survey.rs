//! A survey: its own row, one for each stratum with what the quadrats come to, and the
//! quadrats.

use rusqlite::{Connection, params};

use super::{About, Seat, Table};
use crate::book::error::{Failure, Refusal};
use crate::book::fields::{Fields, bytes};
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::book::words::Words;
use crate::estimate::Sample;
use crate::records::{
    FactId, Frame, GpsPoint, Kind, NameError, Quadrat, QuadratSummary, QuadratSurvey, Survey,
    SurveyMethod, SurveySummary,
};
use crate::units::{Metres, SquareMetres};

pub(in crate::book) const STRATUM_COLUMNS: &str = "name, area_m2, frame_m2, n, mean, sd";

impl Table for Survey {
    const KIND: Kind = Kind::Survey;
    const COLUMNS: &'static str = "method, note";

    fn about(&self) -> Result<About, NameError> {
        Ok(About::Patch(self.patch.clone()))
    }

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        let SurveyMethod::Quadrats(strata) = &self.method;
        if strata.is_empty() || strata.iter().any(|stratum| stratum.quadrats.is_empty()) {
            return Err(Refusal::NoQuadrats { key: row.key().to_owned() }.into());
        }
        row.text("quadrats");
        row.maybe_text(self.note.as_ref());
        Ok(())
    }

    /// Without its strata; `read_parts` adds them.
    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        let method = fields.text_as("method of a survey", |text| {
            (text == "quadrats").then(|| SurveyMethod::Quadrats(Vec::new()))
        })?;
        Ok(Some(Self { patch: patch.clone(), method, note: fields.maybe_word()? }))
    }

    fn write_parts(&self, seat: Seat, key: &str, book: &Connection) -> Result<(), Failure> {
        let SurveyMethod::Quadrats(strata) = &self.method;
        let SurveySummary::Quadrats(summaries) = self.summary();
        for ((stratum, summary), ordinal) in strata.iter().zip(&summaries).zip(1_i64..) {
            write_stratum(seat, ordinal, summary, key, book)?;
            for (quadrat, nth) in stratum.quadrats.iter().zip(1_i64..) {
                write_quadrat(seat.id, [ordinal, nth], quadrat, key, book)?;
            }
        }
        Ok(())
    }

    fn read_parts(&mut self, id: FactId, book: &Connection) -> rusqlite::Result<()> {
        let SurveyMethod::Quadrats(strata) = &mut self.method;
        let quadrats_of = |ordinal| read_quadrats(id, ordinal, book);
        *strata = read_strata(id, book)?
            .into_iter()
            .zip(1_i64..)
            .map(|(summary, ordinal)| {
                Ok(QuadratSurvey {
                    stratum: summary.stratum,
                    stratum_area: summary.stratum_area,
                    frame: summary.frame,
                    quadrats: quadrats_of(ordinal)?,
                })
            })
            .collect::<rusqlite::Result<_>>()?;
        Ok(())
    }
}

fn write_stratum(
    seat: Seat,
    ordinal: i64,
    summary: &QuadratSummary,
    key: &str,
    book: &Connection,
) -> Result<(), Failure> {
    let mut row = NewRow::of(Kind::Survey, key);
    row.whole(seat.place);
    row.id(seat.id);
    row.whole(ordinal);
    row.text(&summary.stratum);
    row.maybe_number("stratum_area_m2", summary.stratum_area.map(|area| area.0))?;
    match summary.frame {
        Frame::Area(area) => row.number("frame_m2", area.0)?,
        Frame::Plant => row.nothing(),
    }
    // More quadrats than an i64 counts do not fit in memory.
    row.whole(i64::try_from(summary.sample.n).unwrap_or(i64::MAX));
    row.number("amount", summary.sample.mean)?;
    row.number("amount", summary.sample.sd)?;
    book.prepare_cached(
        "INSERT INTO stratum (place, survey, ordinal, name, area_m2, frame_m2, n, mean, sd) \
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute(rusqlite::params_from_iter(row.values()))?;
    Ok(())
}

fn write_quadrat(
    survey: FactId,
    ordinals: [i64; 2],
    quadrat: &Quadrat,
    key: &str,
    book: &Connection,
) -> Result<(), Failure> {
    let mut row = NewRow::of(Kind::Survey, key);
    row.id(survey);
    ordinals.into_iter().for_each(|number| row.whole(number));
    row.maybe_number("lon", quadrat.at.map(|at| at.lon))?;
    row.maybe_number("lat", quadrat.at.map(|at| at.lat))?;
    row.maybe_number("accuracy_m", quadrat.at.map(|at| at.accuracy.0))?;
    row.number("amount", quadrat.amount)?;
    book.prepare_cached(
        "INSERT INTO quadrat (survey, stratum, ordinal, lon, lat, accuracy_m, amount) \
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute(rusqlite::params_from_iter(row.values()))?;
    Ok(())
}

/// The columns of `STRATUM_COLUMNS`.
pub(in crate::book) fn read_stratum(fields: &mut Fields) -> rusqlite::Result<QuadratSummary> {
    Ok(QuadratSummary {
        stratum: fields.word()?,
        stratum_area: fields.maybe_number()?.map(SquareMetres),
        frame: fields.maybe_number()?.map_or(Frame::Plant, |area| Frame::Area(SquareMetres(area))),
        sample: Sample { n: fields.whole()?, mean: fields.number()?, sd: fields.number()? },
    })
}

/// The strata of one survey, in the order they were recorded.
pub(in crate::book) fn read_strata(
    survey: FactId,
    book: &Connection,
) -> rusqlite::Result<Vec<QuadratSummary>> {
    let mut words = Words::default();
    book.prepare_cached(&format!(
        "SELECT {STRATUM_COLUMNS} FROM stratum \
         WHERE place = (SELECT place FROM survey WHERE id = ?1) AND survey = ?1 ORDER BY ordinal"
    ))?
    .query_map([bytes(&survey)], |row| read_stratum(&mut Fields::of(row, &mut words)))?
    .collect()
}

fn read_quadrats(
    survey: FactId,
    stratum: i64,
    book: &Connection,
) -> rusqlite::Result<Vec<Quadrat>> {
    let mut words = Words::default();
    book.prepare_cached(
        "SELECT lon, lat, accuracy_m, amount FROM quadrat \
         WHERE survey = ? AND stratum = ? ORDER BY ordinal",
    )?
    .query_map(params![bytes(&survey), stratum], |row| {
        let mut fields = Fields::of(row, &mut words);
        let position = (fields.maybe_number()?, fields.maybe_number()?, fields.maybe_number()?);
        let at = match position {
            (Some(lon), Some(lat), Some(accuracy)) => {
                Some(GpsPoint { lon, lat, accuracy: Metres(accuracy) })
            }
            _ => None,
        };
        Ok(Quadrat { at, amount: fields.number()? })
    })?
    .collect()
}
