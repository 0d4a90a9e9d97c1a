//! What cannot be known of a table and is asked before anything is recorded.

use super::answers::{Answers, LEFT_OUT, Rough, kind_called};
use super::day::Order;
use super::quantity::Mark;
use crate::records::Kind;

/// What is asked, in the order in which it is best answered.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// What the rows are.
    Kind(Vec<Kind>),
    /// A column that nobody knows, and one that it is nearly called like.
    Column {
        /// The column, as the table calls it.
        header: String,
        /// A column of files.
        near: &'static str,
    },
    /// It is said to be a column that the kind does not have.
    NotOfKind {
        /// The column, as the table calls it.
        header: String,
        /// The column of files.
        field: String,
    },
    /// Several columns are to be one.
    Twice {
        /// The column of files.
        field: String,
        /// What the table calls them.
        headers: Vec<String>,
    },
    /// A column that the kind needs and nothing is.
    Field(&'static str),
    /// Whether the day or the month stands first.
    Order {
        /// The column, as the table calls it.
        header: String,
        /// A day that may be either.
        day: String,
    },
    /// Days of one column contradict each other, or what was said; no answer helps.
    Mixed {
        /// The column, as the table calls it.
        header: String,
        /// A day that must be read one way.
        one: String,
        /// One that must be read the other.
        other: String,
    },
    /// A day that cannot be read in the order that was said or shown.
    OtherWay {
        /// The column, as the table calls it.
        header: String,
        /// The day.
        day: String,
    },
    /// A day without its year.
    Year {
        /// The column, as the table calls it.
        header: String,
        /// The day.
        day: String,
    },
    /// Whether a comma or a point parts a whole number from its parts.
    Decimal {
        /// The column, as the table calls it.
        header: String,
        /// A number that may be either.
        number: String,
    },
    /// What bare numbers are in.
    Unit {
        /// The column, as the table calls it.
        header: String,
        /// One of its numbers.
        number: String,
    },
    /// How much of a crop one of these is.
    Piece {
        /// `bunch`.
        noun: String,
        /// The crop's name.
        crop: String,
    },
    /// Whether a rough amount counts as its middle.
    Rough {
        /// The column, as the table calls it.
        header: String,
        /// The amount, as it is written.
        amount: String,
    },
    /// Gaps in a column that may be those of merged cells.
    Gap {
        /// The column, as the table calls it.
        header: String,
    },
    /// A name that is nearly one of these.
    Patch {
        /// As it is written.
        said: String,
        /// Names of the book that are spelt nearly so.
        near: Vec<String>,
    },
    /// A site's name that the book does not have.
    Site {
        /// As it is written.
        said: String,
        /// Names of the book that are spelt nearly so.
        near: Vec<String>,
    },
    /// A crop that no catalogue has.
    Crop {
        /// As it is written.
        said: String,
        /// Names of crops that are spelt nearly so.
        near: Vec<String>,
    },
}

/// What is asked, and how many rows it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// What is asked.
    pub ask: Ask,
    /// How many rows.
    pub rows: usize,
}

impl Ask {
    /// Whether a reply can settle it; else the table is to be mended, or said more of.
    pub fn has_an_answer(&self) -> bool {
        !matches!(self, Self::Mixed { .. } | Self::OtherWay { .. })
    }

    /// Takes a reply that was typed; `false` where it is none.
    pub fn hear(&self, reply: &str, answers: &mut Answers) -> bool {
        let typed = reply.trim().to_lowercase();
        let reply = if WORDS.contains(&&*typed) { &typed } else { reply.trim() };
        let mut said = |key: &str, value: &str| {
            answers.say.insert(key.to_owned(), value.to_owned());
            true
        };
        match self {
            _ if reply.is_empty() => false,
            Self::Kind(_) => {
                answers.kind = kind_called(reply);
                answers.kind.is_some()
            }
            Self::Column { header, near } => match reply {
                "y" | "yes" => insert(&mut answers.columns, header, near),
                "n" | "no" => insert(&mut answers.columns, header, LEFT_OUT),
                other => insert(&mut answers.columns, header, other),
            },
            Self::NotOfKind { header, .. } => insert(&mut answers.columns, header, reply),
            Self::Twice { headers, field } => {
                let is_it = |header: &&String| header.eq_ignore_ascii_case(reply);
                let Some(kept) = headers.iter().find(is_it) else { return false };
                for header in headers {
                    let to = if header == kept { field } else { LEFT_OUT };
                    insert(&mut answers.columns, header, to);
                }
                true
            }
            Self::Field(field) => match reply.split_once('=') {
                Some(("", value)) => insert(&mut answers.set, field, value.trim()),
                _ => insert(&mut answers.columns, reply, field),
            },
            Self::Order { .. } => {
                answers.order = match reply {
                    "day" | "d" | "day first" => Some(Order::DayFirst),
                    "month" | "m" | "month first" => Some(Order::MonthFirst),
                    _ => None,
                };
                answers.order.is_some()
            }
            Self::Mixed { .. } | Self::OtherWay { .. } => false,
            Self::Year { .. } => {
                answers.year = reply.parse().ok();
                answers.year.is_some()
            }
            Self::Decimal { .. } => {
                answers.decimal = match reply {
                    "comma" | "," => Some(Mark::Comma),
                    "point" | "." => Some(Mark::Point),
                    _ => None,
                };
                answers.decimal.is_some()
            }
            Self::Unit { header, .. } => insert(&mut answers.units, header, reply),
            Self::Piece { noun, .. } => said(noun, reply),
            Self::Rough { .. } => {
                answers.rough = match reply {
                    "middle" => Some(Rough::Middle),
                    "unread" => Some(Rough::Unread),
                    _ => None,
                };
                answers.rough.is_some()
            }
            Self::Gap { .. } => {
                answers.fill_down = match reply {
                    "y" | "yes" => Some(true),
                    "n" | "no" => Some(false),
                    _ => None,
                };
                answers.fill_down.is_some()
            }
            Self::Patch { said: cell, near }
            | Self::Site { said: cell, near }
            | Self::Crop { said: cell, near } => match (reply, near.as_slice()) {
                ("y" | "yes", [one]) => said(cell, one),
                ("y" | "yes", _) => false,
                ("n" | "no", _) => said(cell, cell),
                (other, _) => said(cell, other),
            },
        }
    }
}

/// Replies that mean the same in capitals.
const WORDS: [&str; 14] = [
    "y",
    "yes",
    "n",
    "no",
    "d",
    "day",
    "day first",
    "m",
    "month",
    "month first",
    "comma",
    "point",
    "middle",
    "unread",
];

fn insert(map: &mut std::collections::BTreeMap<String, String>, key: &str, value: &str) -> bool {
    map.insert(key.to_owned(), value.to_owned());
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replies_at_the_keyboard_are_the_answers_of_the_command_line() {
        let mut answers = Answers::default();
        let near = vec!["Hill/Bank".to_owned()];
        let heard = [
            (Ask::Kind(Vec::new()), "cuts"),
            (Ask::Field("by"), "= Ida"),
            (Ask::Field("date"), "Our day"),
            (Ask::Patch { said: "Bnak".to_owned(), near: near.clone() }, "yes"),
            (Ask::Patch { said: "Bonk".to_owned(), near }, "no"),
            (Ask::Gap { header: "Date".to_owned() }, "no"),
            (Ask::Rough { header: "Weight".to_owned(), amount: "~2 kg".to_owned() }, "middle"),
        ];
        for (ask, reply) in heard {
            assert!(!ask.hear("  ", &mut answers), "{ask:?}");
            assert!(ask.hear(reply, &mut answers), "{ask:?}");
        }
        assert_eq!(answers.kind, Some(Kind::Cut));
        assert_eq!(answers.constant("by"), Some("Ida"));
        assert_eq!(answers.column("our DAY"), Some("date"));
        assert_eq!(answers.meant("bnak"), Some("Hill/Bank"));
        assert_eq!(answers.meant("Bonk"), Some("Bonk"));
        assert_eq!((answers.fill_down, answers.rough), (Some(false), Some(Rough::Middle)));
        let order = Ask::Order { header: String::new(), day: String::new() };
        assert!(!order.hear("whichever", &mut answers));
    }
}
