//! The refilling share: one in N of what is seen, and a kilo limit behind it.
//!
//! A cut spends the share; it refills as fast as the plant regrows and is never more than
//! m = 1 − theta. Counting leads, since it does not depend on the survey being right; the
//! kilo limit, slack × share × low bound, stops a party that counts too boldly.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, ShareLeft, Verdict};
use crate::regrowth::{Share, State};

/// The rule's name, for those who ask which rule decided.
pub const REFILLING_SHARE: &str = "refilling share";

pub(super) struct RefillingShare;

/// The allowance counts as back at this part of the whole.
const BACK: f64 = 0.95;
/// An allowance further off than this is not dated.
const HORIZON_DAYS: i64 = 3650;

impl Rule for RefillingShare {
    fn name(&self) -> &'static str {
        REFILLING_SHARE
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    /// What was spent is spent by the cuts: no survey gives it back. So a patch that would open on
    /// one day while its survey is believed opens no earlier for its having lapsed. Of one whose
    /// share is back a survey may find more than is believed, or that it is not thin.
    fn outlasts_survey(&self, case: &Case) -> bool {
        let (Some(state), Some(share)) = (&case.state, case.share()) else { return false };
        let is_back = share.left >= BACK * state.largest_share(case.terms);
        let full = Share { taper: 1.0, thin: 1.0, ..share };
        let is_little = state.standing > 0.0 && full.most() < case.smallest_useful();
        !case.is_invasive() && (share.left <= 0.0 || !is_back && is_little)
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        if case.is_invasive() {
            return Ceiling::none(self.name(), Reason::CutBack);
        }
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), Reason::NoCropToShare);
        };
        let share = Share::of(state, case.terms);
        let reason = case.tell(|| reason(case, state, &share));
        Ceiling::at_most(self.name(), share.most(), reason)
            .counted(share.count().filter(|_| case.crop.countable))
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        case.first_later_day(|later| later.share().is_some_and(|share| share.most() >= useful))
    }
}

fn reason(case: &Case, state: &State, share: &Share) -> Reason {
    if share.fraction() <= 0.0 {
        return match share {
            _ if state.standing <= 0.0 => Reason::NothingStood,
            _ if share.left <= 0.0 => Reason::Spent,
            _ if share.taper <= 0.0 => Reason::LittleStands,
            _ => Reason::LooksTooThin(state.surveys_to_reopen.max(1)),
        };
    }
    let back = (share.left / state.largest_share(case.terms)).clamp(0.0, 1.0);
    let back_by = Some(()).filter(|()| back < BACK).and_then(|()| day_back(case, state, share));
    Reason::ShareLeft(ShareLeft {
        back,
        was_cut: state.was_cut(),
        is_start: share.start < 1.0,
        thinned: share.taper.min(share.thin),
        by_surveys: share.taper <= share.thin,
        back_by: back_by.map(|day| (BACK, day)),
    })
}

/// The first day on which 95 % of the allowance is back: `r·∫g dt = ln((m − phi)/(0.05·m))`.
fn day_back(case: &Case, state: &State, share: &Share) -> Option<Date> {
    let most = state.largest_share(case.terms);
    let wanting = ((most - share.left) / ((1.0 - BACK) * most)).ln();
    let grown_by = |days: i64| {
        let day = case.day.checked_add(days.days()).ok()?;
        (state.refilled_by(case.terms, case.growth, day) >= wanting).then_some(day)
    };
    grown_by(HORIZON_DAYS)?;
    let (mut short, mut enough) = (0, HORIZON_DAYS);
    while enough - short > 1 {
        let middle = (short + enough) / 2;
        if grown_by(middle).is_some() { enough = middle } else { short = middle }
    }
    grown_by(enough)
}
