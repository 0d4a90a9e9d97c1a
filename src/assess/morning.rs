//! What the rules would have said before anything was cut that day.

use jiff::civil::Date;

use super::Prepared;
use crate::regrowth::Course;
use crate::rules::{Case, Ruling, rule_on};

pub(super) fn morning_ruling(patch: &Prepared, day: Date, people: Option<u32>) -> Ruling {
    let history = patch.history.without_cuts_of(day);
    let site_cuts: Vec<(Date, f64)> =
        patch.site_cuts.iter().copied().filter(|(cut, _)| *cut < day).collect();
    let case = patch.case(day, people, None);
    let course = Course { history: &history, ..patch.course() };
    let state = course.state_on(day);
    rule_on(&Case {
        state,
        history: &history,
        site_cuts: &site_cuts,
        promises: &[],
        site_promises: &[],
        ..case
    })
}
