//! What the rules would have said before anything was cut that day.

use super::Prepared;
use crate::records::{Cut, Fact};
use crate::regrowth::Course;
use crate::rules::{Case, Ruling, rule_on};

/// For these cuts of one day and patch, by all who came.
pub(super) fn morning_ruling(patch: &Prepared, cuts: &[&Fact<Cut>]) -> Ruling {
    let day = cuts[0].happened_on;
    let history = patch.history.without_cuts_of(day);
    let site_cuts: Vec<_> = patch.site_cuts.iter().copied().filter(|(cut, _)| *cut < day).collect();
    let case = patch.case(day, people(cuts), None);
    let course = Course { history: &history, ..patch.course() };
    let state = course.state_on(day);
    rule_on(&Case {
        state,
        history: &history,
        site_cuts: &site_cuts,
        promises: &[],
        site_promises: &[],
        // A walk spreads its parties over its patches.
        in_turns: cuts.iter().any(|cut| cut.record.walk.is_some()),
        ..case
    })
}

/// How many people cut, as far as anyone wrote it down.
pub(super) fn people(cuts: &[&Fact<Cut>]) -> Option<u32> {
    let known = cuts.iter().filter_map(|cut| cut.record.people);
    known.reduce(u32::saturating_add)
}
