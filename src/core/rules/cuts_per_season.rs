//! Some stands bear only so many cuts in a season, however small each is.
//!
//! Whole nettle stands cut each fifth week lost half their cover in one season
//! (Vozár et al. 2009): a fraction needs a cap on the number of cuts too. A pinch is not a whole
//! stand: a day counts that took half of what was allowed, or more.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

/// The rule's name, for those who ask which rule decided.
pub const CUTS_PER_SEASON: &str = "cuts per season";

pub(super) struct CutsPerSeason;

impl Rule for CutsPerSeason {
    fn name(&self) -> &'static str {
        CUTS_PER_SEASON
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(most) = &case.crop.cuts_per_season else {
            return Ceiling::none(self.name(), Reason::CutsNotCapped);
        };
        let made = made(case);
        let reason = Reason::CutsMade { made, allowed: most.value };
        if made >= most.value {
            Ceiling::nothing(self.name(), reason)
        } else {
            Ceiling::none(self.name(), reason)
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let closing = case.crop.window.value.closing(case.day)?.tomorrow().ok()?;
        case.crop.window.value.opening(closing)
    }
}

/// Cuts before the day; before a first survey nobody knows what was allowed, and each counts.
fn made(case: &Case) -> u32 {
    if let Some(state) = &case.state {
        return state.cuts_made_before(case.terms, case.day);
    }
    let from = case.terms.crop_year_start(case.day);
    let earlier = case.day.yesterday().unwrap_or(case.day);
    case.history.cut_days_between(from, earlier)
}
