//! Properties that features have for what rows say otherwise or not at all.

use crate::records::{Column, Need};

pub(super) const KIND: Column =
    Column::text("kind", Need::Filled, "`site`, `zone`, `patch`, `redraw` or `landmark`", "site");

pub(super) const DATE: Column = Column::text(
    "date",
    Need::Optional,
    "the day it was set down, like `2027-03-14`; may be left out where `recorded_on` is given; \
     once for all features if it stands beside `features`",
    "2027-03-14",
);

pub(super) const FACT: Column = Column::text(
    "fact",
    Need::Optional,
    "the id of the fact, as `export` writes it in the feature's `id`, where it is read too; \
     empty for something new",
    "",
);
