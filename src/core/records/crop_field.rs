//! The values of a crop's profile that a site or a patch may have otherwise.

use std::fmt;
use std::str::FromStr;

use super::{Recovery, Written};

/// The values of a crop that a user may replace for a site or patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CropField {
    /// [`super::Crop::window`].
    Season,
    /// [`Recovery::take_fraction`].
    TakeFraction,
    /// [`Recovery::days`].
    RecoveryDays,
    /// [`super::Crop::growth_by_month`].
    GrowthByMonth,
    /// [`super::Crop::full_by_month`].
    FullByMonth,
    /// [`super::Crop::full_late_days`].
    FullLateDays,
    /// [`super::Crop::kept_standing`].
    KeptStanding,
    /// [`super::Crop::reserve`].
    Reserve,
    /// [`super::Crop::cuts_per_season`].
    CutsPerSeason,
    /// [`super::Crop::code_cap`].
    CodeCap,
    /// [`super::Crop::smallest_useful`].
    SmallestUseful,
}

impl CropField {
    /// Every value that may be replaced.
    pub const ALL: [Self; 11] = [
        Self::Season,
        Self::TakeFraction,
        Self::RecoveryDays,
        Self::GrowthByMonth,
        Self::FullByMonth,
        Self::FullLateDays,
        Self::KeptStanding,
        Self::Reserve,
        Self::CutsPerSeason,
        Self::CodeCap,
        Self::SmallestUseful,
    ];

    /// As files call it: `take_fraction`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Season => "season",
            Self::TakeFraction => "take_fraction",
            Self::RecoveryDays => "recovery_days",
            Self::GrowthByMonth => "growth_by_month",
            Self::FullByMonth => "full_by_month",
            Self::FullLateDays => "full_late_days",
            Self::KeptStanding => "kept_standing",
            Self::Reserve => "reserve",
            Self::CutsPerSeason => "cuts_per_season",
            Self::CodeCap => "code_cap",
            Self::SmallestUseful => "smallest_useful",
        }
    }

    /// What the field takes, for messages and help.
    pub const fn expected(self) -> &'static str {
        match self {
            Self::Season => "a span of days, like `11-15..03-20` or `all year`",
            Self::TakeFraction => Recovery::EXPECTED_FRACTION,
            Self::RecoveryDays => "a number of days, more than 0",
            Self::GrowthByMonth => {
                "`all year`, a span of months like `3-10`, or twelve multipliers from 0 to 1 \
                 separated by spaces"
            }
            Self::FullByMonth => {
                "`all year` for a full crop that stands at the same all year, or, for a leaf, twelve \
                 figures of 0 or more separated by spaces, January first: what a full crop comes to \
                 in the middle of each month"
            }
            Self::FullLateDays => {
                "a whole number of days from -60 to 60: how much later the season of the full crop \
                 comes here than the catalogue says, with a minus for earlier"
            }
            Self::KeptStanding => "a fraction over 0 and under 1",
            Self::Reserve => "a fraction from 0 to under 1",
            Self::CutsPerSeason => "a whole number, 1 or more",
            Self::CodeCap => "a fraction over 0, at most 1",
            Self::SmallestUseful => "an amount over 0 in the crop's measure, like `50g` or `1`",
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a value that can be replaced")]
pub struct CropFieldError(String);

impl FromStr for CropField {
    type Err = CropFieldError;

    fn from_str(text: &str) -> Result<Self, CropFieldError> {
        let named = Self::ALL.into_iter().find(|field| field.name() == text);
        named.ok_or_else(|| CropFieldError(text.to_owned()))
    }
}

impl Written for CropField {}

impl fmt::Display for CropField {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}
