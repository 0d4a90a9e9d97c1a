//! How the places of a survey were chosen.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use super::Written;

/// Whether chance or a person chose the places that were looked at.
///
/// Written `drawn`, `drawn: 12 at random, seed 7`, `by choice`, or left empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Placement {
    /// Chance chose, by the plan named here if any is.
    /// What the plan is called: so many places, by which seed.
    Drawn {
        /// What the plan is called: how many places, by which seed.
        plan: Option<Arc<str>>,
    },
    /// Someone went where it looked right to them, which is where the plants are good.
    ByChoice,
    /// Nobody wrote down how.
    #[default]
    NotSaid,
}

/// A text that says nothing of how places were chosen; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` does not say who chose the places")]
pub struct PlacementError(String);

impl FromStr for Placement {
    type Err = PlacementError;

    fn from_str(text: &str) -> Result<Self, PlacementError> {
        let (how, plan) = match text.split_once(':') {
            Some((how, plan)) => (how.trim(), Some(plan.trim()).filter(|plan| !plan.is_empty())),
            None => (text.trim(), None),
        };
        match (how, plan) {
            ("", None) => Ok(Self::NotSaid),
            ("drawn", plan) => Ok(Self::Drawn { plan: plan.map(Arc::from) }),
            ("by choice", None) => Ok(Self::ByChoice),
            _ => Err(PlacementError(text.to_owned())),
        }
    }
}

impl Written for Placement {}

/// As it is read.
impl fmt::Display for Placement {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawn { plan: None } => out.write_str("drawn"),
            Self::Drawn { plan: Some(plan) } => write!(out, "drawn: {plan}"),
            Self::ByChoice => out.write_str("by choice"),
            Self::NotSaid => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_placement_is_read_as_it_is_written() {
        for text in ["", "drawn", "drawn: 12 at random, seed 7: east half", "by choice"] {
            assert_eq!(text.parse::<Placement>().unwrap().to_string(), text);
        }
        for bad in ["random", "by choice: near the gate", "drawn by lot"] {
            assert!(bad.parse::<Placement>().is_err(), "`{bad}` was taken");
        }
    }
}
