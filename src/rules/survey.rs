//! Nothing is cut on a survey that is too old, or on none.

use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::units::{counted, spoken_day};

/// The rule's name, for those who ask which rule decided.
pub const SURVEY: &str = "survey";

pub(super) struct Surveyed;

impl Rule for Surveyed {
    fn name(&self) -> &'static str {
        SURVEY
    }

    fn says(&self) -> &'static str {
        "nothing is cut on a survey that is too old, or on none"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::NotKnown
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        if let Some(other) = case.contested {
            let reason = case.tell(|| {
                format!("{other} claims the same ground; withdraw or redraw one of the two")
            });
            return Ceiling::nothing(self.name(), reason);
        }
        if case.is_invasive() {
            return Ceiling::none(self.name(), "an invasive crop needs no survey");
        }
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), "never surveyed");
        };
        let surveyed = state.last_survey.day;
        let last = case.terms.valid_until(surveyed);
        let ago = || counted((case.day - surveyed).get_days().unsigned_abs(), "day");
        if case.day <= last {
            let reason = || format!("surveyed {} ago, believed until {}", ago(), spoken_day(last));
            Ceiling::none(self.name(), case.tell(reason))
        } else {
            let was = || format!("was believed until {}", spoken_day(last));
            let reason = case.tell(|| format!("the last survey, {} ago, {}", ago(), was()));
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
