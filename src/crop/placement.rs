//! What a survey is worth whose places someone chose.

use crate::estimate::Estimate;
use crate::records::{CountedSummary, MethodSummary, Placement, SurveySummary, UnitSummary};
use crate::units::percent;

/// What is taken off an estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Penalty {
    /// The estimate is divided by this.
    pub overstatement: f64,
    /// Added in quadrature to the relative standard error.
    pub relative_standard_error: f64,
}

/// For places that someone chose: people stop where the plants are good.
///
/// Our own choice, no source. No sample can show how far its own choosing led astray, so the
/// figures are meant to cost more than a drawn sample would: the low bound falls by about a
/// quarter for a survey that is otherwise good to ±20 %, so that drawing the places always
/// pays, and a survey made before anyone knew this still counts for something.
pub const BY_CHOICE: Penalty = Penalty { overstatement: 1.15, relative_standard_error: 0.30 };

impl Penalty {
    /// The estimate brought down by the usual overstatement, with wider doubt.
    pub fn applied_to(self, estimate: Estimate) -> Estimate {
        let best = estimate.best / self.overstatement;
        let relative = estimate.relative_standard_error().hypot(self.relative_standard_error);
        Estimate { best, standard_error: best * relative, ..estimate }
    }
}

pub(super) fn guarded(survey: &SurveySummary, estimate: Estimate) -> Estimate {
    match survey.placement {
        Placement::ByChoice if is_sample(survey) => BY_CHOICE.applied_to(estimate),
        _ => estimate,
    }
}

/// What is taken for granted of a survey's places, without a full stop. Places that were not
/// said to be chosen count as drawn.
pub fn placement_account(survey: &SurveySummary) -> Option<String> {
    if !is_sample(survey) {
        return None;
    }
    match &survey.placement {
        Placement::Drawn { plan: None } => Some("its places were drawn by chance".to_owned()),
        Placement::Drawn { plan: Some(plan) } => {
            Some(format!("its places were drawn by chance ({plan})"))
        }
        Placement::ByChoice => Some(format!(
            "quadrats placed by choice: the estimate is divided by {} and its relative standard \
             error widened by {} (our own choice, no source)",
            BY_CHOICE.overstatement,
            percent(BY_CHOICE.relative_standard_error)
        )),
        Placement::NotSaid => {
            Some("its places are taken to have been drawn by chance; it does not say so".to_owned())
        }
    }
}

/// A full count is no sample: nobody chose where.
fn is_sample(survey: &SurveySummary) -> bool {
    !matches!(
        &survey.method,
        MethodSummary::Units(UnitSummary { counted: CountedSummary::InAll(_), .. })
    )
}
