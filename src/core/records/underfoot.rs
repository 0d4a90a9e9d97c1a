//! What people tread on where they pick.

use std::fmt;
use std::str::FromStr;

use super::Written;

/// What grows under the feet of those who pick on a patch, which need not be its crop.
///
/// How much each bears is the affair of `pressure`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Underfoot {
    /// Low heath.
    Heath,
    /// Ferns or bracken under trees.
    Fern,
    /// The soft herbs of a wood's floor.
    WoodlandHerbs,
    /// Rough grass in tussocks.
    TussockGrass,
    /// Herbs and grasses together, not mown short.
    Meadow,
    /// Short turf that is mown, grazed or walked on.
    Lawn,
    /// Rock, shingle, a built path: nothing that feet could wear. Rock with fronds is not bare.
    Bare,
}

/// A text that names no kind of ground; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a kind of ground underfoot")]
pub struct UnderfootError(String);

impl Underfoot {
    /// Every kind of ground.
    pub const ALL: [Self; 7] = [
        Self::Heath,
        Self::Fern,
        Self::WoodlandHerbs,
        Self::TussockGrass,
        Self::Meadow,
        Self::Lawn,
        Self::Bare,
    ];

    /// As files have it: `woodland herbs`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Heath => "heath",
            Self::Fern => "fern",
            Self::WoodlandHerbs => "woodland herbs",
            Self::TussockGrass => "tussock grass",
            Self::Meadow => "meadow",
            Self::Lawn => "lawn",
            Self::Bare => "bare",
        }
    }
}

impl FromStr for Underfoot {
    type Err = UnderfootError;

    fn from_str(text: &str) -> Result<Self, UnderfootError> {
        let named = |kind: &Self| kind.name().eq_ignore_ascii_case(text.trim());
        Self::ALL.into_iter().find(named).ok_or_else(|| UnderfootError(text.to_owned()))
    }
}

impl Written for Underfoot {}

impl fmt::Display for Underfoot {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}
