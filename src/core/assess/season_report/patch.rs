//! One patch over the season: what stood, what was allowed, what was taken.

use std::sync::Arc;

use super::Span;
use crate::assess::{
    Assessment, DayRuling, Evidence, PatchSeason, Prepared, assess, evidence, season_of,
};
use crate::pressure::Footfall;
use crate::records::{Crop, Cut, Fact, Patch, PatchFacts};

/// One patch with all that a report tells of it.
#[derive(Clone, Debug)]
pub struct PatchReport<'a> {
    /// On the map and in the tables.
    pub number: usize,
    /// All that counts of it.
    pub facts: &'a PatchFacts,
    /// Its days, and how its cuts stood to what was allowed.
    pub season: PatchSeason,
    /// On the span's last day.
    pub now: Assessment,
    /// What its number rests on.
    pub evidence: Evidence,
}

impl<'a> PatchReport<'a> {
    pub(super) fn of(patch: &Prepared<'a>, number: usize, span: Span) -> Self {
        Self {
            number,
            facts: patch.facts,
            season: season_of(patch, span.season, span.to),
            now: assess(patch, span.to, None, None),
            evidence: evidence(patch, span.to),
        }
    }

    /// As it is drawn now.
    pub fn patch(&self) -> &'a Patch {
        &self.facts.patch.record
    }

    /// Without its site.
    pub fn name(&self) -> &'a str {
        self.patch().name.patch()
    }

    /// With the overrides of site and patch.
    pub fn crop(&self) -> &Arc<Crop> {
        &self.now.crop
    }

    /// The days with a cut, in order.
    pub fn cut_days(&self) -> &[DayRuling] {
        &self.season.rulings
    }

    /// All that was cut in the span, in the crop's measure.
    pub fn taken(&self) -> f64 {
        self.cut_days().iter().map(|day| day.take.taken).sum()
    }

    /// What the limits of the days with a cut come to; `None` where one of them had no limit.
    pub fn allowed(&self) -> Option<f64> {
        self.cut_days().iter().map(|day| day.take.allowed).sum()
    }

    /// In the 365 days that end with the span's last.
    pub fn feet(&self) -> Footfall {
        self.season.series.feet()
    }

    /// The days on which more was cut than the patch could bear.
    pub fn overruns(&self) -> impl Iterator<Item = &DayRuling> {
        self.season.overruns()
    }

    /// The cuts of the span, by day.
    pub fn cuts(&self, span: Span) -> impl Iterator<Item = &'a Fact<Cut>> {
        self.facts.cuts.iter().filter(move |cut| span.holds(cut.happened_on))
    }
}
