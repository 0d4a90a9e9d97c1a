//! What is wrong with a file, in words that tell its owner where to look and what to do.

use std::fmt;

use crate::records::escaped;

/// How much of a wrong value is quoted, in characters.
const QUOTED: usize = 40;

/// Everything wrong with one file. Nothing of such a file is recorded.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Problems {
    /// Its name, as it was given.
    pub file: String,
    /// The first ones, in the order in which they were met; never empty.
    pub problems: Vec<Problem>,
    /// How many more there are.
    pub more: usize,
    /// So much was wrong that the rest of the file was not read.
    pub gave_up: bool,
}

/// One thing that is wrong: where, what was found, what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Where it stands.
    pub place: Place,
    /// The column or property.
    pub field: Option<String>,
    /// "`-3` is not a mass".
    pub found: String,
    /// Continues "expected …".
    pub expected: String,
}

/// Where in a file. Lines and features are counted from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// A line of a table.
    Line(u64),
    /// A feature of a map.
    Feature {
        /// Which, from 1.
        number: usize,
        /// What it is called, where it is called anything.
        name: Option<String>,
    },
    /// A row of a record that is being corrected rather than read from a file.
    Row(usize),
    /// A record of a phone's file.
    Record {
        /// Its place in the file, from 1.
        number: usize,
        /// What tells it from the others.
        what: String,
    },
    /// Nowhere in particular.
    WholeFile,
}

/// What was found and what was expected, before anyone has said where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Finding {
    pub found: String,
    /// `None` where the column's own words will do.
    pub expected: Option<String>,
}

impl Finding {
    pub fn new(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self { found: found.into(), expected: Some(expected.into()) }
    }
}

impl From<String> for Finding {
    fn from(found: String) -> Self {
        Self { found, expected: None }
    }
}

/// A value as it is quoted in a message: shortened, and nothing in it that moves a cursor.
pub(super) fn quoted(text: &str) -> String {
    let short: String = text.chars().take(QUOTED).collect();
    let more = if text.chars().nth(QUOTED).is_some() { "…" } else { "" };
    format!("`{}{more}`", escaped(&short, &[]))
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(number) => write!(out, "line {number}"),
            Self::Feature { number, name: None } => write!(out, "feature {number}"),
            Self::Feature { number, name: Some(name) } => {
                write!(out, "feature {number} ({})", quoted(name))
            }
            Self::Row(number) => write!(out, "row {number}"),
            Self::Record { number, what } => write!(out, "record {number} ({})", quoted(what)),
            Self::WholeFile => out.write_str("the whole file"),
        }
    }
}

impl Problem {
    fn write(&self, file: &str, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // What was typed has no file.
        let file = (!file.is_empty()).then(|| file.to_owned());
        let place = (self.place != Place::WholeFile).then(|| self.place.to_string());
        let field = self.field.as_deref().map(quoted);
        let place: Vec<String> = [file, place, field].into_iter().flatten().collect();
        out.write_str(&place.join(", "))?;
        write!(out, ": {}\n  expected {}", self.found, self.expected)
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for problem in &self.problems {
            problem.write(&self.file, out)?;
            writeln!(out)?;
        }
        match (self.more, self.gave_up) {
            (0, false) => write!(out, "  (nothing was recorded)"),
            (1, false) => write!(out, "  (1 more problem in this file; nothing was recorded)"),
            (more, false) => {
                write!(out, "  ({more} more problems in this file; nothing was recorded)")
            }
            (more, true) => {
                write!(out, "  ({more} more problems, then reading stopped; nothing was recorded)")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_reads_as_a_sentence_with_its_place_and_its_way_out() {
        let problems = Problems {
            file: "surveys.csv".into(),
            problems: vec![Problem {
                place: Place::Line(14),
                field: Some("mass_g".into()),
                found: "`-3` is not a mass".into(),
                expected: "a number of grams, 0 or more".into(),
            }],
            more: 3,
            gave_up: false,
        };
        assert_eq!(
            problems.to_string(),
            "surveys.csv, line 14, `mass_g`: `-3` is not a mass\n  \
             expected a number of grams, 0 or more\n  \
             (3 more problems in this file; nothing was recorded)"
        );
    }

    #[test]
    fn what_is_quoted_is_short_and_moves_no_cursor() {
        assert_eq!(quoted("\u{1b}[2Jx"), "`<U+001B>[2Jx`");
        assert_eq!(quoted(&"x".repeat(500)).chars().count(), QUOTED + 3);
    }
}
