//! Days and numbers as people say them.

use std::fmt::Display;

use jiff::civil::Date;

/// `15 Mar 2027`.
pub fn spoken_day(day: Date) -> String {
    day.strftime("%-d %b %Y").to_string()
}

/// `April`, of the months 1 to 12.
pub fn month_name(month: i8) -> String {
    Date::new(2027, month, 1).map_or(String::new(), |day| day.strftime("%B").to_string())
}

/// `62 %`.
pub fn percent(part: f64) -> String {
    format!("{:.0} %", 100.0 * part)
}

/// `1 day`, `3 days`, `2 patches`, `4 people`.
pub fn counted<N: Display + PartialEq + From<u8>>(n: N, noun: &str) -> String {
    if n == N::from(1) { format!("1 {noun}") } else { format!("{n} {}", plural(noun)) }
}

/// What goes with one, or with several: `is` or `are`.
pub fn agreeing<N: PartialEq + From<u8>>(
    n: N,
    one: &'static str,
    several: &'static str,
) -> &'static str {
    if n == N::from(1) { one } else { several }
}

/// A noun as it is for so many, without the number.
pub fn noun_for<N: PartialEq + From<u8>>(n: N, noun: &str) -> String {
    if n == N::from(1) { noun.to_owned() } else { plural(noun) }
}

/// Of a noun of one word, or of several of which the last bends.
fn plural(noun: &str) -> String {
    let bent = |end: &str, to: &str| noun.strip_suffix(end).map(|stem| format!("{stem}{to}"));
    let after_a_vowel = ["ay", "ey", "oy"].iter().any(|end| noun.ends_with(end));
    bent("person", "people")
        .or_else(|| bent("child", "children"))
        .or_else(|| bent("y", "ies").filter(|_| !after_a_vowel))
        .or_else(|| {
            let hisses = ["ch", "sh", "x", "s"].iter().any(|end| noun.ends_with(end));
            hisses.then(|| format!("{noun}es"))
        })
        .unwrap_or_else(|| format!("{noun}s"))
}

/// `a`, `a and b`, `a, b and c`.
pub fn listed<T: AsRef<str>>(items: &[T]) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [others @ .., last] => {
            let others: Vec<&str> = others.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", others.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nouns_are_counted_as_people_count_them() {
        for (noun, plural) in [
            ("day", "days"),
            ("patch", "patches"),
            ("box", "boxes"),
            ("party", "parties"),
            ("person", "people"),
            ("child", "children"),
            ("other patch", "other patches"),
            ("survey", "surveys"),
        ] {
            assert_eq!(counted(1, noun), format!("1 {noun}"));
            assert_eq!(counted(0, noun), format!("0 {plural}"));
            assert_eq!(counted(2_usize, noun), format!("2 {plural}"));
        }
    }

    #[test]
    fn things_are_listed_with_an_and_before_the_last() {
        assert_eq!(listed(&["a"]), "a");
        assert_eq!(listed(&["a", "b"]), "a and b");
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
    }
}
