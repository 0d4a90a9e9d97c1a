//! The reserve: a part of the full crop that is never cut into.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

/// The rule's name, for those who ask which rule decided.
pub const RESERVE: &str = "reserve";

pub(super) struct Reserve;

impl Rule for Reserve {
    fn name(&self) -> &'static str {
        RESERVE
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let reserve = case.crop.reserve.value;
        if reserve <= 0.0 {
            return Ceiling::none(self.name(), Reason::NoReserve);
        }
        if case.is_invasive() {
            return Ceiling::none(self.name(), Reason::ReserveNotNeeded);
        }
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), Reason::NoCropToReserve);
        };
        let kept = reserve * state.reserve_base(case.terms);
        let reason = case.tell(|| Reason::Reserve(case.crop.amount(kept), reserve));
        Ceiling::at_most(self.name(), state.low() - kept, reason)
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        case.first_later_day(|later| self.ceiling(later).allows(useful))
    }
}
