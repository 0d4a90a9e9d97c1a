//! Numbers and amounts as people write them: `1.250,5`, `2 kg`, `3 bunches`, `approx 2-3kg`.

/// What stands between a whole number and its parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// `1.5`.
    Point,
    /// `1,5`.
    Comma,
}

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    Mass,
    Area,
    Length,
    PerCent,
    Pieces,
}

/// A unit, and how much of what files have it is: grams, square metres, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    pub of: Measured,
    pub factor: f64,
}

/// Pounds and ounces are those of 1959, exactly (NIST Special Publication 811, B.8).
const UNITS: [(&[&str], Measured, f64); 11] = [
    (&["g", "gr", "grm", "gm", "gms", "gram", "grams", "gramme", "grammes"], Measured::Mass, 1.0),
    (&["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"], Measured::Mass, 1000.0),
    (&["lb", "lbs", "pound", "pounds"], Measured::Mass, 453.592_37),
    (&["oz", "ounce", "ounces"], Measured::Mass, 28.349_523_125),
    (&["m2", "m²", "sqm", "sq m", "m^2", "square metres", "square meters"], Measured::Area, 1.0),
    (&["cm2", "cm²", "sq cm", "cm^2"], Measured::Area, 1e-4),
    (&["m", "metre", "metres", "meter", "meters"], Measured::Length, 1.0),
    (&["cm"], Measured::Length, 1e-2),
    (&["%", "percent", "per cent"], Measured::PerCent, 1.0),
    (&["no", "nr", "#", "n"], Measured::Pieces, 1.0),
    (&["pcs", "pc", "piece", "pieces"], Measured::Pieces, 1.0),
];

pub(super) fn unit(said: &str) -> Option<Unit> {
    let said = said.trim().trim_end_matches('.').to_lowercase();
    let found = UNITS.iter().find(|(words, ..)| words.contains(&&*said));
    found.map(|(_, of, factor)| Unit { of: *of, factor: *factor })
}

/// What a column of files is in, by the end of its name.
pub(super) fn measured(column: &str) -> Option<Measured> {
    match column {
        "full_cover_g_per_m2" => None,
        "cover" => Some(Measured::PerCent),
        _ if column.ends_with("_g") => Some(Measured::Mass),
        _ if column.ends_with("_m2") => Some(Measured::Area),
        _ if column.ends_with("_m") => Some(Measured::Length),
        _ if column.ends_with("count") => Some(Measured::Pieces),
        _ => None,
    }
}

/// An amount as it is written, taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Quantity<'t> {
    pub low: &'t str,
    /// Of a range.
    pub high: Option<&'t str>,
    /// Empty for a bare number.
    pub unit: &'t str,
    /// Said to be near, and not to be it.
    pub is_about: bool,
}

const ABOUT: [&str; 14] = [
    "approximately",
    "approx.",
    "approx",
    "about",
    "around",
    "roughly",
    "circa",
    "ca.",
    "ca",
    "c.",
    "est.",
    "some",
    "~",
    "≈",
];

impl Quantity<'_> {
    pub fn is_rough(&self) -> bool {
        self.is_about || self.high.is_some()
    }
}

/// `None` for what is no number with or without a unit.
pub(super) fn quantity(text: &str) -> Option<Quantity<'_>> {
    let mut rest = text.trim();
    let mut is_about = false;
    let begins = |rest: &str, word: &str| {
        rest.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word))
    };
    while let Some(word) = ABOUT.iter().find(|word| begins(rest, word)) {
        (rest, is_about) = (rest[word.len()..].trim_start(), true);
    }
    let (low, mut rest) = numeral(rest)?;
    let mut high = None;
    let mut unit_between = "";
    for dash in ["-", "–", "—", "to "] {
        // `2-3 kg`, and `2 kg - 3 kg`.
        let before = rest.trim_start();
        let at = before.find(dash);
        if let Some(at) =
            at.filter(|at| before[..*at].chars().all(|c| c.is_alphabetic() || c == ' '))
            && let Some((number, behind)) = numeral(before[at + dash.len()..].trim_start())
        {
            unit_between = before[..at].trim();
            (high, rest) = (Some(number), behind);
            break;
        }
    }
    let mut unit = rest.trim();
    if let Some(short) = unit.strip_suffix('?').or_else(|| unit.strip_suffix("ish")) {
        (unit, is_about) = (short.trim(), true);
    }
    if !unit_between.is_empty() && !unit.is_empty() && !unit.eq_ignore_ascii_case(unit_between) {
        return None;
    }
    let unit = if unit.is_empty() { unit_between } else { unit };
    let is_word = |c: char| c.is_alphabetic() || matches!(c, ' ' | '.' | '²' | '%' | '^' | '#');
    let fits = unit.chars().all(is_word) || UNITS.iter().any(|(words, ..)| words.contains(&unit));
    fits.then_some(Quantity { low, high, unit, is_about })
}

/// The number that a text begins with, and what is behind it. Blanks may part thousands.
fn numeral(text: &str) -> Option<(&str, &str)> {
    let bytes = text.as_bytes();
    let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = usize::from(bytes.first() == Some(&b'-') && is_digit(1));
    loop {
        while is_digit(end) {
            end += 1;
        }
        let is_mark = matches!(bytes.get(end), Some(b'.' | b',' | b'\''));
        let is_group = bytes.get(end) == Some(&b' ')
            && (1..=3).all(|more| is_digit(end + more))
            && !is_digit(end + 4)
            && end > 0;
        if (is_mark || is_group) && is_digit(end + 1) {
            end += 1;
        } else {
            break;
        }
    }
    let starts_with_mark = end == 0 && matches!(bytes.first(), Some(b'.' | b',')) && is_digit(1);
    if starts_with_mark {
        end = 1 + bytes[1..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    }
    (end > 0 && text.is_char_boundary(end)).then(|| text.split_at(end))
}

/// What a number shows of the mark between its whole and its parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shows {
    Nothing,
    Mark(Mark),
    /// `1,250` may be a thousand and more, or one and a quarter.
    TwoWays,
}

pub(super) fn shows(number: &str) -> Shows {
    let marks: Vec<(usize, u8)> =
        number.bytes().enumerate().filter(|(_, byte)| matches!(byte, b'.' | b',')).collect();
    let mark = |byte: u8| if byte == b',' { Mark::Comma } else { Mark::Point };
    let Some((last, byte)) = marks.last().copied() else { return Shows::Nothing };
    let whole = number[..last].trim_start_matches('-');
    let parts = number.len() - last - 1;
    let other = |byte: u8| if byte == b',' { Mark::Point } else { Mark::Comma };
    match marks.as_slice() {
        // `1.250,5`; twice the same mark parts thousands.
        [.., (_, before), _] if *before != byte => Shows::Mark(mark(byte)),
        [_, _, ..] => Shows::Mark(other(byte)),
        _ if parts != 3 || whole.is_empty() || whole.starts_with('0') || whole.len() > 3 => {
            Shows::Mark(mark(byte))
        }
        _ => Shows::TwoWays,
    }
}

/// The number with a decimal point and nothing that parts thousands; `None` where it cannot be
/// one with this mark.
pub(super) fn pointed(number: &str, mark: Mark) -> Option<String> {
    let (own, other) = if mark == Mark::Comma { (',', '.') } else { ('.', ',') };
    let (whole, part) = number.split_once(own).map_or((number, None), |(a, b)| (a, Some(b)));
    if part.is_some_and(|part| !part.bytes().all(|byte| byte.is_ascii_digit())) {
        return None;
    }
    let groups: Vec<&str> = whole.split([other, ' ', '\'']).collect();
    let are_thousands = groups.iter().skip(1).all(|group| group.len() == 3);
    let whole = groups.concat();
    if !are_thousands || (groups.len() > 1 && groups[0].is_empty()) {
        return None;
    }
    let whole = if whole.is_empty() { "0" } else { &whole };
    Some(part.map_or_else(|| whole.to_owned(), |part| format!("{whole}.{part}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_taken_apart() {
        for (text, low, high, unit, is_about) in [
            ("512,5", "512,5", None, "", false),
            ("2 kg", "2", None, "kg", false),
            ("650g", "650", None, "g", false),
            ("3 bunches", "3", None, "bunches", false),
            ("approx 2kg", "2", None, "kg", true),
            ("ca. 500 g", "500", None, "g", true),
            ("~2", "2", None, "", true),
            ("2kg?", "2", None, "kg", true),
            ("2-3 kg", "2", Some("3"), "kg", false),
            ("2 kg – 3 kg", "2", Some("3"), "kg", false),
            ("2 to 3kg", "2", Some("3"), "kg", false),
            ("1 250 g", "1 250", None, "g", false),
            ("40 %", "40", None, "%", false),
            ("0.25 m2", "0.25", None, "m2", false),
            (".5 kg", ".5", None, "kg", false),
        ] {
            let read = Quantity { low, high, unit, is_about };
            assert_eq!(quantity(text), Some(read), "{text}");
        }
        for none in
            ["", "lots", "kg 2", "2 kg 300 g", "1/2 kg", "2-3-4", "2 kg - 3 lb", "half a kilo"]
        {
            assert_eq!(quantity(none), None, "{none}");
        }
    }

    #[test]
    fn a_mark_is_told_where_the_number_tells_it() {
        for (number, shown) in [
            ("300", Shows::Nothing),
            ("512,5", Shows::Mark(Mark::Comma)),
            ("1.250,5", Shows::Mark(Mark::Comma)),
            ("1,250.5", Shows::Mark(Mark::Point)),
            ("1.250.000", Shows::Mark(Mark::Comma)),
            ("0,125", Shows::Mark(Mark::Comma)),
            ("1,250", Shows::TwoWays),
            ("1.250", Shows::TwoWays),
            ("12.75", Shows::Mark(Mark::Point)),
        ] {
            assert_eq!(shows(number), shown, "{number}");
        }
        assert_eq!(pointed("1.250,5", Mark::Comma).as_deref(), Some("1250.5"));
        assert_eq!(pointed("1 250", Mark::Point).as_deref(), Some("1250"));
        assert_eq!(pointed(",5", Mark::Comma).as_deref(), Some("0.5"));
        assert_eq!(pointed("12,5", Mark::Point), None);
        assert_eq!(pointed("1,250", Mark::Point).as_deref(), Some("1250"));
    }
}
