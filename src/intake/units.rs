//! Units counted, in full or in samples, and some of them weighed.

use std::sync::Arc;

use super::cell::beside;
use super::column::Cell;
use super::fields::{Fields, misfit};
use super::problem::{Finding, Place, quoted};
use super::stratum::{self, Strata};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Counted, Crop, GpsPoint, PatchName, Stratum, SurveyMethod, UNIT, UnitSurvey};
use crate::units::Measure;

const MOST_UNITS: f64 = 1e6;
/// The heaviest unit, in grams.
const HEAVIEST: f64 = 1e5;
/// One weighing shows no spread.
const FEWEST_WEIGHINGS: usize = 2;

#[derive(Debug)]
pub(super) struct UnitRow {
    unit: Arc<str>,
    sampled: Option<Stratum>,
    in_all: Option<f64>,
    weight: Option<f64>,
    /// What the crop is reckoned in, where that is known.
    measure: Option<Measure>,
}

#[derive(Debug, Default)]
pub(super) struct UnitsSoFar {
    unit: Arc<str>,
    sampled: Strata,
    in_all: Option<f64>,
    weighings: Vec<f64>,
    measure: Option<Measure>,
}

pub(super) fn read(
    fields: &mut Fields<'_>,
    crop: Option<&Crop>,
    at: Option<GpsPoint>,
) -> Result<UnitRow, Reported> {
    let units = |text: &str| value::number_within(text, 0.0..=MOST_UNITS, "a number of units");
    let sampled = fields.optional("units", units);
    let in_all = fields.optional("units_in_all", units);
    let weight = fields.optional("unit_g", |text| weight(text, crop));
    let (sampled, in_all, weight) = (sampled?, in_all?, weight?);
    if sampled.is_none() && in_all.is_none() && weight.is_none() {
        return Err(fields.refuse("units", "nothing is there".to_owned()));
    }
    let sampled = match sampled {
        Some(units) => Some(stratum::of_one(at, Ok(units), fields)?),
        None => None,
    };
    let (unit, measure) = (fields.raw("unit").into(), crop.map(|crop| crop.measure));
    Ok(UnitRow { unit, sampled, in_all, weight, measure })
}

fn weight(text: &str, crop: Option<&Crop>) -> Result<f64, Finding> {
    match crop.and_then(|crop| misfit(crop, Measure::Mass)) {
        Some(found) => Err(Finding::new(found, "nothing here: the pieces are the units")),
        None => value::positive(text, HEAVIEST, "a weight"),
    }
}

impl UnitsSoFar {
    pub fn add(&mut self, row: UnitRow, fields: &mut Fields<'_>) -> Result<(), Reported> {
        self.measure = self.measure.or(row.measure);
        self.weighings.extend(row.weight);
        let named = self.name(&row.unit, fields);
        let counted = self.count(row, fields);
        named.and(counted)
    }

    fn name(&mut self, unit: &Arc<str>, fields: &mut Fields<'_>) -> Result<(), Reported> {
        if self.unit.is_empty() {
            self.unit = unit.clone();
        }
        if unit.is_empty() || *unit == self.unit {
            return Ok(());
        }
        let found = format!("{} is not {}", quoted(unit), quoted(&self.unit));
        Err(fields.refuse("unit", Finding::new(found, "one unit in a survey")))
    }

    fn count(&mut self, row: UnitRow, fields: &mut Fields<'_>) -> Result<(), Reported> {
        if let Some(sampled) = row.sampled {
            self.sampled.add(sampled, fields)?;
        }
        if let (Some(known), Some(again)) = (self.in_all, row.in_all)
            && known != again
        {
            let found = format!("`{again}` where another row has `{known}`");
            return Err(fields.refuse("units_in_all", Finding::new(found, "one number")));
        }
        self.in_all = self.in_all.or(row.in_all);
        if self.in_all.is_some() && !self.sampled.is_empty() {
            let found = "the survey has both `units` and `units_in_all`";
            return Err(fields.refuse("units_in_all", Finding::new(found, "one of them")));
        }
        Ok(())
    }

    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<SurveyMethod, Reported> {
        let mut missing = |column, found: String, expected: &str| {
            Err(tally.report(place, Some(column), Finding::new(found, expected)))
        };
        if self.unit.is_empty() {
            let found = format!("what was counted on `{patch}` has no name");
            return missing("unit", found, UNIT.expected);
        }
        let unit = &self.unit;
        if self.in_all.is_none() && self.sampled.is_empty() {
            let found = format!("each {unit} was weighed, but none was counted");
            return missing("units", found, "`units` in some rows, or `units_in_all` in one");
        }
        let weighed = self.weighings.len();
        if self.measure == Some(Measure::Mass) && weighed < FEWEST_WEIGHINGS {
            let found = format!("weighings of one {unit}: {weighed}");
            let expected = "2 or more: no unit has a weight of its own accord";
            return missing("unit_g", found, expected);
        }
        let counted = match self.in_all {
            Some(units) => Counted::InAll(units),
            None => Counted::Sampled(self.sampled.finish(patch, place, tally)?),
        };
        let (unit, weighings) = (self.unit, self.weighings);
        Ok(SurveyMethod::Units(UnitSurvey { unit, counted, weighings }))
    }
}

/// Weighings stand beside counts, one in a row.
pub(super) fn rows(survey: &UnitSurvey) -> Vec<Vec<Cell>> {
    let counted = match &survey.counted {
        Counted::InAll(units) => vec![vec![("units_in_all", units.to_string())]],
        Counted::Sampled(strata) => stratum::rows(strata, "units"),
    };
    let weighings = survey.weighings.iter().map(|grams| ("unit_g", grams.to_string()));
    let mut rows = beside(counted, weighings);
    for row in rows.iter_mut().take(1) {
        row.push(("unit", survey.unit.to_string()));
    }
    rows
}
