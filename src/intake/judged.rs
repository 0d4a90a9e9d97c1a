//! Quadrats judged by eye, some of them measured too.

use super::cell::position;
use super::column::Cell;
use super::fields::Fields;
use super::problem::{Finding, Place};
use super::stratum::{frame, frame_cell, frame_column};
use super::tally::{Reported, Tally};
use crate::records::{Crop, GpsPoint, JudgedQuadrat, JudgedSurvey, PatchName, SurveyMethod};
use crate::units::Measure;

/// Fewer say nothing of how far a fitted line is off.
const FEWEST_MEASURED: usize = 3;

/// A survey of one quadrat.
pub(super) fn read(
    fields: &mut Fields<'_>,
    crop: Option<&Crop>,
    at: Option<GpsPoint>,
) -> Result<JudgedSurvey, Reported> {
    let judged = fields.required_amount(("judged_g", "judged_count"), crop);
    let measured = fields.amount(("mass_g", "count"), crop);
    let frame = frame(fields);
    let measured = measured?.map(|amount| amount.value);
    let quadrat = JudgedQuadrat { at, judged: judged?.value, measured };
    Ok(JudgedSurvey { frame: frame?, quadrats: vec![quadrat] })
}

pub(super) fn add(
    survey: &mut JudgedSurvey,
    row: JudgedSurvey,
    fields: &mut Fields<'_>,
) -> Result<(), Reported> {
    survey.quadrats.extend(row.quadrats);
    if survey.frame == row.frame {
        return Ok(());
    }
    let found = "it differs from the first row of the survey";
    let finding = Finding::new(found, "one frame for all quadrats judged by eye");
    Err(fields.refuse(frame_column(row.frame), finding))
}

/// What can only be said once all the rows of a survey are there.
pub(super) fn finish(
    survey: JudgedSurvey,
    patch: &PatchName,
    place: &Place,
    tally: &mut Tally,
) -> Result<SurveyMethod, Reported> {
    let measured: Vec<_> =
        survey.quadrats.iter().filter(|quadrat| quadrat.measured.is_some()).collect();
    if measured.len() < FEWEST_MEASURED {
        let found = format!(
            "`{patch}` has {} quadrats judged by eye, and {} of them measured",
            survey.quadrats.len(),
            measured.len()
        );
        let expected =
            format!("{FEWEST_MEASURED} or more of them measured: they put the eye right");
        return Err(tally.report(place, None, Finding::new(found, expected)));
    }
    if measured.iter().all(|quadrat| quadrat.judged == 0.0) {
        let found = format!("nothing was seen in any quadrat of `{patch}` that was measured");
        let expected = "measured quadrats in which the eye saw something";
        return Err(tally.report(place, None, Finding::new(found, expected)));
    }
    Ok(SurveyMethod::Judged(survey))
}

pub(super) fn rows(survey: &JudgedSurvey, measure: Measure) -> Vec<Vec<Cell>> {
    let (judged, measured) = match measure {
        Measure::Mass => ("judged_g", "mass_g"),
        Measure::Count => ("judged_count", "count"),
    };
    let cells = |quadrat: &JudgedQuadrat| {
        let mut cells = position(quadrat.at);
        cells.extend(frame_cell(survey.frame));
        cells.push((judged, quadrat.judged.to_string()));
        cells.extend(quadrat.measured.map(|amount| (measured, amount.to_string())));
        cells
    };
    survey.quadrats.iter().map(cells).collect()
}
