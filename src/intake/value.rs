//! Single values: a day, a mass, a number, yes or no.

use std::ops::RangeInclusive;
use std::sync::Arc;

use jiff::civil::Date;

use super::problem::{Finding, quoted};
use crate::records::{FactId, Taken};
use crate::units::comma_meant;

/// The most that any one mass can sensibly be, in grams (10 tonnes).
const MOST_GRAMS: f64 = 1e7;
/// The most pieces that anyone counts.
const MOST_PIECES: f64 = 1e6;
/// The years in which anything can have happened.
pub const YEARS: RangeInclusive<i16> = 1900..=2199;

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day written `2027-03-14`.
pub(super) fn day(text: &str) -> Result<Date, Finding> {
    let unreadable = || Finding::from(format!("{} is not a day", quoted(text)));
    let &[y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = text.as_bytes() else {
        return Err(unreadable());
    };
    let number = |digits: &[u8]| {
        digits.iter().try_fold(0_i16, |sum, digit| {
            digit.is_ascii_digit().then(|| sum * 10 + i16::from(digit - b'0'))
        })
    };
    let year = number(&[y1, y2, y3, y4]).ok_or_else(unreadable)?;
    let month = number(&[m1, m2]).ok_or_else(unreadable)? as i8;
    let day = number(&[d1, d2]).ok_or_else(unreadable)? as i8;
    if !YEARS.contains(&year) {
        let years = format!("a year from {} to {}", YEARS.start(), YEARS.end());
        return Err(Finding::new(format!("{} is too far off", quoted(text)), years));
    }
    Date::new(year, month, day).map_err(|_| no_such_day(text, year, month))
}

fn no_such_day(text: &str, year: i16, month: i8) -> Finding {
    let Ok(first) = Date::new(year, month, 1) else {
        return format!("{} is not a day: there are twelve months", quoted(text)).into();
    };
    let name = MONTHS[usize::from(first.month().unsigned_abs()) - 1];
    let days = first.days_in_month();
    format!("{} is not a day: {name} {year} has {days} days", quoted(text)).into()
}

/// Any finite number; a comma in it gets its own sentence.
pub(super) fn number(text: &str) -> Result<f64, Finding> {
    if let Some(meant) = comma_meant(text) {
        return Err(Finding::new(
            format!("{} has a decimal comma", quoted(text)),
            format!("a decimal point, like {meant}"),
        ));
    }
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("{} is not a number", quoted(text)).into()),
    }
}

/// A number within bounds, called `what` where it is not.
pub(super) fn number_within(
    text: &str,
    bounds: RangeInclusive<f64>,
    what: &str,
) -> Result<f64, Finding> {
    let value = number(text)?;
    if bounds.contains(&value) {
        Ok(value)
    } else if value > *bounds.end() {
        let most = bounds.end();
        Err(Finding::new(
            format!("{} is too much for {what}", quoted(text)),
            format!("{most} at most"),
        ))
    } else {
        Err(format!("{} is not {what}", quoted(text)).into())
    }
}

/// More than 0, at most `most`.
pub(super) fn positive(text: &str, most: f64, what: &str) -> Result<f64, Finding> {
    number_within(text, f64::MIN_POSITIVE..=most, what)
}

/// Grams.
pub(super) fn mass(text: &str) -> Result<f64, Finding> {
    number_within(text, 0.0..=MOST_GRAMS, "a mass")
}

/// A whole number of pieces.
pub(super) fn pieces(text: &str) -> Result<f64, Finding> {
    let value = number_within(text, 0.0..=MOST_PIECES, "a count")?;
    if value.fract() == 0.0 {
        Ok(value)
    } else {
        Err(format!("{} is not a whole number of pieces", quoted(text)).into())
    }
}

/// A whole number from 1 to `most`.
pub(super) fn whole(text: &str, most: u32) -> Result<u32, Finding> {
    number(text)?;
    match text.parse::<u32>() {
        Ok(value) if (1..=most).contains(&value) => Ok(value),
        _ => Err(Finding::new(
            format!("{} will not do", quoted(text)),
            format!("a whole number from 1 to {most}"),
        )),
    }
}

/// The id of a fact, in full.
pub(super) fn fact(text: &str) -> Result<FactId, Finding> {
    text.parse().map_err(|_| {
        Finding::new(
            format!("{} is not the id of a fact", quoted(text)),
            "a UUID of 32 digits from 0 to f, as `export` writes it; empty for something new",
        )
    })
}

pub(super) fn taken(text: &str) -> Result<Taken, String> {
    text.to_ascii_lowercase()
        .parse()
        .map_err(|_| format!("`{text}` does not say how much of the share was used"))
}

pub(super) fn yes_or_no(text: &str) -> Result<bool, Finding> {
    match text.to_ascii_lowercase().as_str() {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(format!("{} is neither yes nor no", quoted(text)).into()),
    }
}

/// Items separated by `;`.
pub(super) fn list(text: &str) -> Vec<Arc<str>> {
    text.split(';').map(str::trim).filter(|item| !item.is_empty()).map(Arc::from).collect()
}

/// The column `sure`: `yes`, or nothing.
pub(super) fn is_sure(
    fields: &mut super::fields::Fields<'_>,
) -> Result<bool, super::tally::Reported> {
    let said = fields.optional("sure", |text| match text.to_ascii_lowercase().as_str() {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(format!("{} is neither `yes` nor `no`", super::problem::quoted(text))),
    });
    Ok(said?.unwrap_or(false))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_day_that_the_calendar_lacks_is_refused_by_name() {
        assert_eq!(day("2027-03-14").unwrap(), date(2027, 3, 14));
        assert_eq!(
            day("2027-04-31").unwrap_err().found,
            "`2027-04-31` is not a day: April 2027 has 30 days"
        );
        assert_eq!(
            day("2027-02-29").unwrap_err().found,
            "`2027-02-29` is not a day: February 2027 has 28 days"
        );
        assert_eq!(
            day("2027-13-01").unwrap_err().found,
            "`2027-13-01` is not a day: there are twelve months"
        );
        assert_eq!(
            day("2027-00-01").unwrap_err().found,
            "`2027-00-01` is not a day: there are twelve months"
        );
        for bad in ["", "14/03/2027", "2027-3-14", "2027-03-14T10:00", "0027-03-14", "2027-03-1é"]
        {
            assert!(day(bad).is_err(), "`{bad}` was taken");
        }
    }

    #[test]
    fn numbers_that_are_none_or_too_much_are_refused() {
        for bad in ["NaN", "inf", "-inf", "1e308", "-3", "3 g", "", "1,2", "1.2.3"] {
            assert!(mass(bad).is_err(), "`{bad}` was taken");
        }
        assert_eq!(
            mass("1,2").unwrap_err(),
            Finding::new("`1,2` has a decimal comma", "a decimal point, like `1.2`")
        );
        assert!(pieces("2.5").is_err());
        assert!(whole("0", 10).is_err() && whole("2.0", 10).is_err() && whole("11", 10).is_err());
    }
}
