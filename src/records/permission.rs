//! What the occupier agreed to.

use std::sync::Arc;

use jiff::civil::Date;

use super::{Land, Recorded, SiteName};
use crate::units::Amount;

/// On what a permission rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    Written,
    Spoken,
    /// A right of common or another right of one's own.
    Right,
    /// What has always been done and never objected to.
    Custom,
}

impl Basis {
    pub const ALL: [Self; 4] = [Self::Written, Self::Spoken, Self::Right, Self::Custom];

    pub fn name(self) -> &'static str {
        match self {
            Self::Written => "written",
            Self::Spoken => "spoken",
            Self::Right => "right",
            Self::Custom => "custom",
        }
    }
}

/// Leave to gather on a site, within its terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Permission {
    pub site: SiteName,
    pub basis: Basis,
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
    pub largest_party: Option<u32>,
    /// The occupier wants to be asked before each visit.
    pub ask_first: bool,
    /// The occupier has agreed in writing to a take above the code of practice's cap.
    pub lifts_code_cap: bool,
    pub note: Option<Arc<str>>,
}

impl Recorded for Permission {
    const NAME: &'static str = "permission";
    const PLURAL: &'static str = "permissions";
    const WHAT: &'static str = "Permissions: a row for each thing that an occupier agreed to.";
    const LAND: Land = Land::Site;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        let crops =
            if self.crops.is_empty() { "every crop".to_owned() } else { self.crops.join(" ") };
        format!("{} {} {crops}", self.site, self.from)
    }

    fn gist(&self) -> String {
        format!("{} for {} from {}", self.basis.name(), self.site, self.from)
    }
}

impl Permission {
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && self.to.is_none_or(|last| day <= last)
    }

    pub fn covers_crop(&self, crop: &str) -> bool {
        self.crops.is_empty() || self.crops.iter().any(|name| &**name == crop)
    }

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
