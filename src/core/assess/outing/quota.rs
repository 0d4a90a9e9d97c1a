//! What a recorded walk may take on each patch: what is set aside for it, or else what its
//! plan comes to.

use geo::Point;

use super::errand::{Outing, assess_in_turns};
use super::planned::{PlannedStop, WalkPlan, plan_outing};
use super::shortage::Lack;
use crate::assess::{Assessment, Prepared};
use crate::catalogue::Catalogue;
use crate::records::{Hold, Taken, Walk};
use crate::regrowth::Count;
use crate::rules::{Ceiling, HOLDS, Reason, UNLIMITED};
use crate::units::Metres;
use crate::walk::{PlanError, RoundingUnit};

/// The quota of a walk on one patch; amounts in the measure of its crop.
#[derive(Clone, Debug)]
pub struct Quota {
    /// What there is to say of it that day.
    pub found: Assessment,
    /// The most that the whole walk may take here.
    pub amount: f64,
    /// Count off one in this many of what is seen.
    pub one_in: Option<u32>,
    /// What taking it spends of the share.
    pub taken: Taken,
    /// What set the limit, without its full stop.
    pub why: Reason,
}

/// The quotas of a walk.
#[derive(Clone, Debug)]
pub struct Quotas {
    /// In walking order.
    pub stops: Vec<Quota>,
    /// In a straight line from stop to stop.
    pub length: Metres,
    /// Set aside in the book; else only what would be allowed.
    pub is_held: bool,
    /// What cannot be had.
    pub short: Vec<Lack>,
}

/// The quotas of a walk over patches that were prepared for its day.
///
/// # Errors
/// A plan that the solver gives up.
pub fn quotas(
    walk: &Walk,
    prepared: &[Prepared],
    catalogue: &Catalogue,
    start: Option<Point>,
) -> Result<Quotas, PlanError> {
    let outing = Outing { start, ..Outing::of(walk) };
    let held = held(walk, prepared);
    if held.is_empty() {
        return Ok(Quotas::planned(plan_outing(&outing, prepared, catalogue)?));
    }
    let short = held.iter().filter_map(|(hold, stop)| less_than_held(hold, stop)).collect();
    let (stops, length) = outing.in_order(held.iter().map(|(_, stop)| stop.clone()).collect());
    let stops = stops.iter().filter(|stop| stop.quota > 0.0);
    let stops = stops.map(|stop| Quota::held(stop, &held)).collect();
    Ok(Quotas { stops, length, is_held: true, short })
}

/// What was promised to a walk that is over, whatever the rules say of its day by now.
///
/// # Errors
/// A plan that the solver gives up, where nothing was set aside.
pub(super) fn quotas_as_promised(
    walk: &Walk,
    prepared: &[Prepared],
    catalogue: &Catalogue,
) -> Result<Vec<Quota>, PlanError> {
    let outing = Outing::of(walk);
    let held = held(walk, prepared);
    if held.is_empty() {
        let plan = plan_outing(&outing, prepared, catalogue)?;
        return Ok(plan.stops.iter().map(Quota::planned).collect());
    }
    let whole = |(hold, stop): &(&Hold, PlannedStop)| PlannedStop {
        quota: hold.amount.value,
        ..stop.clone()
    };
    let (stops, _) = outing.in_order(held.iter().map(whole).collect());
    Ok(stops.iter().map(|stop| Quota::held(stop, &held)).collect())
}

/// What is set aside for a walk, and as much of it as the rules still allow.
fn held<'a>(walk: &Walk, prepared: &'a [Prepared]) -> Vec<(&'a Hold, PlannedStop)> {
    let of_walk = |patch: &'a Prepared| {
        let mut holds = patch.facts.holds.iter().map(|fact| &fact.record);
        let hold = holds.find(|hold| hold.walk == walk.name)?;
        let found = assess_in_turns(patch, walk.day, walk.people().max(1), walk.purpose());
        let limit = found.limit_beside_promises().and_then(|ceiling| ceiling.most);
        let allowed = limit.unwrap_or(f64::INFINITY);
        let quota = hold.amount.value.min(allowed);
        Some((hold, PlannedStop { quota, found, leg: Metres(0.0), off_route: None }))
    };
    prepared.iter().filter_map(of_walk).collect()
}

fn less_than_held(hold: &Hold, stop: &PlannedStop) -> Option<Lack> {
    (stop.quota < hold.amount.value).then(|| Lack::LessThanHeld {
        patch: hold.patch.clone(),
        crop: stop.found.crop.clone(),
        held: hold.amount.value,
        allowed: stop.quota,
        why: stop.found.why_beside_promises().clone(),
    })
}

impl Quotas {
    fn planned(plan: WalkPlan) -> Self {
        Self {
            short: plan.lacks(),
            stops: plan.stops.iter().map(Quota::planned).collect(),
            length: plan.length,
            is_held: false,
        }
    }
}

impl Quota {
    pub(super) fn planned(stop: &PlannedStop) -> Self {
        let found = &stop.found;
        Self {
            amount: stop.quota,
            one_in: found.one_in_for(stop.quota),
            taken: found.taken_by(stop.quota),
            why: found.ruling.why().clone(),
            found: found.clone(),
        }
    }

    fn held(stop: &PlannedStop, held: &[(&Hold, PlannedStop)]) -> Self {
        let planned = Self::planned(stop);
        let hold = held.iter().find(|(hold, _)| hold.patch == stop.found.patch);
        let why = stop.found.why_beside_promises();
        match hold {
            Some((hold, _)) if stop.quota >= hold.amount.value => Self {
                one_in: match hold.taken {
                    Taken::ByWeight => planned.one_in,
                    taken => stop.found.count_of(taken),
                },
                taken: hold.taken,
                why: why.clone(),
                ..planned
            },
            _ => Self { why: why.clone(), ..planned },
        }
    }
}

impl Assessment {
    /// What decides but for promises.
    fn why_beside_promises(&self) -> &Reason {
        self.limit_beside_promises().map_or(&UNLIMITED, |ceiling| &ceiling.reason)
    }

    /// The lowest ceiling but for what is promised to others, who were promised no more than
    /// left this walk its own.
    fn limit_beside_promises(&self) -> Option<&Ceiling> {
        let others = self.ruling.ceilings.iter().filter(|ceiling| ceiling.rule != HOLDS);
        let limits = others.filter_map(|ceiling| Some((ceiling.most?, ceiling)));
        limits.min_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, ceiling)| ceiling)
    }

    /// What is counted off by a walk whose promise spends so much.
    fn count_of(&self, taken: Taken) -> Option<u32> {
        match taken {
            Taken::OneIn(n) => Count::from(n).one_in(),
            Taken::All => {
                self.share.and_then(|share| share.one_in()).filter(|_| self.crop.countable)
            }
            Taken::ByWeight => None,
        }
    }

    /// One in how many of what is seen comes to `take`; `None` where nobody can count it.
    pub fn one_in_for(&self, take: f64) -> Option<u32> {
        let strictest = self.ruling.one_in?;
        if self.is_all(take) {
            return Some(strictest);
        }
        let share = self.share?;
        let part = take / share.most();
        let count = Count::of(share.fraction() * part.min(1.0)).filter(|_| part.is_finite());
        count?.max(Count::OneIn(strictest)).one_in()
    }

    /// What a walk that takes so much spends of the share: what every visit does that takes all
    /// that is allowed, or else its count where it counts.
    pub fn taken_by(&self, take: f64) -> Taken {
        match self.one_in_for(take) {
            _ if self.is_all(take) => self.ruling.all_taken(),
            Some(n) => Taken::OneIn(n),
            None => Taken::ByWeight,
        }
    }

    /// All that is allowed, but for rounding.
    fn is_all(&self, take: f64) -> bool {
        let unit = RoundingUnit::of(self.crop.measure).size() as f64;
        self.ruling.most.is_some_and(|most| take + unit > most)
    }
}
