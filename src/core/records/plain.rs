//! Letters that no text has: they move a cursor, or let a text pose as another.

use std::borrow::Cow;
use std::fmt;

/// A letter that plain text on one line does not have.
///
/// Beside control characters these are the ends of lines and of paragraphs, and what turns the
/// direction of writing round (Unicode Standard Annex 9, version 15, table 1): letters that
/// follow such a one are shown in another order than they are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unfit(char);

impl Unfit {
    fn of(letter: char) -> Option<Self> {
        let turns = matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        let ends_line = matches!(letter, '\u{2028}' | '\u{2029}');
        (letter.is_control() || turns || ends_line).then_some(Self(letter))
    }

    /// The first in a text.
    pub fn first_in(text: &str) -> Option<Self> {
        text.chars().find_map(Self::of)
    }
}

/// "the control character U+001B".
impl fmt::Display for Unfit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = if self.0.is_control() { "control" } else { "unseen" };
        write!(out, "the {what} character U+{:04X}", u32::from(self.0))
    }
}

/// So many bytes of text are looked at together.
const AT_ONCE: usize = 256;

/// The text with `<U+001B>` for each letter that plain text does not have; `kept` ones stay.
pub fn escaped<'t>(text: &'t str, kept: &[char]) -> Cow<'t, str> {
    let unfit = |letter: char| Unfit::of(letter).filter(|_| !kept.contains(&letter));
    // Most text is plain English on lines, and tables are long.
    let keeps_lines = kept.contains(&'\n');
    let is_plain = |byte: &u8| matches!(byte, b' '..=b'~') | (keeps_lines & (*byte == b'\n'));
    // With no way out before the end, so that many bytes are looked at as one.
    let are_plain = |bytes: &[u8]| bytes.iter().fold(true, |all, byte| all & is_plain(byte));
    if text.as_bytes().chunks(AT_ONCE).all(are_plain)
        || text.chars().all(|letter| unfit(letter).is_none())
    {
        return Cow::Borrowed(text);
    }
    let mut clean = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        match unfit(letter) {
            Some(_) => clean.push_str(&format!("<U+{:04X}>", u32::from(letter))),
            None => clean.push(letter),
        }
    }
    Cow::Owned(clean)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_moves_a_cursor_or_turns_the_text_is_unfit_and_letters_of_any_script_are_not() {
        for letter in
            ['\0', '\t', '\n', '\u{1b}', '\u{7f}', '\u{9b}', '\u{2028}', '\u{202e}', '\u{2066}']
        {
            assert_eq!(Unfit::first_in(&format!("a{letter}b")), Some(Unfit(letter)));
        }
        for text in ["Ada", "ä ß", "日本", "שלום", "नमस्ते", "a\u{200d}b", "–…’", "🌿"]
        {
            assert_eq!(Unfit::first_in(text), None, "{text}");
        }
    }

    #[test]
    fn an_unfit_letter_is_named_and_shown_by_its_number() {
        assert_eq!(
            Unfit::first_in("\u{1b}[2J").unwrap().to_string(),
            "the control character U+001B"
        );
        assert_eq!(
            Unfit::first_in("x\u{202e}").unwrap().to_string(),
            "the unseen character U+202E"
        );
        assert_eq!(escaped("a\u{1b}[2J\n", &['\n']), "a<U+001B>[2J\n");
        assert!(matches!(escaped("a\n", &['\n']), Cow::Borrowed("a\n")));
    }
}
