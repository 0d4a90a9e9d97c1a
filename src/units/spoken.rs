//! Days and numbers as people say them.

use jiff::civil::Date;

/// `15 Mar 2027`.
pub fn spoken_day(day: Date) -> String {
    day.strftime("%-d %b %Y").to_string()
}

/// `62 %`.
pub fn percent(part: f64) -> String {
    format!("{:.0} %", 100.0 * part)
}

/// `1 day`, `3 days`; regular plurals only.
pub fn counted(n: u32, noun: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {noun}{plural}")
}
