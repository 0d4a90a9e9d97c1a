//! The refilling share: one in N of what is seen, and a kilo limit behind it.
//!
//! A cut spends the share; it refills as fast as the plant regrows and is never more than
//! m = 1 − theta. Counting leads, since it does not depend on the survey being right; the
//! kilo limit, slack × share × low bound, stops a party that counts too boldly.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::regrowth::{Share, State};
use crate::units::{percent, spoken_day};

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

    fn says(&self) -> &'static str {
        "a cut spends the share, which refills as fast as the plant regrows: count one in N, \
         with a kilo limit behind it"
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
            return Ceiling::none(self.name(), "an invasive crop may be cut back without limit");
        }
        let Some(state) = &case.state else {
            return Ceiling::nothing(self.name(), "no standing crop is known to take a share of");
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

fn reason(case: &Case, state: &State, share: &Share) -> String {
    if share.fraction() <= 0.0 {
        return match share {
            _ if state.standing <= 0.0 => "the last survey found nothing standing".to_owned(),
            _ if share.left <= 0.0 => "the share is spent".to_owned(),
            _ if share.taper <= 0.0 => "less than 30 % of the surveyed crop stands".to_owned(),
            _ => looks_too_thin(state),
        };
    }
    let back = (share.left / state.largest_share(case.terms)).clamp(0.0, 1.0);
    let mut reason = how_much_is_there(back, state.was_cut());
    if share.start < 1.0 {
        reason += ", half of it on the first four visits";
    }
    let thinned = share.taper.min(share.thin);
    if thinned < 1.0 {
        reason += &format!(", cut down to {} as {}", percent(thinned), thinning(share));
    }
    if let Some(day) = day_back(case, state, share).filter(|_| back < BACK) {
        reason += &format!("; {} by {}", percent(BACK), spoken_day(day));
    }
    reason
}

/// Of a patch never cut nothing can be back.
pub fn how_much_is_there(back: f64, was_cut: bool) -> String {
    match (percent(back), was_cut) {
        (whole, _) if whole == percent(1.0) => "the whole share is there".to_owned(),
        (part, true) => format!("{part} of the share is back"),
        (part, false) => format!("{part} of the share is there, never cut yet"),
    }
}

/// Why the sight index shuts the patch, and what would open it.
fn looks_too_thin(state: &State) -> String {
    let surveys = match state.surveys_to_reopen {
        0 | 1 => "a survey that finds".to_owned(),
        n => format!("{n} surveys that each find"),
    };
    format!(
        "the patch looks less than half as thick as it used to; {surveys} the full crop, or \
         glances by the same eyes that see it, would open it"
    )
}

fn thinning(share: &Share) -> &'static str {
    if share.taper <= share.thin {
        "less stands than at its surveys"
    } else {
        "it looks thinner than it did"
    }
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
