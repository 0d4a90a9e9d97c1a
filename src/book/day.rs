//! Days as ISO 8601 text, which sorts as days do.

use jiff::civil::Date;

/// The form's first day, and the last: four digits for the year.
const YEARS: std::ops::RangeInclusive<i16> = 0..=9999;

/// `None` for a year that four digits cannot write.
pub(super) fn to_text(day: Date) -> Option<String> {
    YEARS.contains(&day.year()).then(|| day.to_string())
}

/// Reads `2027-03-15` and nothing else. By hand, because a ledger reads millions of them and
/// a general parser takes several times as long.
pub(super) fn from_text(text: &[u8]) -> Option<Date> {
    let &[y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = text else { return None };
    let digit = |byte: u8| byte.is_ascii_digit().then(|| i16::from(byte - b'0'));
    let pair = |tens: u8, ones: u8| Some(digit(tens)? * 10 + digit(ones)?);
    let year = pair(y1, y2)? * 100 + pair(y3, y4)?;
    let month = i8::try_from(pair(m1, m2)?).ok()?;
    let day = i8::try_from(pair(d1, d2)?).ok()?;
    Date::new(year, month, day).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_come_back_as_they_were_written() {
        for day in [date(0, 1, 1), date(999, 9, 9), date(2028, 2, 29), date(9999, 12, 31)] {
            assert_eq!(from_text(to_text(day).unwrap().as_bytes()), Some(day));
        }
        assert_eq!(to_text(date(-1, 12, 31)), None);
    }

    #[test]
    fn text_that_is_no_day_is_not_read() {
        for bad in ["", "2027-3-15", "2027-02-29", "2027/03/15", "+027-03-15", "2027-03-15T00"] {
            assert_eq!(from_text(bad.as_bytes()), None, "`{bad}` was taken");
        }
    }
}
