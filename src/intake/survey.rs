//! Surveys: one row a quadrat; rows of one patch, day and person make a survey.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::column::{BY, Column, DATE, NOTE, Need, RECORDED_ON};
use super::fields::{Fields, Signature};
use super::known::Gazetteer;
use super::problem::{Finding, Place};
use super::stand::{self, Stand};
use super::stratum::{self, Stratum};
use super::tally::{Reported, Tally};
use super::value;
use super::version::Cell;
use crate::records::{Frame, PatchName, Quadrat, QuadratSurvey, Record, Survey, SurveyMethod};
use crate::units::Measure;

const MOST_VISITS: u32 = 100;

pub(super) const COLUMNS: &[Column] = &[
    stand::PATCH,
    stand::CROP,
    stand::LON,
    stand::LAT,
    stand::ACCURACY,
    DATE,
    BY,
    Column::number(
        "visit",
        Need::Optional,
        "2 for a second survey of the same patch, day and person; empty for the first",
        "",
    ),
    Column::text(
        "stratum",
        Need::Optional,
        "the part of the patch, like `dense`; empty for a patch sampled as one",
        "",
    ),
    Column::number(
        "stratum_area_m2",
        Need::Optional,
        "the ground of that part in square metres, more than 0",
        "",
    ),
    Column::number(
        "frame_area_m2",
        Need::Telling,
        "the ground of one quadrat in square metres; empty where one plant was measured",
        "0.25",
    ),
    Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "31"),
    Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
    NOTE,
    RECORDED_ON,
];

/// Columns that hold for a whole survey, not for a quadrat or stratum of it.
pub(super) const OF_THE_WHOLE: [&str; 7] =
    ["patch", "crop", "date", "by", "visit", "note", "recorded_on"];
/// Columns that are measured anew at each quadrat.
pub(super) const OF_ONE_QUADRAT: [&str; 5] = ["lon", "lat", "accuracy_m", "mass_g", "count"];

/// What tells one survey of a file from the next.
type Visit = (PatchName, Date, Arc<str>, u32);

/// Gathers rows into surveys, in the order in which each began.
#[derive(Debug, Default)]
pub(super) struct Gathering {
    places: HashMap<Visit, usize>,
    surveys: Vec<Gathered>,
    /// Some row was refused that may belong to any of them.
    has_strays: bool,
}

#[derive(Debug)]
struct Gathered {
    place: Place,
    patch: PatchName,
    signature: Signature,
    visit: u32,
    notes: Vec<Arc<str>>,
    strata: Vec<Stratum>,
    /// A row of it was refused, so that what is left says nothing of the whole.
    is_spoilt: bool,
}

impl Gathering {
    /// Takes one row; a quadrat on no-take ground is left out.
    pub fn add(&mut self, fields: &mut Fields<'_>, known: &Gazetteer<'_>) -> Result<(), Reported> {
        let signature = fields.signature_of_deed();
        let visit = fields.optional("visit", |text| value::whole(text, MOST_VISITS));
        let stand = stand::read(fields, known);
        let crop = match &stand {
            Ok(Some(stand)) => known.crop(&stand.crop).ok(),
            _ => None,
        };
        let amount = fields.required_amount(("mass_g", "count"), crop);
        let sampled = stratum::read(fields);
        let (Ok(signature), Ok(visit), Ok(stand)) = (signature, visit, stand) else {
            self.miss();
            return Err(Reported);
        };
        let Some(Stand { patch, at, .. }) = stand else { return amount.map(|_| ()) };
        let survey = self.survey(patch, signature, visit.unwrap_or(1), fields)?;
        survey.notes.extend(fields.text("note").filter(|note| !survey.notes.contains(note)));
        let added = sampled.and_then(|sampled| {
            let quadrat = Quadrat { at, amount: amount?.value };
            stratum::add(&mut survey.strata, sampled, quadrat, fields)
        });
        survey.is_spoilt |= added.is_err();
        added
    }

    fn survey(
        &mut self,
        patch: PatchName,
        signature: Signature,
        visit: u32,
        fields: &mut Fields<'_>,
    ) -> Result<&mut Gathered, Reported> {
        let key = (patch.clone(), signature.happened_on, signature.by.clone(), visit);
        let next = self.surveys.len();
        let index = *self.places.entry(key).or_insert(next);
        if index == next {
            let place = fields.place().clone();
            let (notes, strata) = (Vec::new(), Vec::new());
            let signature = signature.clone();
            let is_spoilt = false;
            self.surveys.push(Gathered {
                place,
                patch,
                signature,
                visit,
                notes,
                strata,
                is_spoilt,
            });
        }
        let survey = &mut self.surveys[index];
        if survey.signature.recorded_on != signature.recorded_on {
            survey.is_spoilt = true;
            let found = format!("this row and {} of one survey differ", survey.place);
            return Err(
                fields.refuse("recorded_on", Finding::new(found, "one day for all its rows"))
            );
        }
        Ok(survey)
    }

    /// Notes that a row was lost before anyone could tell whose it was.
    pub fn miss(&mut self) {
        self.has_strays = true;
    }

    /// The surveys, each with the number of its visit.
    pub fn finish(self, tally: &mut Tally) -> Vec<(Record, Signature, u32)> {
        let whole = |survey: &Gathered| !(self.has_strays || survey.is_spoilt);
        self.surveys
            .into_iter()
            .filter(whole)
            .filter_map(|survey| survey.finish(tally).ok())
            .collect()
    }
}

impl Gathered {
    fn finish(self, tally: &mut Tally) -> Result<(Record, Signature, u32), Reported> {
        stratum::check(&self.strata, &self.patch, &self.place, tally)?;
        let strata = self.strata.into_iter().map(|stratum| stratum.sampled).collect();
        let note = (!self.notes.is_empty()).then(|| self.notes.join("; ").into());
        let method = SurveyMethod::Quadrats(strata);
        let record = Record::Survey(Survey { patch: self.patch, method, note });
        Ok((record, self.signature, self.visit))
    }
}

/// One row for each quadrat; the note stands in the first. A quadrat does not say what it
/// was measured in: that is the crop's to tell.
pub(super) fn rows(survey: &Survey, measure: Measure) -> Vec<Vec<Cell>> {
    let column = match measure {
        Measure::Mass => "mass_g",
        Measure::Count => "count",
    };
    let SurveyMethod::Quadrats(strata) = &survey.method;
    let mut rows: Vec<Vec<Cell>> = strata
        .iter()
        .flat_map(|stratum| stratum.quadrats.iter().map(move |quadrat| (stratum, quadrat)))
        .map(|(stratum, quadrat)| cells(survey, stratum, quadrat, column))
        .collect();
    if let (Some(first), Some(note)) = (rows.first_mut(), &survey.note) {
        first.push(("note", note.to_string()));
    }
    rows
}

fn cells(
    survey: &Survey,
    stratum: &QuadratSurvey,
    quadrat: &Quadrat,
    column: &'static str,
) -> Vec<Cell> {
    let mut cells = vec![("patch", survey.patch.to_string())];
    if let Some(at) = quadrat.at {
        cells.push(("lon", at.lon.to_string()));
        cells.push(("lat", at.lat.to_string()));
        cells.push(("accuracy_m", at.accuracy.0.to_string()));
    }
    cells.push(("stratum", stratum.stratum.to_string()));
    cells.extend(stratum.stratum_area.map(|area| ("stratum_area_m2", area.0.to_string())));
    if let Frame::Area(area) = stratum.frame {
        cells.push(("frame_area_m2", area.0.to_string()));
    }
    cells.push((column, quadrat.amount.to_string()));
    cells
}
