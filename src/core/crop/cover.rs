//! Cover times weight at full cover.
//!
//! A class of cover is an interval, not a number: within it the true cover is taken to lie
//! anywhere, with variance width²/12. The variance of the mean cover of n quadrats is
//! `(s² + mean of width²/12)/n`, s² being that of the midpoints: what the quadrats differ by
//! and what the classes leave open. No finite-population correction is made, since the width
//! of the classes stays when all the ground has been looked at. Mean cover and mean weight at
//! full cover are independent; their product has Goodman's variance (see `product`).
//!
//! Cover of 40 % is taken to bear two fifths of what full cover bears, which holds for a crop
//! of even height.

use super::{Account, Extent, product, units};
use crate::estimate::{Estimate, Sample};
use crate::records::CoverSummary;
use crate::units::SquareMetres;

pub(super) fn standing_crop(survey: &CoverSummary, extent: &Extent) -> Option<Estimate> {
    match extent.plants {
        Some(_) => None,
        None => cover_total(survey.cover, survey.full_cover, extent.area),
    }
}

/// The whole of `area`: `cover` in parts of the ground, 0 to 1, `full_cover` in grams a square
/// metre. `None` where either was measured only once.
pub fn cover_total(cover: Sample, full_cover: Sample, area: SquareMetres) -> Option<Estimate> {
    Some(product(units::mean(cover)?, units::mean(full_cover)?).scaled(area.0))
}

pub(super) fn account(survey: &CoverSummary) -> Account {
    Account::Covered {
        cover: survey.cover.mean,
        full_cover_g_m2: survey.full_cover.mean,
        weighings: survey.full_cover.n,
    }
}
