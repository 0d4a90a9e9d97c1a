//! From a survey to the standing crop of a patch, one file a method.

mod effort;
mod quadrats;

pub use effort::{
    Usefulness, quadrats_for_interval, quadrats_for_precision, quadrats_with_assurance,
    share_of_best_kept,
};
pub use quadrats::{StratumSample, stratified_mean, stratified_total};

use crate::estimate::Estimate;
use crate::records::SurveySummary;
use crate::units::SquareMetres;

/// The ground or the plants that a survey's sample stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Harvestable ground.
    pub area: SquareMetres,
    /// Plants that may be harvested, where the patch is a count of plants.
    pub plants: Option<u32>,
}

/// The standing crop of the whole patch, in the crop's measure.
///
/// `None` where the survey's sampling unit does not fit the patch (frames on a patch of
/// counted plants, or the reverse), or where nothing was measured.
pub fn standing_crop(survey: &SurveySummary, extent: &Extent) -> Option<Estimate> {
    match survey {
        SurveySummary::Quadrats(strata) => quadrats::standing_crop(strata, extent),
    }
}
