//! ISO 8601 weeks, Monday to Sunday.

use std::fmt;

use jiff::ToSpan;
use jiff::civil::{Date, ISOWeekDate, Weekday};

/// The ISO 8601 week that holds a given day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Week {
    monday: Date,
}

impl Week {
    /// The week in which that day lies.
    pub fn containing(date: Date) -> Self {
        let back = i64::from(date.weekday().to_monday_zero_offset());
        Self { monday: date.checked_sub(back.days()).unwrap_or(date) }
    }

    /// Its Monday.
    pub fn first_day(self) -> Date {
        self.monday
    }

    /// Its Sunday.
    pub fn last_day(self) -> Date {
        self.monday.checked_add(6.days()).unwrap_or(self.monday)
    }

    /// Its seven days, from Monday on.
    pub fn days(self) -> impl Iterator<Item = Date> {
        self.monday.series(1.day()).take(7)
    }
}

impl fmt::Display for Week {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let iso: ISOWeekDate = self.monday.iso_week_date();
        debug_assert_eq!(iso.weekday(), Weekday::Monday);
        write!(out, "{}-W{:02}", iso.year(), iso.week())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// ISO 8601 examples: 1 January 2027 is a Friday in week 53 of 2026.
    #[test]
    fn the_week_of_new_years_day_may_belong_to_the_old_year() {
        let week = Week::containing(date(2027, 1, 1));
        assert_eq!(week.to_string(), "2026-W53");
        assert_eq!(week.first_day(), date(2026, 12, 28));
        assert_eq!(week.last_day(), date(2027, 1, 3));
    }
}
