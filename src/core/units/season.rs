//! The gathering season: 1 September to 31 August, named `2026/27`.

use std::fmt;
use std::str::FromStr;

use jiff::ToSpan;
use jiff::civil::Date;

use super::Week;

const FIRST_MONTH: i8 = 9;

/// One gathering season, from 1 September of `first_year` to 31 August after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Season {
    first_year: i16,
}

/// A text that names no season; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a season; write it as two years that follow each other, like `2026/27`")]
pub struct SeasonError(String);

impl Season {
    /// The season in which that day lies.
    pub fn containing(date: Date) -> Self {
        let first_year = if date.month() >= FIRST_MONTH { date.year() } else { date.year() - 1 };
        Self { first_year }
    }

    /// 1 September.
    pub fn first_day(self) -> Date {
        Date::new(self.first_year, FIRST_MONTH, 1).unwrap_or(Date::MIN)
    }

    /// 31 August.
    pub fn last_day(self) -> Date {
        Date::new(self.first_year + 1, FIRST_MONTH - 1, 31).unwrap_or(Date::MAX)
    }

    /// The season before it.
    pub fn preceding(self) -> Self {
        Self { first_year: self.first_year.saturating_sub(1) }
    }

    /// The season after it.
    pub fn following(self) -> Self {
        Self { first_year: self.first_year.saturating_add(1) }
    }

    /// Whether that day lies in it.
    pub fn contains(self, date: Date) -> bool {
        self == Self::containing(date)
    }

    /// Every day of the season, in order.
    pub fn days(self) -> impl Iterator<Item = Date> {
        self.first_day().series(1.day()).take_while(move |&day| day <= self.last_day())
    }

    /// Every week with a day of the season, in order; the first and the last may lie partly
    /// outside it.
    pub fn weeks(self) -> impl Iterator<Item = Week> {
        let mondays = Week::containing(self.first_day()).first_day().series(7.days());
        mondays.take_while(move |&monday| monday <= self.last_day()).map(Week::containing)
    }

    /// The name in a form fit for a file: `2026-27`.
    pub fn file_name(self) -> String {
        self.to_string().replace('/', "-")
    }
}

impl fmt::Display for Season {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}/{:02}", self.first_year, (self.first_year + 1).rem_euclid(100))
    }
}

impl FromStr for Season {
    type Err = SeasonError;

    fn from_str(text: &str) -> Result<Self, SeasonError> {
        let unreadable = || SeasonError(text.to_owned());
        let (first, second) = text.trim().split_once('/').ok_or_else(unreadable)?;
        let first_year: i16 = first.parse().map_err(|_| unreadable())?;
        let season = Self { first_year };
        let plausible = first.len() == 4 && (1000..=9000).contains(&first_year);
        let follows = second == format!("{:02}", (first_year.saturating_add(1)).rem_euclid(100));
        if plausible && follows { Ok(season) } else { Err(unreadable()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_season_wraps_the_new_year() {
        let season: Season = "2026/27".parse().unwrap();
        assert_eq!(season.first_day(), date(2026, 9, 1));
        assert_eq!(season.last_day(), date(2027, 8, 31));
        assert_eq!(Season::containing(date(2026, 12, 31)), season);
        assert_eq!(Season::containing(date(2027, 1, 1)), season);
        assert_ne!(Season::containing(date(2027, 9, 1)), season);
        assert_eq!(season.days().count(), 365);
    }

    /// A year of 366 days that begins on a Sunday has days in 54 weeks.
    #[test]
    fn a_season_has_days_in_53_weeks_and_now_and_then_in_54() {
        for (season, weeks) in [("2026/27", 53), ("2025/26", 53), ("2019/20", 54)] {
            let season: Season = season.parse().unwrap();
            assert_eq!(season.weeks().count(), weeks, "{season}");
            let days = season.weeks().flat_map(Week::days).filter(|day| season.contains(*day));
            assert!(days.eq(season.days()));
        }
    }

    #[test]
    fn a_season_over_a_century_keeps_two_digits() {
        assert_eq!("2099/00".parse::<Season>().unwrap().to_string(), "2099/00");
    }

    #[test]
    fn years_that_do_not_follow_are_refused() {
        for bad in ["2026", "2026/28", "26/27", "2026/2027", "x/y", "32767/68"] {
            assert!(bad.parse::<Season>().is_err(), "`{bad}` was taken");
        }
    }
}
