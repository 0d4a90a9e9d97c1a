//! What is asked of a walk: what the patches offer, and what is wanted.

use std::sync::Arc;

use geo::Point;

use super::RoundingUnit;
use crate::units::{Amount, Measure, Metres};

/// What one patch offers of its crop.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub crop: Arc<str>,
    pub kitchen_role: Arc<str>,
    pub measure: Measure,
    /// The most that may be taken, in grams or pieces; `None` where the more is taken the
    /// better.
    pub limit: Option<f64>,
    /// The group limits that it shares with other offers, by their position.
    pub groups: Vec<usize>,
    /// In degrees.
    pub at: Point,
    /// Less than this is not worth a cut, in grams or pieces. Where all that is wanted of the
    /// patch is less, that is worth it.
    pub least: f64,
    pub unit: RoundingUnit,
}

/// What is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    Crop {
        crop: Arc<str>,
        /// Where substitutes are looked for.
        kitchen_role: Arc<str>,
    },
    /// Any crops of one kitchen role.
    Role(Arc<str>),
}

/// How much is wanted. An amount in grams is met by crops that are weighed, and an amount in
/// pieces by crops that are counted: the two are never added.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    pub wanted: Wanted,
    pub amount: Amount,
}

/// Where the walk begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// In degrees.
    pub at: Point,
    /// Patches further off, as the crow flies, are left out.
    pub within: Option<Metres>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errand<'a> {
    pub offers: &'a [Offer],
    /// What several offers may give together, such as a permission for all patches of a site.
    pub group_limits: &'a [Amount],
    pub demands: &'a [Demand],
    pub start: Option<Start>,
    /// How far the highest share of a limit may lie over the least possible one, to save
    /// walking: 0.1 is a tenth of a limit.
    pub slack: f64,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    #[error("offer {offer} shares group limit {group}, which is not there")]
    NoSuchGroup { offer: usize, group: usize },
    #[error("offer {offer} shares group limit {group}, which is in another measure")]
    OtherMeasure { offer: usize, group: usize },
    #[error("the linear programme was not solved: {0}")]
    Unsolved(String),
}

impl Offer {
    pub fn serves(&self, demand: &Demand) -> bool {
        let fits = match &demand.wanted {
            Wanted::Crop { crop, .. } => *crop == self.crop,
            Wanted::Role(role) => *role == self.kitchen_role,
        };
        fits && demand.amount.measure == self.measure
    }

    /// Whether it has a part in an errand that asks for this: it serves, or could be named in the
    /// place of what falls short.
    pub(super) fn concerns(&self, demand: &Demand) -> bool {
        match &demand.wanted {
            Wanted::Crop { kitchen_role, .. } => *kitchen_role == self.kitchen_role,
            Wanted::Role(role) => *role == self.kitchen_role,
        }
    }
}

impl Errand<'_> {
    /// # Errors
    /// An offer in a group that is not there or that adds grams to pieces.
    pub(super) fn check(&self) -> Result<(), PlanError> {
        for (offer, offered) in self.offers.iter().enumerate() {
            for &group in &offered.groups {
                let limit =
                    self.group_limits.get(group).ok_or(PlanError::NoSuchGroup { offer, group })?;
                if limit.measure != offered.measure {
                    return Err(PlanError::OtherMeasure { offer, group });
                }
            }
        }
        Ok(())
    }
}
