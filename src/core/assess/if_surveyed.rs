//! A patch as it would stand if it were surveyed today and found as it is believed to be.

use jiff::ToSpan;
use jiff::civil::Date;

use super::Prepared;
use super::opening::opening;
use crate::estimate::Estimate;
use crate::regrowth::State;
use crate::rules::{Case, Verdict, rule_on};

#[derive(Clone, Copy, Debug)]
pub(super) struct IfSurveyed<'a> {
    case: Case<'a>,
    /// The first day on which it could be cut.
    pub opens: Date,
}

impl<'a> IfSurveyed<'a> {
    /// `expected` is what a first survey would find, `log_variance` the doubt that the survey
    /// would leave. `None` where the patch could not be cut within `horizon_days` all the same.
    pub fn of(
        patch: &Prepared,
        case: &Case<'a>,
        expected: Estimate,
        log_variance: f64,
        horizon_days: i64,
    ) -> Option<Self> {
        let first = || {
            let cut_before = patch.course().cut_earlier_in_crop_year(case.day);
            State::first(case.terms, case.day, expected, cut_before)
        };
        let mut state = case.state.unwrap_or_else(first);
        state.log_variance = log_variance;
        state.last_survey.day = case.day;
        let case = Case { state: Some(state), ..*case };
        let opens = opens(&case)?;
        let horizon = case.day.checked_add(horizon_days.days()).ok()?;
        (opens <= horizon).then_some(Self { case, opens })
    }

    pub fn limit_on(&self, day: Date) -> f64 {
        limit_on(&self.case, day)
    }
}

/// The most that may be cut on a later day if nothing happens till then, in the crop's
/// measure; 0 unless open. Not for invasive crops, which have no limit.
pub(super) fn limit_on(case: &Case, day: Date) -> f64 {
    rule_on(&case.on(day)).most.unwrap_or(0.0)
}

fn opens(case: &Case) -> Option<Date> {
    let ruling = rule_on(case);
    if ruling.verdict == Verdict::Open {
        return Some(case.day);
    }
    let opening = opening(case, &ruling)?;
    (!opening.needs_survey && !opening.needs_permission).then_some(opening.day)
}
