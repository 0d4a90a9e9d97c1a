//! A span of days that comes round every year and may wrap the new year.

use std::fmt;
use std::str::FromStr;

use jiff::ToSpan;
use jiff::civil::Date;

/// A month and a day of it that every year has (29 February is not one).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MonthDay {
    month: i8,
    day: i8,
}

/// From one day of the year to another, both included; `11-15..03-20` wraps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Window {
    /// The first day.
    pub from: MonthDay,
    /// The last day; before `from` in the year where it wraps.
    pub to: MonthDay,
}

/// A text that is no window; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a span of days; write month and day, like `11-15..03-20`")]
pub struct WindowError(String);

impl MonthDay {
    /// `None` where no year has that day.
    pub fn new(month: i8, day: i8) -> Option<Self> {
        const A_COMMON_YEAR: i16 = 2027;
        Date::new(A_COMMON_YEAR, month, day).ok().map(|_| Self { month, day })
    }

    fn of(date: Date) -> Self {
        Self { month: date.month(), day: date.day() }
    }

    /// `None` for a year outside the calendar's range.
    pub fn in_year(self, year: i16) -> Option<Date> {
        Date::new(year, self.month, self.day).ok()
    }
}

impl Window {
    /// From one day to another, which may lie before it in the year.
    pub fn new(from: MonthDay, to: MonthDay) -> Self {
        Self { from, to }
    }

    /// 1 January to 31 December.
    pub fn all_year() -> Self {
        Self { from: MonthDay { month: 1, day: 1 }, to: MonthDay { month: 12, day: 31 } }
    }

    /// Whether it shuts no day.
    pub fn is_all_year(self) -> bool {
        self == Self::all_year()
    }

    /// Whether it goes on past 31 December.
    pub fn wraps_new_year(self) -> bool {
        self.from > self.to
    }

    /// Whether that day of its year lies in it, both ends included.
    pub fn contains(self, date: Date) -> bool {
        let day = MonthDay::of(date);
        if self.wraps_new_year() {
            day >= self.from || day <= self.to
        } else {
            self.from <= day && day <= self.to
        }
    }

    /// The first day of the window that is open on `date`, or else of the next one.
    pub fn opening(self, date: Date) -> Option<Date> {
        let mut openings = [date.year() - 1, date.year(), date.year() + 1]
            .into_iter()
            .filter_map(|year| self.from.in_year(year));
        if self.contains(date) {
            openings.rfind(|&day| day <= date)
        } else {
            openings.find(|&day| day > date)
        }
    }

    /// The last day of the window that is open on `date`, or else of the next one.
    pub fn closing(self, date: Date) -> Option<Date> {
        [date.year() - 1, date.year(), date.year() + 1]
            .into_iter()
            .filter_map(|year| self.to.in_year(year))
            .find(|&day| day >= date)
    }

    /// The first day of the crop year that `date` belongs to: the day after the last closing.
    pub fn crop_year_start(self, date: Date) -> Option<Date> {
        [date.year() - 1, date.year()]
            .into_iter()
            .filter_map(|year| self.to.in_year(year))
            .rfind(|&day| day < date)
            .and_then(|closing| closing.checked_add(1.day()).ok())
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:02}-{:02}", self.month, self.day)
    }
}

impl fmt::Display for Window {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}..{}", self.from, self.to)
    }
}

impl MonthDay {
    /// `1 Mar`.
    pub fn spoken(self) -> String {
        const MONTHS: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        format!("{} {}", self.day, MONTHS[(self.month - 1) as usize])
    }
}

impl Window {
    /// `1 Mar to 15 May`, or `all year`.
    pub fn spoken(self) -> String {
        if self.is_all_year() {
            "all year".to_owned()
        } else {
            format!("{} to {}", self.from.spoken(), self.to.spoken())
        }
    }
}

impl FromStr for MonthDay {
    type Err = WindowError;

    fn from_str(text: &str) -> Result<Self, WindowError> {
        let unreadable = || WindowError(text.to_owned());
        let (month, day) = text.trim().split_once('-').ok_or_else(unreadable)?;
        let month = month.parse().map_err(|_| unreadable())?;
        let day = day.parse().map_err(|_| unreadable())?;
        Self::new(month, day).ok_or_else(unreadable)
    }
}

impl FromStr for Window {
    type Err = WindowError;

    fn from_str(text: &str) -> Result<Self, WindowError> {
        let unreadable = || WindowError(text.to_owned());
        if text.trim() == "all year" {
            return Ok(Self::all_year());
        }
        let (from, to) = text.split_once("..").ok_or_else(unreadable)?;
        let parse = |part: &str| part.parse::<MonthDay>().map_err(|_| unreadable());
        Ok(Self::new(parse(from)?, parse(to)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_window_that_wraps_the_new_year_holds_both_of_its_ends() {
        let window: Window = "11-15..03-20".parse().unwrap();
        for (day, inside) in [
            (date(2026, 11, 14), false),
            (date(2026, 11, 15), true),
            (date(2026, 12, 31), true),
            (date(2027, 1, 1), true),
            (date(2027, 3, 20), true),
            (date(2027, 3, 21), false),
        ] {
            assert_eq!(window.contains(day), inside, "{day}");
        }
    }

    #[test]
    fn a_window_holds_its_first_day_and_its_last_and_all_year_is_told_as_that() {
        let window: Window = "03-01..05-15".parse().unwrap();
        let days = [(2, 28, false), (3, 1, true), (5, 15, true), (5, 16, false)];
        for (month, day, inside) in days {
            assert_eq!(window.contains(date(2027, month, day)), inside, "{day}.{month}.");
        }
        assert_eq!((window.is_all_year(), window.spoken().as_str()), (false, "1 Mar to 15 May"));
        assert_eq!(Window::all_year().spoken(), "all year");
    }

    #[test]
    fn the_opening_is_the_current_one_inside_and_the_next_one_outside() {
        let window: Window = "11-15..03-20".parse().unwrap();
        assert_eq!(window.opening(date(2027, 2, 1)), Some(date(2026, 11, 15)));
        assert_eq!(window.opening(date(2027, 5, 1)), Some(date(2027, 11, 15)));
        assert_eq!(window.closing(date(2026, 12, 1)), Some(date(2027, 3, 20)));
        assert_eq!(window.closing(date(2027, 5, 1)), Some(date(2028, 3, 20)));
    }

    #[test]
    fn a_crop_year_starts_the_day_after_the_window_closes() {
        let window: Window = "03-01..05-15".parse().unwrap();
        assert_eq!(window.crop_year_start(date(2027, 4, 1)), Some(date(2026, 5, 16)));
        assert_eq!(window.crop_year_start(date(2027, 5, 15)), Some(date(2026, 5, 16)));
        assert_eq!(window.crop_year_start(date(2027, 5, 16)), Some(date(2027, 5, 16)));
    }

    #[test]
    fn a_day_that_no_year_has_is_refused() {
        assert!("04-31..05-15".parse::<Window>().is_err());
        assert!("02-29..05-15".parse::<Window>().is_err());
        assert!("03-15".parse::<Window>().is_err());
    }
}
