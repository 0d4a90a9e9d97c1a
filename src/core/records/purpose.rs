//! What a permission is for, and what is gathered for on a walk.

use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

use super::declared::Written;

/// What becomes of what is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purpose {
    /// The kitchen of whoever has leave.
    OwnUse,
    /// People who are led there, whether they pay for it or not.
    Walk,
    /// Boxes and whatever else is sold.
    Sale,
}

impl Purpose {
    /// Every purpose, in the order in which it is told.
    pub const ALL: [Self; 3] = [Self::OwnUse, Self::Walk, Self::Sale];

    /// As files have it: `own use`.
    pub fn name(self) -> &'static str {
        match self {
            Self::OwnUse => "own use",
            Self::Walk => "walk",
            Self::Sale => "sale",
        }
    }

    /// As it goes into a sentence, behind `for`.
    pub fn spoken(self) -> &'static str {
        match self {
            Self::OwnUse => "own use",
            Self::Walk => "walks",
            Self::Sale => "sale",
        }
    }
}

/// A text that is no purpose; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not what a permission can be for; write `own use`, `walk` or `sale`")]
pub struct PurposeError(String);

impl FromStr for Purpose {
    type Err = PurposeError;

    fn from_str(text: &str) -> Result<Self, PurposeError> {
        let named = |purpose: &Self| purpose.name().eq_ignore_ascii_case(text);
        Self::ALL.into_iter().find(named).ok_or_else(|| PurposeError(text.to_owned()))
    }
}

impl fmt::Display for Purpose {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}

impl Written for Purpose {}

/// One purpose or several, written with `;` between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purposes(BTreeSet<Purpose>);

impl Purposes {
    /// Whether it is among them.
    pub fn has(&self, purpose: Purpose) -> bool {
        self.0.contains(&purpose)
    }

    /// Each of them, in the order of [`Purpose::ALL`].
    pub fn iter(&self) -> impl Iterator<Item = Purpose> {
        self.0.iter().copied()
    }
}

impl From<Purpose> for Purposes {
    fn from(purpose: Purpose) -> Self {
        Self(BTreeSet::from([purpose]))
    }
}

impl FromStr for Purposes {
    type Err = PurposeError;

    fn from_str(text: &str) -> Result<Self, PurposeError> {
        text.split(';').map(|one| one.trim().parse()).collect::<Result<_, _>>().map(Self)
    }
}

impl fmt::Display for Purposes {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<&str> = self.iter().map(Purpose::name).collect();
        out.pad(&names.join("; "))
    }
}

impl Written for Purposes {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn purposes_are_read_as_they_are_written_once_each_and_in_one_order() {
        for text in ["own use", "walk", "own use; walk; sale"] {
            assert_eq!(text.parse::<Purposes>().unwrap().to_string(), text);
        }
        assert_eq!("Sale;walk; SALE".parse::<Purposes>().unwrap().to_string(), "walk; sale");
        for bad in ["", ";", "walk;", "feasts"] {
            assert!(bad.parse::<Purposes>().is_err(), "`{bad}` was taken");
        }
    }
}
