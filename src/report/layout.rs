//! Text in columns and paragraphs that keep to a width, told in terminal cells.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The narrowest width that anything is laid out for.
pub const NARROWEST: usize = 40;

const UNITS: [&str; 5] = ["%", "g", "kg", "m", "m²"];
const UNIT_ENDS: [char; 6] = [' ', ',', '.', ';', ':', ')'];
/// Stands for a space at which no line may end.
pub(super) const UNBROKEN: &str = "\u{a0}";
/// The fewest cells, or a quarter of all, that words get behind what stands before them.
const LEAST_BESIDE: usize = 16;
/// Before words that got no room there.
pub(super) const BELOW: &str = "      ";

/// `text` cut to `width` cells, with `…` where something was cut off. What would lose a digit
/// stays whole, however wide: `1 in 1195` must never read `1 in 11…`.
pub fn elided(text: &str, width: usize) -> String {
    if text.width() <= width || ends_in_digits_beyond(text, width.saturating_sub(1)) {
        return text.to_owned();
    }
    let Some(room) = width.checked_sub(1) else { return String::new() };
    let mut used = 0;
    let end = text.char_indices().find_map(|(at, letter)| {
        used += letter.width().unwrap_or(0);
        (used > room).then_some(at)
    });
    format!("{}…", text[..end.unwrap_or(text.len())].trim_end())
}

/// Whether a digit lies behind the first `room` cells, or is the last thing in them.
fn ends_in_digits_beyond(text: &str, room: usize) -> bool {
    let mut used = 0;
    let behind = text.char_indices().find_map(|(at, letter)| {
        used += letter.width().unwrap_or(0);
        (used > room).then_some(at)
    });
    let cut = behind.unwrap_or(text.len());
    let digit = |letter: char| letter.is_ascii_digit();
    text[cut..].contains(digit) || text[..cut].trim_end().ends_with(digit)
}

/// `text` in `width` cells, or more where it is a number that is wider, at the left.
pub fn left(text: &str, width: usize) -> String {
    let text = elided(text, width);
    let gap = width.saturating_sub(text.width());
    text + &" ".repeat(gap)
}

/// `text` in `width` cells, or more where it is a number that is wider, at the right.
pub fn right(text: &str, width: usize) -> String {
    let text = elided(text, width);
    " ".repeat(width.saturating_sub(text.width())) + &text
}

/// `text` broken into lines of at most `width` cells, each behind `indent`.
pub fn paragraph(text: &str, width: usize, indent: &str) -> String {
    hanging(text, width, indent, indent)
}

/// The same, with another indent on the first line. Where `first` leaves no room for words, they
/// stand below it: beside a name too long for its column they would go letter by letter.
pub fn hanging(text: &str, width: usize, first: &str, rest: &str) -> String {
    if first.width() + LEAST_BESIDE.min(width / 4) > width {
        return format!("{}\n", first.trim_end()) + &filled(text, indented(width, BELOW, BELOW));
    }
    filled(text, indented(width, first, rest))
}

/// The same, but a word that is longer than a line stays whole: a link must.
pub fn hanging_with_links(text: &str, width: usize, first: &str, rest: &str) -> String {
    filled(text, indented(width, first, rest).break_words(false))
}

fn indented<'a>(width: usize, first: &'a str, rest: &'a str) -> textwrap::Options<'a> {
    textwrap::Options::new(width)
        .initial_indent(first)
        .subsequent_indent(rest)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
}

fn filled(text: &str, options: textwrap::Options) -> String {
    let mut lines = textwrap::fill(&held_together(text), options).replace(UNBROKEN, " ");
    lines.push('\n');
    lines
}

/// A titled list; nothing for an empty one. A link, or the number of a paper, stays whole.
pub fn list<'a>(title: &str, items: impl Iterator<Item = &'a str>, width: usize) -> String {
    let items: String = items.map(|item| hanging_with_links(item, width, "  - ", "    ")).collect();
    if items.is_empty() { items } else { format!("\n{title}\n{items}") }
}

/// No line ends between a number and its unit: no-break spaces stand there.
pub fn held_together(text: &str) -> String {
    let mut held = String::with_capacity(text.len() + UNBROKEN.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(' ') {
        held += before;
        held += if begins_with_a_unit(after) { UNBROKEN } else { " " };
        rest = after;
    }
    held + rest
}

fn begins_with_a_unit(text: &str) -> bool {
    UNITS.iter().any(|unit| {
        let behind = text.strip_prefix(unit);
        behind.is_some_and(|behind| behind.is_empty() || behind.starts_with(UNIT_ENDS))
    })
}

/// The cells of the widest text, at most `most` and at least `least`, whatever `most` is.
pub fn widest<'a>(texts: impl IntoIterator<Item = &'a str>, least: usize, most: usize) -> usize {
    texts.into_iter().map(UnicodeWidthStr::width).max().unwrap_or(0).min(most).max(least)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_never_cut_short_at_any_width() {
        for text in ["1 in 1195", "1 in 11403", "34669 g", "12.5 kg", "from 17 Mar 2027"] {
            for width in 0..=text.len() + 1 {
                for shown in [elided(text, width), left(text, width), right(text, width)] {
                    assert_eq!(shown.trim(), text, "at {width} cells");
                }
            }
        }
        assert_eq!(elided("three-cornered-garlic", 8), "three-c…");
    }

    #[test]
    fn text_is_cut_and_filled_to_the_cell() {
        assert_eq!(left("hedge", 8), "hedge   ");
        assert_eq!(right("650 g", 8), "   650 g");
        assert_eq!(left("a long hedge", 8), "a long… ");
        assert_eq!(elided("日本語", 5), "日本…");
        assert_eq!(elided("hedge", 0), "");
        assert_eq!(elided("a hedge", 3), "a…");
    }

    #[test]
    fn a_number_keeps_its_unit_beside_it() {
        assert_eq!(paragraph("there are 95 % of it", 13, ""), "there are\n95 % of it\n");
        assert_eq!(paragraph("there are 95 %, or so", 13, ""), "there are\n95 %, or so\n");
    }

    #[test]
    fn a_unit_is_held_at_the_end_of_a_text_too() {
        assert_eq!(held_together("3 kg of 4 kg"), "3\u{a0}kg of 4\u{a0}kg");
        assert_eq!(held_together("4 kings"), "4 kings");
        assert_eq!(held_together("%"), "%");
    }

    #[test]
    fn paragraphs_hang_from_their_first_line() {
        assert_eq!(hanging("one two three", 9, "- ", "  "), "- one two\n  three\n");
    }
}
