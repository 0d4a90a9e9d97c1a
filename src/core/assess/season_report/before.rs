//! A season as the next one is held against it: how often, how much, and whether it was kept.

use std::sync::Arc;

use jiff::civil::Date;

use super::{Agreement, PatchReport, Righted, Span, Visit, agreed, visit};
use crate::assess::Prepared;
use crate::records::{Crop, Fact, SiteFacts, Walk};

/// What a stretch of a season comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct SeasonTold {
    /// Which days.
    pub span: Span,
    /// Days on which something was cut.
    pub days: usize,
    /// On the day with most, as far as anyone wrote it down.
    pub most_people: Option<u32>,
    /// What was taken of each crop, in its measure; a crop may stand there more than once.
    pub taken: Vec<(Arc<Crop>, f64)>,
    /// Days on which a patch gave more than it could bear.
    pub past_bearing: usize,
    /// Records that were put right or withdrawn.
    pub righted: usize,
}

/// The season before the one that is told.
#[derive(Clone, Debug, PartialEq)]
pub struct SeasonBefore {
    /// Up to the day of the year to which this season is told.
    pub so_far: SeasonTold,
    /// To its last day.
    pub whole: SeasonTold,
    /// Whether what was agreed was kept; `None` where nothing was cut or agreed.
    pub kept_terms: Option<bool>,
}

impl SeasonTold {
    /// Of patches whose season is told to the span's end or beyond it.
    pub(super) fn of(
        patches: &[PatchReport],
        visits: &[Visit],
        righted: usize,
        span: Span,
    ) -> Self {
        let within = |day: Date| span.holds(day);
        let cuts = || {
            patches.iter().flat_map(|patch| patch.cut_days().iter().map(move |cut| (patch, cut)))
        };
        let cuts = || cuts().filter(|(_, cut)| within(cut.day));
        let visits: Vec<&Visit> = visits.iter().filter(|visit| within(visit.day)).collect();
        Self {
            span,
            days: visits.len(),
            most_people: visits.iter().filter_map(|visit| visit.people()).max(),
            taken: cuts().map(|(patch, cut)| (patch.crop().clone(), cut.take.taken)).collect(),
            past_bearing: cuts().filter(|(_, cut)| cut.is_past_bearing()).count(),
            righted,
        }
    }
}

/// `None` where nothing of the site was seen or cut in it.
pub(super) fn season_before<'a>(
    site: &'a SiteFacts,
    patches: &[&Prepared<'a>],
    walks: &[&'a Fact<Walk>],
    righted: &[Righted],
    span: Span,
) -> Option<SeasonBefore> {
    let season = span.season.preceding();
    let whole = Span::whole(season);
    if !site.patches.iter().any(|patch| patch.days_told().any(|day| whole.holds(day))) {
        return None;
    }
    let so_far = span.of_season(season);
    let reports: Vec<PatchReport> = patches
        .iter()
        .zip(1..)
        .map(|(patch, number)| PatchReport::of(patch, number, whole))
        .collect();
    let visits = visit::visits(&reports, walks, whole);
    let agreements = agreed::agreements(site, &reports, walks, whole);
    let kept = agreements.iter().all(Agreement::was_kept)
        && agreed::without_leave(site, &reports).is_empty()
        && agreed::shut_spells(site, &reports, whole).iter().all(|spell| spell.cuts.is_empty());
    let told = |span: Span| {
        let name = &site.site.record.name;
        let righted = righted.iter().filter(|righted| righted.concerns(name, span)).count();
        SeasonTold::of(&reports, &visits, righted, span)
    };
    Some(SeasonBefore {
        so_far: told(so_far),
        whole: told(whole),
        kept_terms: (!visits.is_empty() && !agreements.is_empty()).then_some(kept),
    })
}
