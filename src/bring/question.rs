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
        header: String,
        near: &'static str,
    },
    /// It is said to be a column that the kind does not have.
    NotOfKind {
        header: String,
        field: String,
    },
    /// Several columns are to be one.
    Twice {
        field: String,
        headers: Vec<String>,
    },
    /// A column that the kind needs and nothing is.
    Field(&'static str),
    /// Whether the day or the month stands first.
    Order {
        header: String,
        day: String,
    },
    /// Days of one column contradict each other, or what was said; no answer helps.
    Mixed {
        header: String,
        one: String,
        other: String,
    },
    OtherWay {
        header: String,
        day: String,
    },
    /// A day without its year.
    Year {
        header: String,
        day: String,
    },
    /// Whether a comma or a point parts a whole number from its parts.
    Decimal {
        header: String,
        number: String,
    },
    MixedMarks {
        one: String,
        other: String,
    },
    /// What bare numbers are in.
    Unit {
        header: String,
        number: String,
    },
    /// How much of a crop one of these is.
    Piece {
        noun: String,
        crop: String,
    },
    Rough {
        header: String,
        amount: String,
    },
    /// Gaps in a column that may be those of merged cells.
    Gap {
        header: String,
    },
    /// A name that is nearly one of these.
    Patch {
        said: String,
        near: Vec<String>,
    },
    Site {
        said: String,
        near: Vec<String>,
    },
    Crop {
        said: String,
        near: Vec<String>,
    },
}

/// What is asked, and how many rows it is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    pub ask: Ask,
    pub rows: usize,
}

impl Ask {
    /// Whether a reply can settle it; else the table is to be mended, or said more of.
    pub fn has_an_answer(&self) -> bool {
        !matches!(self, Self::Mixed { .. } | Self::OtherWay { .. } | Self::MixedMarks { .. })
    }

    /// Takes a reply that was typed; `false` where it is none.
    pub fn hear(&self, reply: &str, answers: &mut Answers) -> bool {
        let reply = reply.trim();
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
                    "day" | "d" => Some(Order::DayFirst),
                    "month" | "m" => Some(Order::MonthFirst),
                    _ => None,
                };
                answers.order.is_some()
            }
            Self::Mixed { .. } | Self::OtherWay { .. } | Self::MixedMarks { .. } => false,
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

fn insert(map: &mut std::collections::BTreeMap<String, String>, key: &str, value: &str) -> bool {
    map.insert(key.to_owned(), value.to_owned());
    true
}
