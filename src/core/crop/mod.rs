//! From a survey to the standing crop of a patch, one file a method; what one more quadrat is
//! worth, and what repeated surveys say.

mod account;
mod cover;
mod effort;
mod extent;
mod judged;
mod placement;
mod product;
mod quadrats;
mod trend;
mod units;

pub use account::Account;
pub use cover::cover_total;
pub use effort::{
    Usefulness, quadrats_for_interval, quadrats_for_precision, quadrats_with_assurance,
    share_of_best_kept,
};
pub use extent::Extent;
pub use judged::DoubleSample;
pub use placement::{BY_CHOICE, Penalty};
pub use product::product;
pub use quadrats::{StratumSample, stratified_mean, stratified_total};
pub use trend::{DatedTotal, Trend, YearlyChange};

use crate::estimate::Estimate;
use crate::records::{MethodSummary, Ripe, SurveySummary};

/// The standing crop of the whole patch, in the crop's measure: where only what was ripe was
/// measured, all that will ripen.
///
/// `None` where the survey's sampling unit does not fit the patch (frames on a patch of
/// counted plants, or the reverse), or where nothing was measured.
pub fn standing_crop(survey: &SurveySummary, extent: &Extent) -> Option<Estimate> {
    let estimate = match &survey.method {
        MethodSummary::Quadrats(strata) => quadrats::standing_crop(strata, extent),
        MethodSummary::Judged(judged) => judged::standing_crop(judged, extent),
        MethodSummary::Units(units) => units::standing_crop(units, extent),
        MethodSummary::Cover(cover) => cover::standing_crop(cover, extent),
    };
    let ripe = survey.ripe.map_or(1.0, Ripe::part);
    estimate.map(|estimate| placement::guarded(survey, estimate).scaled(1.0 / ripe))
}

/// What there is to say of how the number was found.
pub fn account(survey: &SurveySummary, extent: &Extent) -> Vec<Account> {
    let how = match &survey.method {
        MethodSummary::Quadrats(strata) => quadrats::account(strata),
        MethodSummary::Judged(judged) => judged::account(judged, extent),
        MethodSummary::Units(units) => Some(units::account(units)),
        MethodSummary::Cover(cover) => Some(cover::account(cover)),
    };
    how.into_iter().chain(placement::account(survey)).collect()
}
