//! A recorded harvest.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::column::{AMOUNT, Column, Need, PATCH, taken};
use super::declared::{Written, fields};
use super::{Land, PatchName, Recorded, SiteName, WalkName};
use crate::units::Amount;

/// What one visit took from one patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Where it was cut.
    pub patch: PatchName,
    /// What came off, in the crop's measure; may be 0.
    pub amount: Amount,
    /// How much of what was allowed it used.
    pub taken: Taken,
    /// How many people cut; `None` where nobody wrote it down.
    pub people: Option<u32>,
    /// `scissors`, `by hand`.
    pub method: Option<Arc<str>>,
    /// The walk on which it was cut.
    pub walk: Option<WalkName>,
}

fields! { Cut {
    patch: patch([PATCH]),
    amount: amount(AMOUNT),
    taken: taken([taken("taken", Need::Telling)]),
    people: people([Column::number("people", Need::Optional, "how many people cut, 1 or more", "9")]),
    method: maybe_word([Column::text(
        "method", Need::Optional, "the way of cutting, like `scissors`", "scissors",
    )]),
    walk: maybe_written([Column::text(
        "walk", Need::Optional, "the name of the walk on which it was cut", "",
    )]),
} }

impl Recorded for Cut {
    const NAME: &'static str = "cut";
    const PLURAL: &'static str = "cuts";
    const WHAT: &'static str = "Cuts: a row for what one visit took from one patch.";
    const LAND: Land = Land::Patch;
    const IS_DEED: bool = true;

    fn site(&self) -> &SiteName {
        self.patch.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.patch.patch())
    }

    fn key(&self, happened_on: Date, by: &str) -> String {
        format!("{} {happened_on} {by}", self.patch)
    }

    fn gist(&self) -> String {
        let people = match self.people {
            Some(people) => format!(", {people} people"),
            None => String::new(),
        };
        let walk = match &self.walk {
            Some(walk) => format!(", on {walk}"),
            None => String::new(),
        };
        format!("{} from {}, taken {}{people}{walk}", self.amount, self.patch, self.taken)
    }
}

/// How far a visit used what it was allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// All that the share allowed: the share is spent, whatever the basket weighed.
    All,
    /// Less, or more, than the share allowed: charged by weight.
    ByWeight,
    /// One in this many of what was seen.
    OneIn(u32),
}

impl fmt::Display for Taken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::All => out.pad("all"),
            Self::ByWeight => out.pad("part"),
            Self::OneIn(n) => out.pad(&format!("1 in {n}")),
        }
    }
}

impl Written for Taken {
    fn is_unusable(&self) -> Option<&'static str> {
        (*self == Self::OneIn(0)).then_some("1 in 1 or more")
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` does not say how much of the share was used; write `all`, `part` or `1 in 20`")]
pub struct TakenError(String);

impl FromStr for Taken {
    type Err = TakenError;

    fn from_str(text: &str) -> Result<Self, TakenError> {
        match text.trim() {
            "all" => Ok(Self::All),
            "part" => Ok(Self::ByWeight),
            other => other
                .strip_prefix("1 in ")
                .and_then(|n| n.trim().parse().ok())
                .filter(|&n: &u32| n > 0)
                .map(Self::OneIn)
                .ok_or_else(|| TakenError(other.to_owned())),
        }
    }
}
