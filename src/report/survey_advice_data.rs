//! Which patches to survey next, for machines: JSON (`stintbook.survey-advice/1`) and CSV.

use jiff::civil::Date;

use super::column::{Column, Columned, Line, Measured, csv};
use crate::assess::{HORIZON_DAYS, PatchAdvice, SurveyAdvice, WhySurvey};
use crate::json::{Declared, Shape, object, one_of, written};
use crate::units::Measure;

/// The name and version of what [`survey_advice_json`] writes.
pub const SURVEY_ADVICE_SCHEMA: &str = "stintbook.survey-advice/1";

impl Measured for PatchAdvice {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

const COLUMNS: [Column<PatchAdvice>; 12] = [
    Column::text("site", |patch| patch.patch.site().to_string()),
    Column::text("patch", |patch| patch.patch.patch().to_owned()),
    Column::text("crop", |patch| patch.crop.name.to_string()),
    Column::coded::<Why>("why", |patch| why(patch.why).name()),
    Column::maybe_day("believed_until", |patch| believed_until(patch.why)),
    Column::maybe_number("doubt_costs", |patch| doubt_costs(patch.why)),
    Column::maybe_whole("guessed_from", |patch| guessed_from(patch.why)),
    Column::day("day", |patch| patch.day),
    Column::whole("quadrats", |patch| patch.quadrats),
    Column::maybe_whole("quadrats_for_precision", |patch| patch.for_precision),
    Column::amount("at_stake", |patch| patch.at_stake),
    Column::amount("per_quadrat", PatchAdvice::per_quadrat),
];

impl Columned for PatchAdvice {
    fn columns() -> Vec<Column<Self>> {
        COLUMNS.into()
    }
}

object! {
    /// The whole answer.
    struct AdviceData<'a> {
        on: Date,
        horizon_days: i64,
        precision: f64,
        /// In the order in which they pay.
        patches: Vec<Line<'a, PatchAdvice>>,
        surveyed_well_enough: usize,
        out_of_reach: usize,
    }
}

/// Each patch in the order of the table.
pub fn survey_advice_json(advice: &SurveyAdvice) -> String {
    let data = AdviceData {
        on: advice.on,
        horizon_days: HORIZON_DAYS,
        precision: advice.precision,
        patches: advice.ranked().into_iter().map(Line).collect(),
        surveyed_well_enough: advice.well_enough,
        out_of_reach: advice.out_of_reach,
    };
    written(SURVEY_ADVICE_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (SURVEY_ADVICE_SCHEMA, Shape::of_version::<AdviceData>(SURVEY_ADVICE_SCHEMA))
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn survey_advice_csv(advice: &SurveyAdvice) -> Result<String, csv::Error> {
    csv(&COLUMNS, advice.ranked())
}

one_of! {
    /// Why a survey pays.
    pub(super) enum Why {
        Never = "never surveyed",
        Lapsed = "expired",
        Lapses = "expires",
        Doubt = "doubt",
        Untested = "never tested",
    }
}

pub(super) fn why(why: WhySurvey) -> Why {
    match why {
        WhySurvey::Never { .. } => Why::Never,
        WhySurvey::Lapsed(_) => Why::Lapsed,
        WhySurvey::Lapses(_) => Why::Lapses,
        WhySurvey::Doubt { .. } => Why::Doubt,
        WhySurvey::Untested { .. } => Why::Untested,
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
