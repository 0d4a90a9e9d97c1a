//! Leave at least so much on each square metre: for annuals that live by this year's seed.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

pub(super) struct LeaveStanding;

impl Rule for LeaveStanding {
    fn name(&self) -> &'static str {
        "leave standing"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(leave) = &case.crop.leave_per_m2 else {
            return Ceiling::none(self.name(), Reason::NoDensity);
        };
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), Reason::NoCropToLeave);
        };
        let kept = leave.value * case.extent.area.0;
        let reason =
            case.tell(|| Reason::Density(case.crop.amount(leave.value), case.crop.amount(kept)));
        Ceiling::at_most(self.name(), state.low() - kept, reason)
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        case.first_later_day(|later| self.ceiling(later).allows(useful))
    }
}
