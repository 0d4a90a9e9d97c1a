//! Days as people write them: in digits with the year first or last, or with the month in letters.

use jiff::civil::Date;

/// What stands first in `3/4/2027`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// `3/4/2027` is 3 April.
    DayFirst,
    /// `3/4/2027` is 4 March.
    MonthFirst,
}

/// A day as far as its cell alone tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Written {
    /// Whatever the order.
    Whole { year: i16, month: i8, day: i8, is_short: bool },
    /// `3/4/2027`.
    TwoWays { first: i8, second: i8, year: i16, is_short: bool },
    /// `14 Nov`.
    NoYear { month: i8, day: i8 },
}

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const WEEKDAYS: [&str; 7] =
    ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
/// The shortest beginning by which a month or a weekday is known.
const SHORTEST: usize = 3;
/// Of a year in two digits, which is of this century.
const CENTURY: i16 = 2000;

/// `None` for what is no day.
pub(super) fn written(text: &str) -> Option<Written> {
    let text = without_time(text);
    let parts = parts(text)?;
    match parts.as_slice() {
        [Part::Number(year, 4), Part::Number(month, ..=2), Part::Number(day, ..=2)] => {
            Some(Written::Whole {
                year: *year,
                month: small(*month)?,
                day: small(*day)?,
                is_short: false,
            })
        }
        [
            Part::Number(first, ..=2),
            Part::Number(second, ..=2),
            Part::Number(year, digits @ (2 | 4)),
        ] => {
            let is_short = *digits == 2;
            let year = if is_short { CENTURY + year } else { *year };
            let (first, second) = (small(*first)?, small(*second)?);
            Some(Written::TwoWays { first, second, year, is_short })
        }
        [Part::Number(day, ..=2), Part::Month(month), Part::Number(year, digits @ (2 | 4))]
        | [Part::Month(month), Part::Number(day, ..=2), Part::Number(year, digits @ (2 | 4))] => {
            let is_short = *digits == 2;
            let year = if is_short { CENTURY + year } else { *year };
            Some(Written::Whole { year, month: *month, day: small(*day)?, is_short })
        }
        [Part::Number(year, 4), Part::Month(month), Part::Number(day, ..=2)] => {
            Some(Written::Whole { year: *year, month: *month, day: small(*day)?, is_short: false })
        }
        [Part::Number(day, ..=2), Part::Month(month)]
        | [Part::Month(month), Part::Number(day, ..=2)] => {
            Some(Written::NoYear { month: *month, day: small(*day)? })
        }
        _ => None,
    }
}

enum Part {
    /// With how many digits it is written.
    Number(i16, usize),
    Month(i8),
}

fn small(number: i16) -> Option<i8> {
    i8::try_from(number).ok()
}

/// Numbers and months of a text in which nothing else stands but a weekday.
fn parts(text: &str) -> Option<Vec<Part>> {
    let words =
        text.split(|c: char| c.is_whitespace() || matches!(c, '/' | '.' | '-' | ',' | '\''));
    let mut parts = Vec::new();
    for word in words.filter(|word| !word.is_empty()) {
        let digits = word.bytes().take_while(u8::is_ascii_digit).count();
        let (number, rest) = word.split_at(digits);
        let rest = rest.to_lowercase();
        match (digits, rest.as_str()) {
            (1..=4, "" | "st" | "nd" | "rd" | "th") => {
                parts.push(Part::Number(number.parse().ok()?, digits));
            }
            (0, "of" | "the") => {}
            (0, word) => match begun(&MONTHS, word) {
                Some(month) => parts.push(Part::Month(month as i8 + 1)),
                None => _ = begun(&WEEKDAYS, word)?,
            },
            _ => return None,
        }
        if parts.len() > 3 {
            return None;
        }
    }
    Some(parts)
}

fn begun(names: &[&str], word: &str) -> Option<usize> {
    let word = if word == "sept" { "sep" } else { word };
    names.iter().position(|name| word.len() >= SHORTEST && name.starts_with(word))
}

/// What stands before the time of day: `2026-11-14T09:30:00Z`, `14/11/2026 9:30`.
fn without_time(text: &str) -> &str {
    let text = text.trim();
    let Some(colon) = text.find(':') else { return text };
    let before = &text[..colon];
    match before.rfind([' ', 'T']) {
        Some(at) if before[at + 1..].bytes().all(|byte| byte.is_ascii_digit()) => {
            before[..at].trim_end_matches([',', ' '])
        }
        _ => text,
    }
}

/// What the days of a column show; `Err` has two that contradict each other.
#[derive(Clone, Debug, Default)]
pub(super) struct Evidence {
    /// One that may be read in two ways.
    any: Option<String>,
    day_first: Option<String>,
    month_first: Option<String>,
    /// A day without a year, and one with two digits for it.
    pub no_year: Option<String>,
    pub short: Option<String>,
}

/// What a column's days show together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    /// None may be read in two ways.
    Nothing,
    Order(Order),
    TwoWays(String),
    /// One has the day first, the other the month.
    Both(String, String),
}

impl Evidence {
    pub fn add(&mut self, cell: &str) {
        let note = |slot: &mut Option<String>| {
            slot.get_or_insert_with(|| cell.to_owned());
        };
        match written(cell) {
            Some(Written::TwoWays { first, second, is_short, .. }) => {
                let is_date =
                    |day: i8, month: i8| (1..=31).contains(&day) && (1..=12).contains(&month);
                match (is_date(first, second), is_date(second, first)) {
                    (true, true) => note(&mut self.any),
                    (true, false) => note(&mut self.day_first),
                    (false, true) => note(&mut self.month_first),
                    // No calendar has it, whichever comes first: it tells nothing of the others.
                    (false, false) => return,
                }
                if is_short {
                    note(&mut self.short);
                }
            }
            Some(Written::Whole { is_short: true, .. }) => note(&mut self.short),
            Some(Written::NoYear { .. }) => note(&mut self.no_year),
            _ => {}
        }
    }

    pub fn shows(&self) -> Shown {
        match (&self.any, &self.day_first, &self.month_first) {
            (_, Some(one), Some(other)) => Shown::Both(one.clone(), other.clone()),
            (_, Some(_), None) => Shown::Order(Order::DayFirst),
            (_, None, Some(_)) => Shown::Order(Order::MonthFirst),
            (Some(cell), None, None) => Shown::TwoWays(cell.clone()),
            (None, None, None) => Shown::Nothing,
        }
    }
}

/// The day with its year first; `None` for what is no day, or lacks what nobody told.
pub(super) fn year_first(
    text: &str,
    order: Option<Order>,
    told_year: Option<i16>,
) -> Option<String> {
    let (year, month, day) = match written(text)? {
        Written::Whole { year, month, day, .. } => (year, month, day),
        Written::NoYear { month, day } => (told_year?, month, day),
        Written::TwoWays { first, second, year, .. } => match order? {
            Order::DayFirst => (year, second, first),
            Order::MonthFirst => (year, first, second),
        },
    };
    // Of a day that no calendar has, whoever reads the text says so.
    Date::new(year, month, day).ok().map(|date| date.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_in_digits_and_in_words_are_read() {
        for (text, day) in [
            ("2026-11-14", "2026-11-14"),
            ("2026/11/14", "2026-11-14"),
            ("2026-11-14T09:30:00Z", "2026-11-14"),
            ("14 Nov 2026", "2026-11-14"),
            ("14. November 2026", "2026-11-14"),
            ("November 14th, 2026", "2026-11-14"),
            ("Sat, 14th of Nov 2026", "2026-11-14"),
            ("14-Nov-26", "2026-11-14"),
            ("3 Sept 2026", "2026-09-03"),
            ("14/11/2026 9:30", "2026-11-14"),
            ("14.11.26", "2026-11-14"),
            ("Nov 14", "2025-11-14"),
        ] {
            let read = year_first(text, Some(Order::DayFirst), Some(2025));
            assert_eq!(read.as_deref(), Some(day), "{text}");
        }
        for none in
            ["", "soon", "14", "31/4/2026", "1/2/3/2026", "2026-11", "14 Nov 2026 or so", "9:30"]
        {
            assert_eq!(year_first(none, Some(Order::DayFirst), Some(2025)), None, "{none}");
        }
    }

    #[test]
    fn the_order_is_told_by_a_day_that_can_be_read_in_one_way_only() {
        let shows = |cells: &[&str]| {
            let mut evidence = Evidence::default();
            cells.iter().for_each(|cell| evidence.add(cell));
            evidence.shows()
        };
        assert_eq!(shows(&["3/4/2026", "14/3/2026"]), Shown::Order(Order::DayFirst));
        assert_eq!(shows(&["3/14/2026"]), Shown::Order(Order::MonthFirst));
        assert_eq!(shows(&["3/4/2026"]), Shown::TwoWays("3/4/2026".into()));
        assert_eq!(shows(&["14 Nov 2026", "x"]), Shown::Nothing);
        assert!(matches!(shows(&["14/3/2026", "3/14/2026"]), Shown::Both(..)));
        assert_eq!(shows(&["14/3/2026", "32/13/2026"]), Shown::Order(Order::DayFirst));
        assert_eq!(shows(&["32/13/2026"]), Shown::Nothing);
    }
}
