//! Answers as they are kept for the next table of the same shape, in TOML.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::answers::{Answers, Rough, is_column, kind_called};
use super::cell::Sheet;
use super::day::Order;
use super::header::{WITHIN, shape};
use super::quantity::Mark;

const HEAD: &str = "# How tables with these headers are read. Made by `stintbook bring`; change what \
                    is wrong,\n# or delete the file to be asked anew.\n";

/// What is kept, and the headers by which its table is known again.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// In order, folded.
    pub shape: Vec<String>,
    /// What was said of that table.
    pub answers: Answers,
}

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct InToml {
    headers: Vec<String>,
    #[serde(rename = "as")]
    kind: Option<String>,
    first: Option<First>,
    decimal: Option<Decimal>,
    rough: Option<OfRough>,
    gaps: Option<Gaps>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    column: BTreeMap<String, String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    unit: BTreeMap<String, String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    say: BTreeMap<String, String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    set: BTreeMap<String, String>,
}

/// Words of a file for the values of an answer, both ways.
macro_rules! words {
    ($name:ident: $of:ty { $($word:ident = $value:expr),+ }) => {
        #[derive(Clone, Copy, Debug, Serialize, Deserialize)]
        #[serde(rename_all = "lowercase")]
        enum $name { $($word),+ }

        impl $name {
            fn of(value: $of) -> Option<Self> {
                [$((Self::$word, $value)),+].into_iter().find(|(_, it)| *it == value).map(|(word, _)| word)
            }

            fn meant(self) -> $of {
                match self { $(Self::$word => $value),+ }
            }
        }
    };
}

words! { First: Order { Day = Order::DayFirst, Month = Order::MonthFirst } }
words! { Decimal: Mark { Comma = Mark::Comma, Point = Mark::Point } }
words! { OfRough: Rough { Middle = Rough::Middle, Unread = Rough::Unread } }
words! { Gaps: bool { Fill = true, Leave = false } }

impl Kept {
    /// # Errors
    /// What is wrong with the text, with its way out.
    pub fn read(toml: &str) -> Result<Self, String> {
        let read: InToml = toml::from_str(toml).map_err(|error| error.message().to_owned())?;
        let kind = match &read.kind {
            Some(name) => {
                Some(kind_called(name).ok_or_else(|| format!("`{name}` is no kind of record"))?)
            }
            None => None,
        };
        if let Some(strange) = read.set.keys().find(|name| !is_column(name)) {
            return Err(format!("`{strange}` is no column of a file"));
        }
        let answers = Answers {
            kind,
            order: read.first.map(First::meant),
            decimal: read.decimal.map(Decimal::meant),
            rough: read.rough.map(OfRough::meant),
            year: None,
            fill_down: read.gaps.map(Gaps::meant),
            columns: read.column,
            units: read.unit,
            say: read.say,
            set: read.set,
        };
        Ok(Self { shape: read.headers, answers })
    }

    /// As a file has it.
    pub fn toml(&self) -> String {
        let Answers { kind, order, decimal, rough, fill_down, columns, units, say, set, .. } =
            self.answers.clone();
        let written = InToml {
            headers: self.shape.clone(),
            kind: kind.map(|kind| kind.name().to_owned()),
            first: order.and_then(First::of),
            decimal: decimal.and_then(Decimal::of),
            rough: rough.and_then(OfRough::of),
            gaps: fill_down.and_then(Gaps::of),
            column: columns,
            unit: units,
            say,
            set,
        };
        // Texts and tables of texts can always be written.
        HEAD.to_owned() + &toml::to_string(&written).unwrap_or_default()
    }

    /// Whether a sheet has these headers in one of its first rows.
    pub fn fits(&self, sheet: &Sheet) -> bool {
        !self.shape.is_empty()
            && sheet.rows.iter().take(WITHIN).any(|row| shape(&row.cells) == self.shape)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Kind;

    #[test]
    fn what_is_kept_is_read_as_it_was_written() {
        let mut answers = Answers {
            kind: Some(Kind::Cut),
            order: Some(Order::MonthFirst),
            decimal: Some(Mark::Comma),
            rough: Some(Rough::Middle),
            fill_down: Some(false),
            ..Answers::default()
        };
        answers.columns.insert("Wer = \"er\"".to_owned(), "by".to_owned());
        answers.say.insert("kowhai".to_owned(), "Hill/Bank".to_owned());
        let kept = Kept { shape: vec!["a".to_owned(), String::new()], answers };
        assert_eq!(Kept::read(&kept.toml()), Ok(kept));
        for bad in ["headers = 3", "headers = []\nas = \"soup\"", "headers = []\nmood = 1", "["] {
            assert!(Kept::read(bad).is_err(), "{bad}");
        }
    }
}
