//! What a survey is worth whose places someone chose.

use super::Account;
use crate::estimate::Estimate;
use crate::records::{CountedSummary, MethodSummary, Placement, SurveySummary, UnitSummary};

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

/// What is taken for granted of a survey's places. Places that were not said to be chosen count as
/// drawn.
pub(super) fn account(survey: &SurveySummary) -> Option<Account> {
    is_sample(survey).then(|| match &survey.placement {
        Placement::Drawn { plan } => Account::Drawn(plan.clone()),
        Placement::ByChoice => Account::CHOSEN,
        Placement::NotSaid => Account::TakenAsDrawn,
    })
}

/// A full count is no sample: nobody chose where.
fn is_sample(survey: &SurveySummary) -> bool {
    !matches!(
        &survey.method,
        MethodSummary::Units(UnitSummary { counted: CountedSummary::InAll(_), .. })
    )
}
