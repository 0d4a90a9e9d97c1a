//! What people say of their tables, beforehand or when they are asked.

use std::collections::BTreeMap;

use super::day::Order;
use super::quantity::Mark;
use crate::intake::{SHEETS, columns};
use crate::records::{Column, Kind, folded};

/// What becomes of an amount that is only about right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rough {
    /// The number that is named, or the middle of a range.
    Middle,
    /// Its row comes back unread.
    Unread,
}

/// Answers, by what they are about; whatever is not said is asked where it matters.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answers {
    /// What the rows are.
    pub kind: Option<Kind>,
    /// What stands first in days like `3/4/2027`.
    pub order: Option<Order>,
    /// What stands between a whole number and its parts.
    pub decimal: Option<Mark>,
    /// What becomes of amounts like `approx 2-3kg`.
    pub rough: Option<Rough>,
    /// Of days that have none.
    pub year: Option<i16>,
    /// Whether a gap says what stands above it.
    pub fill_down: Option<bool>,
    /// By header: the column of files, or `-` to leave it out.
    pub columns: BTreeMap<String, String>,
    /// By header: what its bare numbers are in.
    pub units: BTreeMap<String, String>,
    /// By what a cell says, whole: what it means.
    pub say: BTreeMap<String, String>,
    /// By column of files: what all rows have there.
    pub set: BTreeMap<String, String>,
}

/// A column that is to be left out.
pub const LEFT_OUT: &str = "-";

impl Answers {
    /// These, and of the others what these do not say.
    pub fn over(mut self, others: &Self) -> Self {
        self.kind = self.kind.or(others.kind);
        self.order = self.order.or(others.order);
        self.decimal = self.decimal.or(others.decimal);
        self.rough = self.rough.or(others.rough);
        self.year = self.year.or(others.year);
        self.fill_down = self.fill_down.or(others.fill_down);
        let maps = [
            (&mut self.columns, &others.columns),
            (&mut self.units, &others.units),
            (&mut self.say, &others.say),
            (&mut self.set, &others.set),
        ];
        for (own, other) in maps {
            for (key, value) in other {
                if find(own, key).is_none() {
                    own.insert(key.clone(), value.clone());
                }
            }
        }
        self
    }

    pub(super) fn column(&self, header: &str) -> Option<&str> {
        find(&self.columns, header)
    }

    pub(super) fn unit(&self, header: &str) -> Option<&str> {
        find(&self.units, header)
    }

    pub(super) fn meant(&self, cell: &str) -> Option<&str> {
        find(&self.say, cell)
    }

    pub(super) fn constant(&self, column: &str) -> Option<&str> {
        self.set.get(column).map(String::as_str)
    }

    /// Headers that are explained.
    pub(super) fn headers(&self) -> Vec<String> {
        self.columns.keys().chain(self.units.keys()).map(|header| folded(header)).collect()
    }
}

/// However it is typed.
fn find<'m>(map: &'m BTreeMap<String, String>, key: &str) -> Option<&'m str> {
    if map.is_empty() {
        return None;
    }
    let wanted = folded(key);
    map.iter().find(|(said, _)| folded(said) == wanted).map(|(_, value)| value.as_str())
}

/// What the rows of a table may be.
pub const ROWS: &[Kind] = &SHEETS;

/// The kind that comes as a table and is called so, one or several of it.
pub fn kind_called(name: &str) -> Option<Kind> {
    let name = folded(name);
    SHEETS.into_iter().find(|kind| kind.name() == name || kind.plural() == name)
}

/// Whether any table has such a column.
pub fn is_column(name: &str) -> bool {
    SHEETS.into_iter().flat_map(columns).any(|column: &Column| column.name == name)
}
