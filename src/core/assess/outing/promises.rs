//! What a walk asks to have set aside.

use super::errand::Outing;
use super::planned::{WalkPlan, plan_outing};
use super::quota::Quota;
use super::shares::{parties, shares};
use super::shortage::Lack;
use crate::assess::Prepared;
use crate::catalogue::Catalogue;
use crate::records::{Hold, Walk};
use crate::units::Amount;
use crate::walk::PlanError;

/// The holds of a walk, with what falls short of its wants.
#[derive(Clone, Debug)]
pub struct Promises {
    /// In walking order, one a patch.
    pub holds: Vec<Hold>,
    /// What cannot be had.
    pub short: Vec<Lack>,
}

/// What a walk may have set aside, planned anew, whatever was set aside for it before.
///
/// # Errors
/// A plan that the solver gives up.
pub fn promises(
    walk: &Walk,
    prepared: &[Prepared],
    catalogue: &Catalogue,
) -> Result<Promises, PlanError> {
    let plan = plan_outing(&Outing::of(walk), prepared, catalogue)?;
    Ok(Promises { holds: holds(walk, &plan), short: plan.lacks() })
}

/// A plan as what a walk asks for, with how many of its people cut where.
pub(super) fn holds(walk: &Walk, plan: &WalkPlan) -> Vec<Hold> {
    let stops: Vec<Quota> = plan.stops.iter().map(Quota::planned).collect();
    let parties = parties(walk);
    let shares = shares(&stops, &parties, walk.seed);
    let people = |stop: usize| {
        let there = shares.iter().filter(|share| share.stop == stop);
        there.map(|share| parties[share.party].people()).sum::<u32>()
    };
    let hold = |(n, stop): (usize, &Quota)| Hold {
        patch: stop.found.patch.clone(),
        walk: walk.name.clone(),
        day: walk.day,
        amount: Amount { value: stop.amount, measure: stop.found.crop.measure },
        taken: stop.taken,
        people: Some(people(n)).filter(|people| *people > 0),
    };
    stops.iter().enumerate().map(hold).collect()
}
