//! Nothing is cut outside the crop's window of the year.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

pub(super) struct InSeason;

impl Rule for InSeason {
    fn name(&self) -> &'static str {
        "season"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::OutOfSeason
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let window = case.crop.window.value;
        if window.contains(case.day) {
            Ceiling::none(self.name(), Reason::Season(window, true))
        } else {
            Ceiling::nothing(self.name(), Reason::Season(window, false))
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        case.crop.window.value.opening(case.day)
    }

    fn closes(&self, case: &Case) -> Option<Date> {
        let window = case.crop.window.value;
        if window.is_all_year() { None } else { window.closing(case.day) }
    }
}
