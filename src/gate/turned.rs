//! Why nothing was recorded, and the way out.

use std::fmt;
use std::sync::Arc;

use super::sorted::Change;
use crate::assess::UnknownCrop;
use crate::book::{Bearer, Bearers, BookError, Refusal};
use crate::intake::Problems;
use crate::records::{Entry, FactId};
use crate::units::spoken_day;

/// Questions told in full; the others are counted.
const MOST_TOLD: usize = 5;

/// Nothing was recorded.
#[derive(Debug)]
pub enum Turned {
    /// What was brought cannot be.
    Problems(Vec<Problems>),
    /// The files say otherwise than the book, and nobody said that they shall replace it.
    Changes(Vec<(Arc<str>, Vec<Change>)>),
    /// What a person must answer first.
    Questions(Vec<Question>),
    /// A sentence with its way out.
    Unfit(String),
    /// A patch bears a crop that no catalogue has.
    UnknownCrop(UnknownCrop),
    /// The book refuses, or cannot be read or written.
    Book(BookError),
}

/// Something that may be a slip: what was found, and how to go on if it is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The file and entry, or nothing for what was typed.
    pub place: String,
    /// What looks like a slip, a clause.
    pub found: String,
    /// What to do, either way; a clause.
    pub way_out: String,
}

impl Question {
    /// Of a fact that a file tells of twice.
    pub(super) fn copied(file: Option<&str>, entry: &Entry, id: FactId) -> Self {
        Self {
            place: file.unwrap_or_default().to_owned(),
            found: format!(
                "fact {} is there twice, the second time as the {} of {}",
                id.short(),
                entry.record.kind().name(),
                entry.key
            ),
            way_out: "clear the cell `fact` of a row that was copied, or take the row out"
                .to_owned(),
        }
    }

    /// Of a fact that a file tells of, and that was withdrawn since.
    pub(super) fn withdrawn(file: Option<&str>, entry: &Entry, id: FactId) -> Self {
        Self {
            place: file.unwrap_or_default().to_owned(),
            found: format!(
                "the {} of {}, fact {}, was withdrawn since, and the file says otherwise than it did",
                entry.record.kind().name(),
                entry.key,
                id.short()
            ),
            way_out: "take the row out, or clear its cell `fact` to record something new"
                .to_owned(),
        }
    }
}

impl fmt::Display for Question {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { place, found, way_out } = self;
        let colon = if place.is_empty() { "" } else { ": " };
        write!(out, "{place}{colon}{found}\n  {way_out}")
    }
}

/// The questions as one text: the first few in full.
pub(super) fn told(questions: &[Question]) -> String {
    let mut lines: Vec<String> =
        questions.iter().take(MOST_TOLD).map(ToString::to_string).collect();
    lines.push(match questions.len().saturating_sub(MOST_TOLD) {
        0 => "  (nothing was recorded)".to_owned(),
        1 => "  (1 more like these; nothing was recorded)".to_owned(),
        more => format!("  ({more} more like these; nothing was recorded)"),
    });
    lines.join("\n")
}

impl fmt::Display for Turned {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Problems(problems) => {
                let texts: Vec<String> = problems.iter().map(ToString::to_string).collect();
                out.write_str(&texts.join("\n"))
            }
            Self::Changes(files) => {
                writeln!(out, "the files say otherwise than the book:")?;
                for change in files.iter().flat_map(|(_, changes)| changes) {
                    writeln!(out, "  - {change}")?;
                }
                out.write_str(
                    "  load them with --replace to record these as corrections; nothing was \
                     recorded",
                )
            }
            Self::Questions(questions) => out.write_str(&told(questions)),
            Self::Unfit(sentence) => out.write_str(sentence),
            Self::UnknownCrop(unknown) => unknown.fmt(out),
            Self::Book(error) => error.fmt(out),
        }
    }
}

impl From<BookError> for Turned {
    fn from(error: BookError) -> Self {
        match &error {
            BookError::Refused(Refusal::NameTaken { what, name, bearers }) => {
                match &bearers.new.file {
                    Some(file) => Self::Questions(vec![two_of_one_name(what, name, file, bearers)]),
                    None => Self::Book(error),
                }
            }
            _ => Self::Book(error),
        }
    }
}

/// Two leaders may each have drawn a place before their books met, and call it alike.
fn two_of_one_name(what: &str, name: &str, file: &str, bearers: &Bearers) -> Question {
    let Bearers { new, other } = bearers;
    let described = |Bearer { id, gist, by, day, .. }: &Bearer| {
        format!("{} ({gist}, set down by {by} on {})", id.short(), spoken_day(*day))
    };
    Question {
        place: file.to_owned(),
        found: format!(
            "{what} `{name}` of this file, {}, is not the {what} that the book calls so, {}",
            described(new),
            described(other)
        ),
        way_out: format!(
            "if they are one, take it out of the file: what the other files tell of `{name}` is \
             then of the book's; if they are two, call one of them otherwise, in the files or by \
             `stintbook correct {} name=\"…\"`; `stintbook merge` takes in another book as it \
             is, and keeps both",
            other.id.short()
        ),
    }
}

impl From<UnknownCrop> for Turned {
    fn from(unknown: UnknownCrop) -> Self {
        Self::UnknownCrop(unknown)
    }
}

impl From<Problems> for Turned {
    fn from(problems: Problems) -> Self {
        Self::Problems(vec![problems])
    }
}
