//! The three goals of a plan, one after the other, each with the proof of how far it is reached.

use good_lp::ResolutionError;

use super::effort::Effort;
use super::flow::Goal;
use super::pools::{Ground, SAME};
use super::search::{Found, Whole, may_meet, search};

/// Shares that lie no further apart are the same to every patch.
const SAME_SHARE: f64 = 1e-9;

/// How many times a span of shares is halved.
const HALVINGS: usize = 40;

/// How far a plan may be from the best possible one, goal by goal.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gap {
    /// What might still be met of the demands: shares of them, added up.
    pub met: f64,
    /// How far the highest share of a limit, for as much met, may lie over the least one and
    /// the errand's slack.
    pub share: f64,
    /// How much more walking there is, as a part of the least there might be for as much met up
    /// to the same share. A patch counts with its way from the start, or from the middle of all
    /// patches, in proportion to how much of it is taken.
    pub walking: f64,
}

impl Gap {
    /// Less than any unit or scale shows.
    pub const NONE: f64 = 1e-5;

    /// Of two plans that have no bearing on each other.
    #[must_use]
    pub fn together(self, other: Self) -> Self {
        Self {
            met: self.met + other.met,
            share: self.share.max(other.share),
            walking: self.walking.max(other.walking),
        }
    }

    /// Whether no plan could be better by as much as counts.
    pub fn is_none(&self) -> bool {
        self.met <= Self::NONE && self.share <= Self::NONE && self.walking <= Self::NONE
    }
}

/// The best plan that was found, and how much better one might be.
pub(super) fn best(ground: &Ground, slack: f64) -> Result<(Whole, Gap), ResolutionError> {
    let most = search(ground, 1.0, Goal::Met, &mut Effort::A_GOAL.clone())?;
    let full = most.best.ok_or(ResolutionError::Infeasible)?;
    let met = full.met;
    let even = least_share(ground, full)?;
    let share = (even.share + slack).min(1.0);
    let curves = ground.curves(share);
    let goal = Goal::Walking { met, share, curves: &curves };
    let Found { best: near, bound } = search(ground, share, goal, &mut Effort::WALKING.clone())?;
    let whole = near.unwrap_or(even.whole);
    let walking = if whole.walking > bound { whole.walking / bound - 1.0 } else { 0.0 };
    let gap = Gap {
        met: (most.bound - met).max(0.0),
        share: (even.share - even.no_less).max(0.0),
        walking: walking.max(0.0),
    };
    Ok((whole, gap))
}

/// A plan with a low share, and the share under which there is none that meets as much.
struct Even {
    whole: Whole,
    share: f64,
    no_less: f64,
}

fn least_share(ground: &Ground, full: Whole) -> Result<Even, ResolutionError> {
    let met = full.met;
    let mut effort = Effort::A_GOAL;
    let Span { low, high } = halved(0.0, 1.0, |share| {
        let may_meet = may_meet(ground, share, met, &mut effort)?;
        Ok((may_meet, effort))
    })?;
    let no_less = if high - low <= SAME_SHARE { high } else { low };
    let mut even = Even { whole: full, share: 1.0, no_less };
    // What the pools can give together, their sources mostly do.
    let mut effort = Effort::A_GOAL;
    let Span { high: share, .. } = halved(no_less, 1.0, |share| {
        let Found { best, bound } = search(ground, share, Goal::Met, &mut effort)?;
        let as_much = best.filter(|whole| whole.met >= met - ground.same_met());
        let is_enough = as_much.is_some();
        if let Some(whole) = as_much {
            even.whole = whole;
        } else if bound < met - SAME * ground.scale {
            even.no_less = even.no_less.max(ground.next_share(share));
        }
        Ok((is_enough, effort))
    })?;
    Ok(Even { share, ..even })
}

/// Something does not hold at the low end and does at the high one.
struct Span {
    low: f64,
    high: f64,
}

/// The span of shares in which something begins to hold that holds at all higher ones: so narrow
/// that its ends are the same, unless the effort that is left is spent sooner. All of it lies at
/// `from` where it holds there.
fn halved(
    from: f64,
    to: f64,
    mut holds: impl FnMut(f64) -> Result<(bool, Effort), ResolutionError>,
) -> Result<Span, ResolutionError> {
    if holds(from)?.0 {
        return Ok(Span { low: from, high: from });
    }
    let mut span = Span { low: from, high: to };
    for _ in 0..HALVINGS {
        if span.high - span.low <= SAME_SHARE {
            break;
        }
        let middle = span.low + (span.high - span.low) / 2.0;
        let (holds, effort) = holds(middle)?;
        if holds {
            span.high = middle;
        } else {
            span.low = middle;
        }
        if effort.is_spent() {
            break;
        }
    }
    Ok(span)
}
