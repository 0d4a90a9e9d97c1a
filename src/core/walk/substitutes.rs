//! Other crops that could stand in for one that falls short.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::errand::{Errand, Wanted};
use super::takings::Takings;
use super::task::Task;
use crate::units::Measure;

/// Another crop of the same kitchen role as one that falls short. It is named, never taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Substitute {
    /// The demand that falls short.
    pub demand: usize,
    /// Its name.
    pub crop: Arc<str>,
    /// Whether it is weighed or counted.
    pub measure: Measure,
    /// What its patches can give besides all that is taken, in grams or pieces; `None` if there
    /// is no end to it.
    pub could_give: Option<u64>,
}

/// By demand, then by the name of the crop.
pub(super) fn substitutes(errand: &Errand, task: &Task, takings: &Takings) -> Vec<Substitute> {
    let left = left_by_crop(errand, task, takings);
    let short = errand.demands.iter().enumerate().filter(|(n, _)| takings.missing(*n) > 0);
    let named = short.flat_map(|(demand, wants)| {
        let others = left.iter().filter(|left| match &wants.wanted {
            Wanted::Crop { crop, kitchen_role } => {
                left.crop != *crop && left.kitchen_role == *kitchen_role
            }
            Wanted::Role(_) => false,
        });
        others.map(move |left| Substitute {
            demand,
            crop: left.crop.clone(),
            measure: left.measure,
            could_give: left.amount,
        })
    });
    named.collect()
}

#[derive(Debug)]
struct Left {
    crop: Arc<str>,
    kitchen_role: Arc<str>,
    measure: Measure,
    amount: Option<u64>,
}

/// What each crop can still give, where that is anything.
fn left_by_crop(errand: &Errand, task: &Task, takings: &Takings) -> Vec<Left> {
    let mut by_crop: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (n, source) in task.sources.iter().enumerate() {
        by_crop.entry(&errand.offers[source.offer].crop).or_default().push(n);
    }
    let left = |sources: Vec<usize>| {
        let offer = &errand.offers[task.sources[*sources.first()?].offer];
        let amount = takings.left_together(&sources);
        (amount != Some(0)).then(|| Left {
            crop: offer.crop.clone(),
            kitchen_role: offer.kitchen_role.clone(),
            measure: offer.measure,
            amount,
        })
    };
    by_crop.into_values().filter_map(left).collect()
}
