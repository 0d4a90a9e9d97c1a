//! Text fitted to a number of terminal columns.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

const CUT_SHORT: &str = "…";

/// Cut short with `…` where it is wider than `width` columns.
pub(super) fn elided(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    let (kept, _) = split_at_column(text, width.saturating_sub(CUT_SHORT.width()));
    let mark = if width == 0 { "" } else { CUT_SHORT };
    format!("{}{mark}", kept.trim_end())
}

/// Exactly `width` columns, cut short or filled up with blanks.
pub(super) fn fitted(text: &str, width: usize) -> String {
    let mut text = elided(text, width);
    text.extend(std::iter::repeat_n(' ', width.saturating_sub(text.width())));
    text
}

/// Broken between words into lines of at most `width` columns, each after `indent`.
///
/// A word that is wider than a line is broken inside.
pub(super) fn wrapped(text: &str, width: usize, indent: &str) -> String {
    let room = width.saturating_sub(indent.width()).max(1);
    let lines = lines(text, room);
    lines.iter().map(|line| format!("{indent}{line}\n")).collect()
}

fn lines(text: &str, room: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let blank = usize::from(!line.is_empty());
        if line.width() + blank + word.width() > room && !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        let mut rest = word;
        while rest.width() > room {
            let (piece, after) = split_at_column(rest, room);
            if piece.is_empty() {
                break;
            }
            lines.push(piece.to_owned());
            rest = after;
        }
        line.push_str(rest);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The longest start of `text` that fits into `width` columns, and what follows it.
fn split_at_column(text: &str, width: usize) -> (&str, &str) {
    let mut used = 0;
    let end = text.char_indices().find_map(|(at, letter)| {
        used += letter.width().unwrap_or(0);
        (used > width).then_some(at)
    });
    text.split_at(end.unwrap_or(text.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_cut_short_by_columns_not_by_letters() {
        assert_eq!(elided("hedge", 5), "hedge");
        assert_eq!(elided("hedgerow", 5), "hedg…");
        assert_eq!(elided("草草草", 5), "草草…");
        assert_eq!(elided("hedge", 0), "");
        assert_eq!(fitted("草草草", 6), "草草草");
        assert_eq!(fitted("oak", 5), "oak  ");
    }

    #[test]
    fn lines_break_between_words_and_only_a_word_wider_than_a_line_is_broken() {
        assert_eq!(wrapped("one two three", 9, "  "), "  one two\n  three\n");
        assert_eq!(wrapped("a abcdefgh b", 4, ""), "a\nabcd\nefgh\nb\n");
        assert_eq!(wrapped("", 9, "  "), "");
    }
}
