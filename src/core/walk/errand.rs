//! What is asked of a walk: what the patches offer, and what is wanted.

use std::sync::Arc;

use geo::Point;

use super::RoundingUnit;
use crate::units::{Amount, Measure, Metres};

/// What one patch offers of its crop.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The crop's name.
    pub crop: Arc<str>,
    /// What a cook uses it for.
    pub kitchen_role: Arc<str>,
    /// Whether it is weighed or counted.
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
    /// What amounts are rounded to.
    pub unit: RoundingUnit,
}

/// What is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// One crop.
    Crop {
        /// Its name.
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
    /// Which crop or role.
    pub wanted: Wanted,
    /// More than 0.
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

/// Offers, demands and what binds them: all that a plan is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errand<'a> {
    /// One a patch.
    pub offers: &'a [Offer],
    /// What several offers may give together, such as a permission for all patches of a site.
    pub group_limits: &'a [Amount],
    /// In the order of wishes.
    pub demands: &'a [Demand],
    /// Where the walk begins; `None` where nobody said.
    pub start: Option<Start>,
    /// How far the highest share of a limit may lie over the least possible one, to save
    /// walking: 0.1 is a tenth of a limit.
    pub slack: f64,
}

/// Why no plan was made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// An offer names a group that is not there.
    #[error("offer {offer} shares group limit {group}, which is not there")]
    NoSuchGroup {
        /// Its position.
        offer: usize,
        /// The position that it names.
        group: usize,
    },
    /// An offer names a group that is reckoned otherwise.
    #[error("offer {offer} shares group limit {group}, which is in another measure")]
    OtherMeasure {
        /// Its position.
        offer: usize,
        /// The position of the limit.
        group: usize,
    },
    /// What the solver says.
    #[error("the linear programme was not solved: {0}")]
    Unsolved(String),
}

impl Offer {
    /// Whether it is of the crop or the role that is wanted, in the measure wanted.
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
