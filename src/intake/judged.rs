//! Quadrats judged by eye, some of them measured too.

use super::cell::position;
use super::column::Cell;
use super::fields::Fields;
use super::problem::{Finding, Place};
use super::stratum::{frame, frame_cell, frame_column};
use super::tally::{Reported, Tally};
use crate::records::{Crop, Frame, GpsPoint, JudgedQuadrat, JudgedSurvey, PatchName, SurveyMethod};
use crate::units::Measure;

/// Fewer say nothing of how far a fitted line is off.
const FEWEST_MEASURED: usize = 3;

#[derive(Debug)]
pub(super) struct Row {
    frame: Frame,
    judged: f64,
    measured: Option<f64>,
}

#[derive(Debug, Default)]
pub(super) struct Gathered {
    frame: Option<Frame>,
    quadrats: Vec<JudgedQuadrat>,
}

pub(super) fn read(fields: &mut Fields<'_>, crop: Option<&Crop>) -> Result<Row, Reported> {
    let judged = fields.required_amount(("judged_g", "judged_count"), crop);
    let measured = fields.amount(("mass_g", "count"), crop);
    let frame = frame(fields);
    let measured = measured?.map(|amount| amount.value);
    Ok(Row { frame: frame?, judged: judged?.value, measured })
}

impl Gathered {
    pub fn add(
        &mut self,
        row: Row,
        at: Option<GpsPoint>,
        fields: &mut Fields<'_>,
    ) -> Result<(), Reported> {
        let Row { frame, judged, measured } = row;
        self.quadrats.push(JudgedQuadrat { at, judged, measured });
        if *self.frame.get_or_insert(frame) == frame {
            return Ok(());
        }
        let found = "it differs from the first row of the survey";
        let finding = Finding::new(found, "one frame for all quadrats judged by eye");
        Err(fields.refuse(frame_column(frame), finding))
    }

    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<SurveyMethod, Reported> {
        let measured: Vec<_> =
            self.quadrats.iter().filter(|quadrat| quadrat.measured.is_some()).collect();
        if measured.len() < FEWEST_MEASURED {
            let found = format!(
                "`{patch}` has {} quadrats judged by eye, and {} of them measured",
                self.quadrats.len(),
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
        let frame = self.frame.unwrap_or(Frame::Plant);
        Ok(SurveyMethod::Judged(JudgedSurvey { frame, quadrats: self.quadrats }))
    }
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
