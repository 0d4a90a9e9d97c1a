//! The columns of a kind in the order in which files have them: its own fields, and between and
//! behind them what all kinds have.

use super::property;
use crate::records::{Column, Field, Kind, Listed, Need, for_its_type};

/// The name of a column and the text in it.
pub(super) type Cell = (&'static str, String);

/// The columns of a CSV of this kind, or the properties of a feature of it.
pub fn columns(kind: Kind) -> &'static [Column] {
    for_its_type!(kind, T => Laid::<T>::COLUMNS)
}

struct Laid<T>(T);

impl<T: Listed> Laid<T> {
    const LIST: List = laid::<T>();
    const COLUMNS: &'static [Column] = Self::LIST.columns.split_at(Self::LIST.n).0;
}

/// A list of columns with room behind them.
struct List {
    columns: [Column; 48],
    n: usize,
}

impl List {
    const fn and(mut self, more: &[Column]) -> Self {
        let mut at = 0;
        while at < more.len() {
            self.columns[self.n] = more[at];
            self.n += 1;
            at += 1;
        }
        self
    }

    const fn and_fields(mut self, fields: &[Field]) -> Self {
        let mut at = 0;
        while at < fields.len() {
            self = self.and(fields[at].columns);
            at += 1;
        }
        self
    }
}

const fn laid<T: Listed>() -> List {
    let list = List { columns: [FACT; 48], n: 0 };
    if T::HAS_SHAPE {
        let fields = list.and(&[property::KIND]).and_fields(T::FIELDS);
        fields.and(&[property::DATE, BY, RECORDED_ON, property::FACT])
    } else if T::IS_DEED {
        let (place, rest) = T::FIELDS.split_at(1);
        let signed = list.and_fields(place).and(&[T::DATE, BY]);
        signed.and_fields(rest).and(&[VISIT, SURE, RECORDED_ON, FACT])
    } else {
        list.and_fields(T::FIELDS).and(&[T::DATE, BY, RECORDED_ON, FACT])
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
