//! What a patch that was never surveyed may carry: as much as others of its crop.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use crate::crop::Extent;
use crate::estimate::Estimate;

/// The surveyed patches of one crop, of ground or of counted plants.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Peers {
    pub patches: usize,
    /// Sums over the patches: the crop per square metre or plant as last
    /// surveyed, brought to the day by the season of the full crop, and the
    /// coefficient of variation of the quadrats.
    density: f64,
    cv: f64,
}

/// The peers of every crop; patches of counted plants apart from the others.
#[derive(Debug, Default)]
pub(super) struct AllPeers(HashMap<(Arc<str>, bool), Peers>);

impl AllPeers {
    pub fn of(patches: &[Prepared], on: Date) -> Self {
        let mut all = Self::default();
        for patch in patches {
            let size = size(&patch.extent);
            let Some(state) = patch.course().state_on(on).filter(|_| size > 0.0) else { continue };
            let survey = state.last_survey.estimate;
            let peers = all.0.entry(key(patch)).or_default();
            peers.patches += 1;
            peers.density += state.found_brought_here(&patch.terms) / size;
            peers.cv += coefficient_of_variation(&survey);
        }
        all
    }

    pub fn of_patch(&self, patch: &Prepared) -> Peers {
        self.0.get(&key(patch)).copied().unwrap_or_default()
    }
}

impl Peers {
    /// The mean of the peers on this much ground, as uncertain as `n` quadrats would leave it.
    /// `None` without peers.
    pub fn estimate(&self, extent: &Extent, n: usize) -> Option<Estimate> {
        let patches = self.patches as f64;
        (self.patches > 0).then(|| {
            let best = self.density / patches * size(extent);
            Estimate {
                best,
                standard_error: best * self.cv / patches / (n as f64).sqrt(),
                degrees_of_freedom: n as f64 - 1.0,
                n,
            }
        })
    }
}

/// How much one quadrat differs from the next, as a part of their mean.
pub(super) fn coefficient_of_variation(survey: &Estimate) -> f64 {
    survey.relative_standard_error() * (survey.n as f64).sqrt()
}

fn key(patch: &Prepared) -> (Arc<str>, bool) {
    (patch.crop().name.clone(), patch.extent.plants.is_some())
}

fn size(extent: &Extent) -> f64 {
    extent.plants.map_or(extent.area.0, f64::from)
}
