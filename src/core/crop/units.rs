//! Counted units times what one of them weighs.
//!
//! Units are rosettes, heads or stems, or a handful, bunch or basket that the surveyor has
//! weighed as a unit. Their number is either counted in full, and then has no sampling error,
//! or it is the total of a sample (see `quadrats`). The weight of one is the mean of those
//! weighed, with variance s²/n; the two are independent, so their product has Goodman's
//! variance (see `product`).

use super::quadrats;
use super::{Account, Extent, product};
use crate::estimate::{Estimate, Sample};
use crate::records::{CountedSummary, UnitSummary};

/// Grams; or units, where the crop is reckoned in the very units counted.
pub(super) fn standing_crop(units: &UnitSummary, extent: &Extent) -> Option<Estimate> {
    let counted = match &units.counted {
        CountedSummary::InAll(units) => in_all(*units, extent),
        CountedSummary::Sampled(strata) => quadrats::standing_crop(strata, extent)?,
    };
    match units.weight {
        None => Some(counted),
        Some(weight) => {
            let weighed = mean(weight)?;
            let total = product(counted, weighed);
            // Where all were counted, the weighings are all that was sampled.
            let n = if counted.n == 0 { weighed.n } else { counted.n };
            Some(Estimate { n, ..total })
        }
    }
}

/// Nothing where nothing may be harvested.
fn in_all(units: f64, extent: &Extent) -> Estimate {
    let is_open = extent.area.0 > 0.0 || extent.plants.is_some_and(|plants| plants > 0);
    let best = if is_open { units } else { 0.0 };
    Estimate { best, standard_error: 0.0, degrees_of_freedom: f64::INFINITY, n: 0 }
}

/// The mean of a sample of a population that has no end; `None` for a single measurement,
/// which shows no spread.
pub(super) fn mean(sample: Sample) -> Option<Estimate> {
    let degrees_of_freedom = sample.n.checked_sub(1).filter(|&df| df > 0)? as f64;
    let standard_error = sample.variance_of_mean(None).sqrt();
    Some(Estimate { best: sample.mean, standard_error, degrees_of_freedom, n: sample.n })
}

pub(super) fn account(units: &UnitSummary) -> Account {
    Account::Counted {
        all: matches!(units.counted, CountedSummary::InAll(_)),
        weighed: units.weight.map(|weight| (weight.n, weight.mean)),
    }
}
