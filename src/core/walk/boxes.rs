//! Boxes promised for a month, gathered week by week.

use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

use super::packing::boxes_by;
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

/// How much is wanted in the week after those whose deliveries are given: what the boxes that are
/// packed by its end hold, `each` of it, less what was delivered. What fell short is so carried
/// forward, and no more is wanted than is missing in the whole month.
///
/// `weeks` is how many weeks the boxes are spread over; in the last one, and after it, all that
/// is missing is wanted.
pub fn wanted_next(each: u64, boxes: u32, weeks: usize, delivered: &[u64]) -> u64 {
    let by_now = boxes_by(boxes, weeks, delivered.len());
    let had = delivered.iter().fold(0, |sum: u64, units| sum.saturating_add(*units));
    month_demand(each, by_now).saturating_sub(had)
}
