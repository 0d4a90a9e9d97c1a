//! What the occupier agreed to.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, SITE, set_down};
use super::declared::{Written, fields};
use super::{Contradiction, Land, Purpose, Purposes, Recorded, SiteName};
use crate::units::Amount;

/// On what a permission rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    /// In writing.
    Written,
    /// By word of mouth.
    Spoken,
    /// A right of common or another right of one's own.
    Right,
    /// What has always been done and never objected to.
    Custom,
}

impl Basis {
    /// Every basis, the surest first.
    pub const ALL: [Self; 4] = [Self::Written, Self::Spoken, Self::Right, Self::Custom];

    /// In a word: `written`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Written => "written",
            Self::Spoken => "spoken",
            Self::Right => "right",
            Self::Custom => "custom",
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not what a permission rests on")]
pub struct BasisError(String);

impl FromStr for Basis {
    type Err = BasisError;

    fn from_str(text: &str) -> Result<Self, BasisError> {
        let named = |basis: &Self| basis.name().eq_ignore_ascii_case(text);
        Self::ALL.into_iter().find(named).ok_or_else(|| BasisError(text.to_owned()))
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}

impl Written for Basis {}

const LIFTS_CODE_CAP: &str = "lifts_code_cap";

/// Leave to gather on a site, within its terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Permission {
    /// Where it holds.
    pub site: SiteName,
    /// How sure it is.
    pub basis: Basis,
    /// What for; `None` where nobody said, which counts as own use.
    pub purposes: Option<Purposes>,
    /// The first day it holds.
    pub from: Date,
    /// The last day it holds; `None` until further notice.
    pub to: Option<Date>,
    /// Crop names; empty for every crop.
    pub crops: Vec<Arc<str>>,
    /// Ways of cutting, such as `scissors`; empty for any.
    pub methods: Vec<Arc<str>>,
    /// Most of each crop from the site in one day.
    pub cap_per_visit: Option<Amount>,
    /// Most of each crop from the site in one season.
    pub cap_per_season: Option<Amount>,
    /// Most people who may come at once; `None` for any number.
    pub largest_party: Option<u32>,
    /// The occupier wants to be asked before each visit.
    pub ask_first: bool,
    /// The occupier has agreed in writing to a take above the code of practice's cap.
    pub lifts_code_cap: bool,
    /// In words of one's own; kept out of every report.
    pub note: Option<Arc<str>>,
}

fields! { Permission {
    site: site([SITE]),
    basis: written([Column::text(
        "basis", Need::Telling, "`written`, `spoken`, `right` or `custom`", "spoken",
    )]),
    purposes: maybe_written([Column::text(
        "for",
        Need::Optional,
        "`own use`, `walk` or `sale`, separated by `;`; empty for own use",
        "own use; walk",
    )]),
    from: first_day([Column::text(
        "from", Need::Filled, "its first day, like `2027-03-01`", "2027-03-01",
    )]),
    to: last_day([Column::text(
        "to",
        Need::Optional,
        "its last day, like `2027-10-31`; empty until further notice",
        "2027-10-31",
    )]),
    crops: crops([Column::text(
        "crops",
        Need::Optional,
        "crops of the catalogue, separated by `;`; empty for every crop",
        "",
    )]),
    methods: words([Column::text(
        "methods",
        Need::Optional,
        "ways of cutting, separated by `;`; empty for any",
        "scissors; by hand",
    )]),
    cap_per_visit: cap([
        Column::number(
            "cap_per_visit_g", Need::Optional, "the most grams of each crop in one day", "2000",
        ),
        Column::number("cap_per_visit_count", Need::Optional, "the most pieces in one day", ""),
    ]),
    cap_per_season: cap([
        Column::number(
            "cap_per_season_g", Need::Optional, "the most grams of each crop in one season", "",
        ),
        Column::number("cap_per_season_count", Need::Optional, "the most pieces in one season", ""),
    ]),
    largest_party: people([Column::number(
        "largest_party", Need::Optional, "how many people may come at once", "12",
    )]),
    ask_first: yes_or_no([Column::text(
        "ask_first",
        Need::Optional,
        "`yes` if the occupier wants to be asked before each visit, or `no`; empty for no",
        "yes",
    )]),
    lifts_code_cap: yes_or_no([Column::text(
        LIFTS_CODE_CAP,
        Need::Optional,
        "`yes` if more than a code of practice's cap is agreed in writing, or `no`; empty for no",
        "no",
    )]),
    note: maybe_word([NOTE]),
} }

impl Recorded for Permission {
    const NAME: &'static str = "permission";
    const PLURAL: &'static str = "permissions";
    const WHAT: &'static str = "Permissions: a row for each thing that an occupier agreed to.";
    const LAND: Land = Land::Site;
    const DATE: Column = set_down("the day it was agreed; empty for `from`");

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        let crops =
            if self.crops.is_empty() { "every crop".to_owned() } else { self.crops.join(" ") };
        format!("{} {} {crops}", self.site, self.from)
    }

    fn gist(&self) -> String {
        let purposes = self.purposes.as_ref().map(|it| format!(", for {it}")).unwrap_or_default();
        format!("{} for {} from {}{purposes}", self.basis.name(), self.site, self.from)
    }

    fn contradiction(&self) -> Option<Contradiction> {
        let unwritten = self.lifts_code_cap && self.basis != Basis::Written;
        unwritten.then(|| Contradiction {
            column: LIFTS_CODE_CAP,
            found: format!("a `{}` permission lifts no code of practice", self.basis),
            expected: "`no`, or the basis `written`",
        })
    }
}

impl Permission {
    /// Whether that day is among those for which it was given.
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && self.to.is_none_or(|last| day <= last)
    }

    /// Whether it was given for a crop of that name.
    pub fn covers_crop(&self, crop: &str) -> bool {
        self.crops.is_empty() || self.crops.iter().any(|name| &**name == crop)
    }

    /// Whether it says so; nothing but own use is taken for granted.
    pub fn is_for(&self, purpose: Purpose) -> bool {
        self.purposes.as_ref().map_or(purpose == Purpose::OwnUse, |said| said.has(purpose))
    }

    /// Those it is for, as they count.
    pub fn counts_for(&self) -> impl Iterator<Item = Purpose> {
        Purpose::ALL.into_iter().filter(|purpose| self.is_for(*purpose))
    }

    /// Whether one may cut so; `None` for a way that nobody told.
    pub fn covers_method(&self, method: Option<&str>) -> bool {
        self.methods.is_empty()
            || method.is_none_or(|method| self.methods.iter().any(|name| &**name == method))
    }

    /// Whether whatever this allows, the other allows too.
    pub(super) fn is_within(&self, other: &Self) -> bool {
        let days = other.from <= self.from && ends_by(self.to, other.to);
        days && is_part(&self.crops, &other.crops)
            && is_part(&self.methods, &other.methods)
            && is_capped_by(self.cap_per_visit, other.cap_per_visit)
            && is_capped_by(self.cap_per_season, other.cap_per_season)
            && is_at_most(self.largest_party, other.largest_party)
            && self.ask_first >= other.ask_first
            && self.lifts_code_cap <= other.lifts_code_cap
            && self.counts_for().all(|purpose| other.is_for(purpose))
    }
}

fn ends_by(last: Option<Date>, limit: Option<Date>) -> bool {
    limit.is_none_or(|limit| last.is_some_and(|last| last <= limit))
}

/// An empty list stands for everything.
fn is_part<T: PartialEq>(some: &[T], all: &[T]) -> bool {
    all.is_empty() || (!some.is_empty() && some.iter().all(|one| all.contains(one)))
}

fn is_capped_by(cap: Option<Amount>, limit: Option<Amount>) -> bool {
    limit.is_none_or(|limit| {
        cap.is_some_and(|cap| cap.measure == limit.measure && cap.value <= limit.value)
    })
}

fn is_at_most(most: Option<u32>, limit: Option<u32>) -> bool {
    limit.is_none_or(|limit| most.is_some_and(|most| most <= limit))
}
