//! What a column of a CSV, or a property of a feature, is called and takes.
//!
//! Each kind of record has one list of these, in its own file. The reader, the messages,
//! the templates and the README table all go by it.

use super::{
    closure, crop_override, cut, glance, hold, patch, permission, site, survey, walk, zone,
};
use crate::records::Kind;

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

pub(super) const NOTE: Column = Column::text("note", Need::Optional, "plain words", "");

/// The columns of a CSV of this kind, or the properties of a feature of it.
pub fn columns(kind: Kind) -> &'static [Column] {
    match kind {
        Kind::Site => site::PROPERTIES,
        Kind::Zone => zone::PROPERTIES,
        Kind::Patch => patch::PROPERTIES,
        Kind::Permission => permission::COLUMNS,
        Kind::Closure => closure::COLUMNS,
        Kind::Override => crop_override::COLUMNS,
        Kind::Walk => walk::COLUMNS,
        Kind::Survey => survey::COLUMNS,
        Kind::Glance => glance::COLUMNS,
        Kind::Hold => hold::COLUMNS,
        Kind::Cut => cut::COLUMNS,
    }
}

/// The kinds that come as rows of a CSV.
pub const SHEETS: [Kind; 8] = [
    Kind::Survey,
    Kind::Glance,
    Kind::Cut,
    Kind::Permission,
    Kind::Closure,
    Kind::Override,
    Kind::Walk,
    Kind::Hold,
];

/// The kinds that come as features of a GeoJSON file.
pub const FEATURES: [Kind; 3] = [Kind::Site, Kind::Zone, Kind::Patch];

/// What several records of a kind are called, for files and messages: `surveys`.
pub fn plural(kind: Kind) -> &'static str {
    match kind {
        Kind::Site => "sites",
        Kind::Zone => "zones",
        Kind::Patch => "patches",
        Kind::Permission => "permissions",
        Kind::Closure => "closures",
        Kind::Override => "overrides",
        Kind::Walk => "walks",
        Kind::Survey => "surveys",
        Kind::Glance => "glances",
        Kind::Hold => "holds",
        Kind::Cut => "cuts",
    }
}

/// The columns any of which tells by its presence that a CSV is of this kind.
pub(super) fn telling(kind: Kind) -> impl Iterator<Item = &'static str> {
    let telling = columns(kind).iter().filter(|column| column.need == Need::Telling);
    telling.map(|column| column.name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_tell_each_kind_of_csv_and_no_other_kind_has_them() {
        for kind in SHEETS {
            assert!(telling(kind).count() > 0, "{kind:?}");
            for other in SHEETS.into_iter().filter(|other| *other != kind) {
                let has = |name| columns(other).iter().any(|column| column.name == name);
                assert!(!telling(kind).any(has), "{kind:?} and {other:?}");
            }
        }
    }

    #[test]
    fn no_kind_has_two_columns_of_one_name() {
        for kind in Kind::ALL {
            let mut names: Vec<_> = columns(kind).iter().map(|column| column.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), columns(kind).len(), "{kind:?}");
        }
    }
}
