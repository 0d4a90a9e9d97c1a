//! What cannot be met, the first day on which it could be, and what might do instead.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::errand::{Choice, Choices, Outing, case_in_turns};
use crate::assess::Opening;
use crate::records::{Crop, PatchName, SiteName, Want};
use crate::rules::{Case, Reason, room_beside_promises, rule_on};
use crate::units::Amount;
use crate::walk::{Plan, Substitute, Wanted};

/// How far ahead a day is looked for on which there is enough: past it, a survey is out of date.
const WEEKS_AHEAD: i64 = 56;
const DAYS_A_WEEK: i64 = 7;

/// What is missing of a want.
#[derive(Clone, Debug)]
pub struct Shortage {
    /// What was wanted.
    pub want: Want,
    /// How much of it.
    pub missing: Amount,
    /// What shuts each of the patches that have it, where none is open.
    pub why_shut: Option<Vec<Reason>>,
    /// When it could be had.
    pub first: First,
    /// What else of its role there is; named, never taken.
    pub substitutes: Vec<Substitute>,
}

/// What a walk cannot have as it was wanted or promised.
#[derive(Clone, Debug)]
pub enum Lack {
    /// Less of a want than was asked for.
    Want(Box<Shortage>),
    /// Nothing limits the patch, and nobody said how much: nothing of it is shared out.
    Unlimited(PatchName),
    /// Nothing was asked for, and no patch is open: what shuts each of them.
    AllShut(Vec<Reason>),
    /// The rules allow less by now than was set aside.
    LessThanHeld {
        /// Where.
        patch: PatchName,
        /// Of what.
        crop: Arc<Crop>,
        /// What was set aside, in the crop's measure.
        held: f64,
        /// What may go by now, in the crop's measure.
        allowed: f64,
        /// What sets that limit.
        why: Reason,
    },
}

/// When the want could be met.
#[derive(Clone, Debug, PartialEq)]
pub enum First {
    /// The patches together allow that much on this day.
    Enough(Date),
    /// A patch that is shut now opens, which may not be enough.
    Opens(PatchName, Opening),
    /// Nothing but a survey, a permission or another site changes it.
    NotKnown,
    /// The patches that have it lie off the route, or too far from the start.
    OutOfReach,
    /// No patch of the walk has the crop, in this measure.
    NoPatch,
}

pub(super) fn shortage(
    n: usize,
    outing: &Outing,
    choices: &Choices,
    plan: &Plan,
) -> Option<Shortage> {
    let missing = *plan.shortfalls.get(n).filter(|missing| **missing > 0)?;
    let want = &outing.wants[n];
    let measure = want.amount.measure;
    let serving = serving(want, &choices.demands[n].wanted, choices);
    let within_reach = |patch: &&Choice| patch.found.centre.is_some_and(|at| outing.reaches(at));
    let in_reach: Vec<&Choice> = serving.iter().copied().filter(within_reach).collect();
    let first = match (serving.is_empty(), in_reach.is_empty()) {
        (true, _) => First::NoPatch,
        (false, true) => First::OutOfReach,
        _ => first(want, &in_reach, outing),
    };
    let substitutes = plan.substitutes.iter().filter(|other| other.demand == n).cloned();
    Some(Shortage {
        want: want.clone(),
        missing: Amount { value: missing as f64, measure },
        first,
        why_shut: why_shut(&in_reach),
        substitutes: substitutes.collect(),
    })
}

/// The patches, open or shut, that have what is wanted.
fn serving<'c, 'p, 'a>(
    want: &Want,
    wanted: &Wanted,
    choices: &'c Choices<'p, 'a>,
) -> Vec<&'c Choice<'p, 'a>> {
    let serves = |patch: &&Choice| {
        let crop = &patch.found.crop;
        let named = match wanted {
            Wanted::Crop { crop: name, .. } => *name == crop.name,
            Wanted::Role(role) => *role == crop.kitchen_role,
        };
        named && crop.measure == want.amount.measure
    };
    choices.patches.iter().filter(serves).collect()
}

/// What shuts each of these patches; `None` where one of them is open, or where there are none.
pub(super) fn why_shut(patches: &[&Choice]) -> Option<Vec<Reason>> {
    let are_shut = !patches.is_empty() && !patches.iter().any(|patch| patch.found.is_open());
    let reasons = patches.iter().map(|patch| patch.found.ruling.why().clone());
    are_shut.then(|| reasons.collect())
}

fn first(want: &Want, patches: &[&Choice], outing: &Outing) -> First {
    if let Some(day) = first_day_with(want.amount.value, patches, outing) {
        return First::Enough(day);
    }
    let openings = patches.iter().filter_map(|patch| Some((patch, patch.found.opening?)));
    match openings.min_by_key(|(_, opening)| opening.day) {
        Some((patch, opening)) => First::Opens(patch.found.patch.clone(), opening),
        None => First::NotKnown,
    }
}

/// The first later day on which the patches together allow so much, each by its own limits.
fn first_day_with(amount: f64, patches: &[&Choice], outing: &Outing) -> Option<Date> {
    let cases: Vec<_> = patches
        .iter()
        .map(|patch| case_in_turns(patch.prepared, outing.day, outing.people, outing.purpose))
        .collect();
    let allow = |day: Date| allowed_together(&cases, day);
    let ahead = |days: i64| outing.day.checked_add(days.days()).ok();
    let is_enough = |days: i64| ahead(days).is_some_and(|day| allow(day) >= amount);
    let week = (1..=WEEKS_AHEAD).find(|weeks| is_enough(weeks * DAYS_A_WEEK))?;
    let last = week * DAYS_A_WEEK;
    (last - DAYS_A_WEEK + 1..=last).find(|days| is_enough(*days)).and_then(ahead)
}

/// What patches allow in one day: on each site no more of a crop than its permission leaves.
fn allowed_together(cases: &[Case], day: Date) -> f64 {
    let mut by_site: BTreeMap<(&SiteName, &str), (f64, f64)> = BTreeMap::new();
    for case in cases {
        let later = case.on(day);
        let most = rule_on(&later).most.unwrap_or(f64::INFINITY);
        let key = (case.patch.name.site(), &*case.crop.name);
        let (sum, room) = by_site.entry(key).or_default();
        *sum += most;
        *room = room.max(room_beside_promises(&later));
    }
    by_site.values().map(|(sum, room)| sum.min(*room)).sum()
}
