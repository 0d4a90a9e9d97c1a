//! Every patch on each of some days to come, in full.

use jiff::ToSpan;
use jiff::civil::Date;
use rayon::prelude::*;

use super::assessment::{Assessment, assess_case_in_brief};
use super::prepared::Prepared;
use crate::rules::Case;

/// One patch on each of the days, in their order.
#[derive(Clone, Debug)]
pub struct PatchComing {
    /// One answer a day.
    pub days: Vec<Assessment>,
}

/// `count` days in a row, the first among them; fewer at the end of the calendar.
pub fn days_from(first: Date, count: u16) -> Vec<Date> {
    (0..i64::from(count)).filter_map(|n| first.checked_add(n.days()).ok()).collect()
}

/// What each patch that is one on the first of the days allows on all of them, if nothing happens
/// till then but what is promised.
pub fn coming(prepared: &[&Prepared], days: &[Date]) -> Vec<PatchComing> {
    let Some(first) = days.first() else { return Vec::new() };
    let kept = prepared.par_iter().filter(|patch| patch.is_kept_on(*first));
    kept.map(|patch| {
        let case: Case = patch.case(*first, None, None);
        let days = days.iter().map(|day| assess_case_in_brief(patch, &case.on(*day)));
        PatchComing { days: days.collect() }
    })
    .collect()
}
