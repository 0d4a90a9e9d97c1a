//! What stands out on a terminal: verdicts, amounts, dangers.
//!
//! Text carries it as letters that take no room, so that lines are laid out as if they were not
//! there. Whoever prints turns them into a terminal's codes, or drops them: nothing else may.
//! Colour is never alone, for what is coloured is bold, and says in words what it means.

use anstyle::{AnsiColor, Style};

/// Variation selectors, which are nothing behind what has no variants.
const MARKS: [(char, Stress); 4] = [
    ('\u{e01e0}', Stress::Strong),
    ('\u{e01e1}', Stress::Open),
    ('\u{e01e2}', Stress::Shut),
    ('\u{e01e3}', Stress::Danger),
];
const END: char = '\u{e01ef}';

/// Why something stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stress {
    /// A figure or a word that is looked for first.
    Strong,
    /// What may be done.
    Open,
    /// What may not.
    Shut,
    /// What kills, and what went over its limit.
    Danger,
}

impl Stress {
    /// The words, to stand out; nothing of nothing.
    pub fn on(self, words: &str) -> String {
        let mark = MARKS.iter().find(|(_, stress)| *stress == self).map(|(mark, _)| *mark);
        match mark.filter(|_| !words.is_empty()) {
            Some(mark) => format!("{mark}{words}{END}"),
            None => words.to_owned(),
        }
    }

    fn style(self) -> Style {
        let bold = Style::new().bold();
        match self {
            Self::Strong => bold,
            Self::Open => bold.fg_color(Some(AnsiColor::Green.into())),
            Self::Shut => bold.fg_color(Some(AnsiColor::Yellow.into())),
            Self::Danger => bold.fg_color(Some(AnsiColor::Red.into())),
        }
    }
}

/// For a terminal that shows bold and colours.
pub fn in_colour(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        match MARKS.iter().find(|(mark, _)| *mark == letter) {
            Some((_, stress)) => shown += &stress.style().render().to_string(),
            None if letter == END => shown += &anstyle::Reset.render().to_string(),
            None => shown.push(letter),
        }
    }
    shown
}

/// For a page, whose text has nothing else marked so: bold.
pub fn in_html(html: &str) -> String {
    let mut shown = String::with_capacity(html.len());
    for letter in html.chars() {
        match letter {
            END => shown += "</b>",
            mark if MARKS.iter().any(|(known, _)| *known == mark) => shown += "<b>",
            letter => shown.push(letter),
        }
    }
    shown
}

/// For everything else: without a trace of what was to stand out.
pub fn plain(text: &str) -> String {
    if text.is_ascii() {
        return text.to_owned();
    }
    let is_mark = |letter| letter == END || MARKS.iter().any(|(mark, _)| *mark == letter);
    text.chars().filter(|letter| !is_mark(*letter)).collect()
}

#[cfg(test)]
mod tests {
    use unicode_width::UnicodeWidthStr;

    use super::*;

    #[test]
    fn what_stands_out_takes_no_room_and_is_bold_whatever_its_colour() {
        for (_, stress) in MARKS {
            let text = format!("at most {}", stress.on("650 g"));
            assert_eq!(text.width(), "at most 650 g".width());
            assert_eq!(plain(&text), "at most 650 g");
            assert_eq!(in_html(&text), "at most <b>650 g</b>");
            let shown = in_colour(&text);
            assert!(shown.starts_with("at most \u{1b}[1m"), "{shown:?}");
            assert!(shown.ends_with("650 g\u{1b}[0m"), "{shown:?}");
        }
        assert_eq!(Stress::Open.on(""), "");
    }
}
