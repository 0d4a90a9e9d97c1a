//! Boxes promised for a month, gathered week by week.

use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

use crate::units::Week;

/// The ISO weeks of the month that holds a day: those whose Thursday is in it, so that every
/// week is in one month, as ISO 8601 puts it into one year.
pub fn weeks_of_month(day: Date) -> Vec<Week> {
    let days = day.first_of_month().series(1.day()).take_while(|d| d.month() == day.month());
    days.filter(|day| day.weekday() == Weekday::Thursday).map(Week::containing).collect()
}

/// What all boxes of a month hold, in the unit of `each`.
pub fn month_demand(each: u64, boxes: u32) -> u64 {
    each.saturating_mul(u64::from(boxes))
}

/// How much of a month's demand is wanted in the week after those whose deliveries are given:
/// the even part for all weeks so far, rounded up, less what was delivered. What fell short is
/// so carried forward, and no more is wanted than is missing in the whole month.
///
/// `weeks` is how many weeks the demand is spread over; in the last one, and after it, all that
/// is missing is wanted.
pub fn wanted_next(demand: u64, weeks: usize, delivered: &[u64]) -> u64 {
    let (so_far, weeks) = (delivered.len() + 1, weeks.max(1));
    let even = (u128::from(demand) * so_far.min(weeks) as u128).div_ceil(weeks as u128);
    let had: u128 = delivered.iter().map(|&units| u128::from(units)).sum();
    u64::try_from(even.saturating_sub(had)).unwrap_or(demand)
}
