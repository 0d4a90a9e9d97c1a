//! Nothing is cut on a survey that is too old, or on none.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

/// The rule's name, for those who ask which rule decided.
pub const SURVEY: &str = "survey";

pub(super) struct Surveyed;

impl Rule for Surveyed {
    fn name(&self) -> &'static str {
        SURVEY
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::NotKnown
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        if let Some(other) = case.contested {
            let reason = case.tell(|| Reason::Contested(other.clone()));
            return Ceiling::nothing(self.name(), reason);
        }
        if case.is_invasive() {
            return Ceiling::none(self.name(), Reason::SurveyNotNeeded);
        }
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), Reason::NeverSurveyed);
        };
        let surveyed = state.last_survey.day;
        let until = case.terms.valid_until(surveyed);
        let days = (case.day - surveyed).get_days().unsigned_abs();
        let believed = case.day <= until;
        let reason = Reason::Surveyed { days, until, believed };
        if believed {
            Ceiling::none(self.name(), reason)
        } else {
            Ceiling::nothing(self.name(), reason)
        }
    }

    fn opens(&self, _case: &Case) -> Option<Date> {
        None
    }

    fn closes(&self, case: &Case) -> Option<Date> {
        let state = case.state.as_ref().filter(|_| !case.is_invasive())?;
        Some(case.terms.valid_until(state.last_survey.day))
    }
}
