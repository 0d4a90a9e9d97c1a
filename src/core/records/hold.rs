//! Quota set aside for a planned walk, so that nobody promises it twice.

use jiff::civil::Date;

use super::column::{AMOUNT, Column, DAY, Need, PATCH, set_down, taken};
use super::declared::fields;
use super::{Land, PatchName, Recorded, SiteName, Taken, WalkName};
use crate::units::Amount;

/// What one walk may take from one patch on its day. It lapses the day after.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// Where it is set aside.
    pub patch: PatchName,
    /// For whom.
    pub walk: WalkName,
    /// The day of the walk.
    pub day: Date,
    /// The most it may take.
    pub amount: Amount,
    /// What taking it will spend of the share.
    pub taken: Taken,
    /// How many people will cut there.
    pub people: Option<u32>,
}

fields! { Hold {
    patch: patch([PATCH]),
    walk: written([Column::text(
        "held_for", Need::Telling, "the name of the walk, like `spring walk`", "spring walk",
    )]),
    day: first_day([DAY]),
    amount: amount(AMOUNT),
    taken: taken([taken("promised", Need::Optional)]),
    people: people([Column::number(
        "people", Need::Optional, "how many people will cut, 1 or more", "9",
    )]),
} }

impl Recorded for Hold {
    const NAME: &'static str = "hold";
    const PLURAL: &'static str = "holds";
    const WHAT: &'static str = "Holds: a row for what is set aside on one patch for one walk.";
    const LAND: Land = Land::Patch;
    const DATE: Column = set_down("the day it was set aside; empty for `day`");

    fn site(&self) -> &SiteName {
        self.patch.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.patch.patch())
    }

    fn key(&self, _: Date, _: &str) -> String {
        format!("{} {}", self.walk, self.patch)
    }

    fn gist(&self) -> String {
        format!("{} from {} for {} on {}", self.amount, self.patch, self.walk, self.day)
    }
}
