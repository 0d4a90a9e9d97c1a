//! What a column of a CSV, or a property of a feature, is called and takes.
//!
//! Each kind of record has one list of these, in its own file. The reader, the messages,
//! the templates and the README table all go by it.

/// The name of a column and the text in it.
pub(super) type Cell = (&'static str, String);

/// One column or property.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    pub name: &'static str,
    pub need: Need,
    pub form: Form,
    /// Continues "expected …".
    pub expected: &'static str,
    /// A value as it may stand in a file; empty where an example row leaves it out.
    pub example: &'static str,
}

/// Whether a file can do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// In every row or feature.
    Filled,
    /// A column that tells a file's kind: it, or another such column of the kind, must be
    /// there, though cells may be empty.
    Telling,
    /// The column may be missing.
    Optional,
}

/// What a value looks like to a machine; GeoJSON writes numbers without quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    Text,
    Number,
}

impl Column {
    pub(super) const fn text(
        name: &'static str,
        need: Need,
        expected: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, need, form: Form::Text, expected, example }
    }

    pub(super) const fn number(
        name: &'static str,
        need: Need,
        expected: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, need, form: Form::Number, expected, example }
    }
}

pub(super) const BY: Column =
    Column::text("by", Need::Filled, "the name of who saw or did it", "Leader");

pub(super) const RECORDED_ON: Column = Column::text(
    "recorded_on",
    Need::Optional,
    "the day it was written down, like `2027-03-15`; empty for the day it is loaded",
    "",
);

/// The last of every kind's: what `export` writes and nobody needs to.
pub(super) const FACT: Column = Column::text(
    "fact",
    Need::Optional,
    "the id of the fact, as `export` writes it; empty for something new",
    "",
);

pub(super) const DATE: Column =
    Column::text("date", Need::Filled, "a day, year first, like `2027-03-14`", "2027-03-14");

pub(super) const VISIT: Column = Column::number(
    "visit",
    Need::Optional,
    "2 for a second one of the same patch, day and person; empty for the first",
    "",
);

pub(super) const SURE: Column = Column::text(
    "sure",
    Need::Optional,
    "`yes` where a figure looks like a slip and is right; else empty",
    "",
);

pub(super) const NOTE: Column = Column::text("note", Need::Optional, "plain words", "");
