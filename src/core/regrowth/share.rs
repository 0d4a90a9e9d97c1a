//! The share of the standing crop that may be cut now, and what a visit spends of it.

use super::{Count, State, Terms};
use crate::records::Taken;
use crate::units::is_over;

/// Below this part of its surveyed base a patch is not cut; the share is whole again
/// `TAPER_SPAN` above it.
const TAPER_FROM: f64 = 0.3;
const TAPER_SPAN: f64 = 0.5;
/// The first visits to a leaf patch, and the part of the share they take.
const FIRST_VISITS: u32 = 4;
const FIRST_VISITS_PART: f64 = 0.5;
/// The most of the share that one cut is charged.
const WHOLE_STAND: f64 = 1.0;

/// The share on a day, with everything that shrinks it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// phi: what has refilled, in (−∞, m].
    pub left: f64,
    /// The part of it that one visit may spend.
    pub visit_part: f64,
    /// 1 down to 0 as the crop falls below its surveyed base.
    pub taper: f64,
    /// 1 down to 0 as the patch looks thinner than it used to.
    pub thin: f64,
    /// One half during the first visits.
    pub start: f64,
    /// How far the kilo limit may exceed share × low bound.
    pub slack: f64,
    /// The low bound of the standing crop, in the crop's measure.
    pub low: f64,
    /// The part of it that is ripe, as far as anybody said: 1 for what does not ripen.
    pub ripe: f64,
}

impl Share {
    /// Of a patch as it stands, by what its crop's habit sets.
    pub fn of(state: &State, terms: &Terms) -> Self {
        let below = |base: f64| match state.standing / base {
            part if base > 0.0 => ((part - TAPER_FROM) / TAPER_SPAN).clamp(0.0, 1.0),
            _ => 0.0,
        };
        let taper = match terms.season {
            _ if !terms.tapers() => 1.0,
            None => below(state.base),
            // A wrong curve must not shut a patch that stands as it ever did.
            Some(_) => below(state.base).max(below(state.mean_found)),
        };
        let in_first_visits = terms.is_leaf() && state.visits < FIRST_VISITS;
        let share = Self {
            left: state.share_left,
            visit_part: terms.visit_part,
            taper,
            thin: if terms.is_leaf() { state.thin } else { 1.0 },
            start: if in_first_visits { FIRST_VISITS_PART } else { 1.0 },
            slack: terms.slack_on(state.glanced),
            low: state.low(),
            ripe: state.ripe(terms).map_or(1.0, |told| told.part),
        };
        Self { slack: Count::slack(share.fraction(), share.slack), ..share }
    }

    /// The fraction of what is seen that may be cut now.
    pub fn fraction(&self) -> f64 {
        self.left.max(0.0) * self.visit_part * self.reduction()
    }

    fn reduction(&self) -> f64 {
        self.taper.min(self.thin) * self.start
    }

    /// What the share comes to when it is counted off; `None` where nothing may be cut.
    pub fn count(&self) -> Option<Count> {
        Count::of(self.fraction())
    }

    /// Count off one in this many; `None` where nothing may be cut, or fewer than is counted.
    pub fn one_in(&self) -> Option<u32> {
        self.count().and_then(Count::one_in)
    }

    /// The kilo limit: the most by weight, in the crop's measure.
    pub fn most(&self) -> f64 {
        self.slack * self.fraction() * self.ripe * self.low
    }

    /// Whether a basket is within the kilo limit, as far as a scale can tell.
    pub(super) fn holds(&self, amount: f64) -> bool {
        !is_over(amount, self.most())
    }

    /// What a cut took as a part of what was allowed; infinite where nothing was.
    pub(super) fn used_by(&self, amount: f64, taken: Taken) -> f64 {
        match self.left * self.visit_part * self.ripe {
            allowed if self.fraction() > 0.0 => self.spent_by(amount, taken) / allowed,
            _ if amount > 0.0 => f64::INFINITY,
            _ => 0.0,
        }
    }

    /// By how much a cut lowers `left`.
    ///
    /// A party that took all it was allowed has spent a visit's part of the share, whatever the
    /// basket weighed, as long as that is within the limit. A basket over its limit spends so
    /// many visits as it has limits in it, whoever says that it was all or one in so many: what
    /// weighs more than one in N cannot have been it, if the crop is what it is believed to be.
    /// Where nothing was allowed, or less than all was taken, it is charged by weight. One in N of
    /// what is ripe is so much less of all that will ripen.
    ///
    /// One cut spends no more than a whole stand, for no more can have been there. What it holds
    /// beyond that says that the crop was believed too small, and where next to nothing is
    /// believed to stand (after a cut that took it all, or a survey that found nothing), every
    /// handful would be dozens of stands, and the patch would never open again.
    pub(super) fn spent_by(&self, amount: f64, taken: Taken) -> f64 {
        if amount <= 0.0 {
            return 0.0;
        }
        let reduction = if self.reduction() > 0.0 { self.reduction() } else { 1.0 };
        let by_weight = (amount / (self.slack * self.low * reduction)).min(WHOLE_STAND);
        match taken {
            Taken::All if self.holds(amount) => self.left * self.visit_part * self.ripe,
            Taken::OneIn(n) => {
                let by_count = (self.ripe / (f64::from(n) * reduction)).min(WHOLE_STAND);
                if self.holds(amount) { by_count } else { by_count.max(by_weight) }
            }
            Taken::All | Taken::ByWeight => by_weight,
        }
    }
}
