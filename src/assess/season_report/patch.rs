//! One patch over the season: what stood, what was allowed, what was taken.

use std::sync::Arc;

use jiff::civil::Date;

use super::Span;
use crate::assess::WEIGHING_ERROR;
use crate::assess::morning::{morning_ruling, people};
use crate::assess::{Assessment, Evidence, PatchSeason, Prepared, assess, evidence, season_of};
use crate::pressure::Footfall;
use crate::records::{Crop, Cut, Fact, Patch, PatchFacts};

#[derive(Clone, Debug)]
pub struct PatchReport<'a> {
    /// On the map and in the tables.
    pub number: usize,
    pub facts: &'a PatchFacts,
    pub season: PatchSeason,
    /// By day.
    pub cut_days: Vec<CutDay>,
    /// On the span's last day.
    pub now: Assessment,
    pub evidence: Evidence,
}

/// All that was cut from one patch on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct CutDay {
    pub day: Date,
    /// In the crop's measure.
    pub taken: f64,
    /// The most that every rule together allowed that morning; `None` for no upper limit.
    pub allowed: Option<f64>,
    /// The rule that set it.
    pub decided_by: Option<&'static str>,
    /// As far as written down.
    pub people: Option<u32>,
}

impl CutDay {
    /// By more than a field scale may err.
    pub fn is_over(&self) -> bool {
        self.allowed.is_some_and(|most| self.taken > most * (1.0 + WEIGHING_ERROR))
    }

    /// Over 1 for more than was allowed, infinite where nothing was; `None` without a limit.
    pub fn part_of_allowed(&self) -> Option<f64> {
        self.allowed.map(|most| if self.taken > 0.0 { self.taken / most } else { 0.0 })
    }
}

impl<'a> PatchReport<'a> {
    pub(super) fn of(patch: &Prepared<'a>, number: usize, span: Span) -> Self {
        Self {
            number,
            facts: patch.facts,
            season: season_of(patch, span.season, span.to),
            cut_days: cut_days(patch, span),
            now: assess(patch, span.to, None, None),
            evidence: evidence(patch, span.to),
        }
    }

    pub fn patch(&self) -> &'a Patch {
        &self.facts.patch.record
    }

    /// Without its site.
    pub fn name(&self) -> &'a str {
        self.patch().name.patch()
    }

    pub fn crop(&self) -> &Arc<Crop> {
        &self.now.crop
    }

    pub fn taken(&self) -> f64 {
        self.cut_days.iter().map(|cut| cut.taken).sum()
    }

    /// What the limits of the days with a cut come to; `None` where one of them had no limit.
    pub fn allowed(&self) -> Option<f64> {
        self.cut_days.iter().map(|cut| cut.allowed).sum()
    }

    /// The day on which most of what was allowed was taken, and that part.
    pub fn hardest(&self) -> Option<(&CutDay, f64)> {
        let parts = self.cut_days.iter().filter_map(|cut| Some((cut, cut.part_of_allowed()?)));
        parts.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// In the 365 days that end with the span's last.
    pub fn feet(&self) -> Footfall {
        self.season.series.feet()
    }

    pub fn overruns(&self) -> impl Iterator<Item = &CutDay> {
        self.cut_days.iter().filter(|cut| cut.is_over())
    }

    /// The cuts of the span, by day.
    pub fn cuts(&self, span: Span) -> impl Iterator<Item = &'a Fact<Cut>> {
        self.facts.cuts.iter().filter(move |cut| span.holds(cut.happened_on))
    }
}

fn cut_days(patch: &Prepared, span: Span) -> Vec<CutDay> {
    let cuts: Vec<&Fact<Cut>> =
        patch.facts.cuts.iter().filter(|cut| span.holds(cut.happened_on)).collect();
    let by_day = cuts.chunk_by(|a, b| a.happened_on == b.happened_on);
    by_day.map(|of_day| cut_day(patch, of_day)).collect()
}

fn cut_day(patch: &Prepared, cuts: &[&Fact<Cut>]) -> CutDay {
    let day = cuts[0].happened_on;
    let ruling = morning_ruling(patch, cuts);
    CutDay {
        day,
        taken: cuts.iter().map(|cut| cut.record.amount.value).sum(),
        allowed: ruling.most,
        decided_by: ruling.binding.map(|index| ruling.ceilings[index].rule),
        people: people(cuts),
    }
}
