//! Why a rule allows what it allows, in a phrase without its full stop.

mod agreed;
mod borne;

use std::collections::BTreeMap;

use crate::pressure::MeasuredOn;
use crate::rules::{Ceiling, Reason, Reduction, Shrinks, Verdict};
use crate::units::percent;

pub(super) use agreed::what_for;
pub(super) use borne::{how_much_in_short, how_much_is_there};

/// A reason in words.
pub(super) fn because(reason: &Reason) -> String {
    let untold = || match reason {
        Reason::Unlimited => "no rule limits it".to_owned(),
        _ => String::new(),
    };
    agreed::told(reason).or_else(|| borne::told(reason)).unwrap_or_else(untold)
}

/// Which rule decides and why, as a sentence.
pub(super) fn decides(ceiling: &Ceiling) -> String {
    let mut rule = ceiling.rule.chars();
    let first: String = rule.next().into_iter().flat_map(char::to_uppercase).collect();
    let reason = because(&ceiling.reason);
    // What people write as a reason may end with a full stop of its own.
    format!("{first}{} decides: {}.", rule.as_str(), reason.trim_end_matches('.'))
}

/// What most of these say: what shuts a walk's patches.
pub(super) fn mostly(reasons: &[Reason]) -> String {
    let mut counted: BTreeMap<String, usize> = BTreeMap::new();
    for reason in reasons {
        *counted.entry(because(reason)).or_default() += 1;
    }
    let most = counted.into_iter().rev().max_by_key(|(_, times)| *times);
    most.map_or(String::new(), |(reason, _)| reason)
}

/// Why the share is smaller.
pub(super) fn shrinks(reduction: &Reduction) -> String {
    match reduction.why {
        Shrinks::BelowUsual(standing) => {
            format!("{} of the surveyed crop stands, under 80 %", percent(standing))
        }
        Shrinks::LooksThinner(look) => {
            format!("to the same eyes the patch looks {} as thick as it did", percent(look))
        }
        Shrinks::FirstVisits => {
            "the first four visits take half, so that the book learns what full looks like"
                .to_owned()
        }
        Shrinks::WinterGuard => {
            "no growing months are given for this crop, so the share refills only while days \
             are long; an override of growth_by_month on the site or patch replaces the guard"
                .to_owned()
        }
    }
}

/// What a verdict says of a day gone by: `the patch was resting`, `there was no permission`.
pub(super) fn of_then(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Open => "the patch was open",
        Verdict::Resting => "the patch was resting",
        Verdict::Held => "the patch was held",
        Verdict::OutOfSeason => "the patch was out of season",
        Verdict::NotKnown => "what stood there was not known",
        Verdict::NoPermission => "there was no permission",
        Verdict::Closed => "the patch was closed",
    }
}

/// Where feet are counted, after "counted on".
pub(super) fn measured_on(ground: MeasuredOn) -> &'static str {
    match ground {
        MeasuredOn::AroundPlants => "8 m² around each plant",
        MeasuredOn::Margin => "a margin of 1 m along its length",
        MeasuredOn::Harvestable => "its harvestable ground",
    }
}
