//! Which patches to survey next, for machines: JSON (`stintbook.survey-advice/1`) and CSV.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use super::column::{
    Column, Measured, csv, document, number, object, optional, optional_word, word,
};
use crate::assess::{HORIZON_DAYS, PatchAdvice, SurveyAdvice, WhySurvey};
use crate::units::Measure;

/// The name and version of what [`survey_advice_json`] writes.
pub const SURVEY_ADVICE_SCHEMA: &str = "stintbook.survey-advice/1";

impl Measured for PatchAdvice {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

const COLUMNS: [Column<PatchAdvice>; 12] = [
    Column::plain("site", |patch| word(patch.patch.site())),
    Column::plain("patch", |patch| word(patch.patch.patch())),
    Column::plain("crop", |patch| word(&patch.crop.name)),
    Column::plain("why", |patch| word(name(patch.why))),
    Column::plain("believed_until", |patch| optional_word(believed_until(patch.why))),
    Column::plain("doubt_costs", |patch| optional(doubt_costs(patch.why))),
    Column::plain("guessed_from", |patch| guessed_from(patch.why).into()),
    Column::plain("day", |patch| word(patch.day)),
    Column::plain("quadrats", |patch| patch.quadrats.into()),
    Column::plain("quadrats_for_precision", |patch| patch.for_precision.into()),
    Column::amount("at_stake", |patch| patch.at_stake),
    Column::amount("per_quadrat", PatchAdvice::per_quadrat),
];

/// Each patch in the order of the table.
pub fn survey_advice_json(advice: &SurveyAdvice) -> String {
    let patches: Vec<Map<String, Value>> =
        advice.ranked().into_iter().map(|patch| object(&COLUMNS, patch)).collect();
    document(&json!({
        "schema": SURVEY_ADVICE_SCHEMA,
        "on": advice.on.to_string(),
        "horizon_days": HORIZON_DAYS,
        "precision": number(advice.precision),
        "patches": patches,
        "surveyed_well_enough": advice.well_enough,
        "out_of_reach": advice.out_of_reach,
    }))
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn survey_advice_csv(advice: &SurveyAdvice) -> Result<String, csv::Error> {
    csv(&COLUMNS, advice.ranked())
}

pub(super) fn name(why: WhySurvey) -> &'static str {
    match why {
        WhySurvey::Never { .. } => "never surveyed",
        WhySurvey::Lapsed(_) => "expired",
        WhySurvey::Lapses(_) => "expires",
        WhySurvey::Doubt { .. } => "doubt",
        WhySurvey::Untested { .. } => "never tested",
    }
}

pub(super) fn believed_until(why: WhySurvey) -> Option<Date> {
    match why {
        WhySurvey::Lapsed(last) | WhySurvey::Lapses(last) => Some(last),
        WhySurvey::Never { .. } | WhySurvey::Doubt { .. } | WhySurvey::Untested { .. } => None,
    }
}

pub(super) fn doubt_costs(why: WhySurvey) -> Option<f64> {
    match why {
        WhySurvey::Doubt { costs } => Some(costs),
        _ => None,
    }
}

fn guessed_from(why: WhySurvey) -> Option<usize> {
    match why {
        WhySurvey::Never { guessed_from } => Some(guessed_from),
        _ => None,
    }
}
