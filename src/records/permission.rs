//! What the occupier agreed to.

use std::sync::Arc;

use jiff::civil::Date;

use super::SiteName;
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
}
