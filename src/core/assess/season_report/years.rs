//! The same stretch of several seasons, side by side.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::{PatchReport, Span, visit};
use crate::assess::Prepared;
use crate::records::{Crop, Fact, PatchName, SiteFacts, SiteName, Walk};
use crate::units::Season;

/// One site over several stretches, the latest first.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteYears {
    /// Which site.
    pub site: SiteName,
    /// The stretches, the latest first.
    pub spans: Vec<Span>,
    /// One for each span.
    pub told: Vec<SiteYear>,
    /// In the order of the report.
    pub patches: Vec<PatchYears>,
}

/// What a stretch comes to on all of a site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteYear {
    /// Days on which something was cut.
    pub days: usize,
    /// People over all these days, as far as anyone wrote it down: those of a walk once a day.
    pub people: u32,
    /// Days of which nobody wrote down how many came.
    pub uncounted: usize,
    /// By crop, in its measure.
    pub taken: Vec<(Arc<Crop>, f64)>,
}

/// One patch over the same stretches.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchYears {
    /// Which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// One for each span.
    pub told: Vec<PatchYear>,
}

/// In the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatchYear {
    /// What was cut.
    pub taken: f64,
    /// On the last day of the stretch; `None` where nobody knew.
    pub stood: Option<Stood>,
    /// Days on which people came to cut.
    pub days: u32,
    /// Over all visits, as far as anyone counted them.
    pub people: u32,
    /// Cuts of which nobody wrote down how many came.
    pub uncounted: u32,
}

/// What stood, and between what bounds in some eight cases of ten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stood {
    /// The best estimate.
    pub best: f64,
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

impl Span {
    /// As much of another season as this one tells: up to the same day of the year.
    pub fn of_season(self, season: Season) -> Self {
        let years = season.first_day().year() - self.season.first_day().year();
        let to = self.to.checked_add(years.years()).unwrap_or(Date::MAX);
        Self { season, to: to.clamp(season.first_day(), season.last_day()) }
    }

    /// The season whole, as far as there can be records of it.
    pub fn whole(season: Season) -> Self {
        Self { season, to: season.last_day() }
    }
}

/// `own` are the patches of the site, prepared up to the last day of the latest span.
pub fn site_years<'a>(
    site: &SiteFacts,
    own: &[&Prepared<'a>],
    walks: &[&'a Fact<Walk>],
    spans: &[Span],
) -> SiteYears {
    let by_span: Vec<Vec<PatchReport>> = spans
        .iter()
        .map(|span| {
            own.iter().zip(1..).map(|(patch, n)| PatchReport::of(patch, n, *span)).collect()
        })
        .collect();
    let told = by_span.iter().zip(spans).map(|(reports, span)| site_year(reports, walks, *span));
    let patches = own.iter().enumerate().map(|(n, patch)| PatchYears {
        patch: patch.facts.patch.record.name.clone(),
        crop: patch.crop().clone(),
        told: by_span.iter().map(|reports| patch_year(&reports[n])).collect(),
    });
    SiteYears {
        site: site.site.record.name.clone(),
        spans: spans.to_vec(),
        told: told.collect(),
        patches: patches.collect(),
    }
}

/// The spans in which something of the site was seen or cut, up to so many, the latest first,
/// each to the same day of its year.
pub(super) fn spans_told(site: &SiteFacts, span: Span, most: usize) -> Vec<Span> {
    let is_told =
        |span: &Span| site.patches.iter().any(|patch| patch.days_told().any(|day| span.holds(day)));
    let before = std::iter::successors(Some(span.season), |season| Some(season.preceding()));
    before.take(most).map(|season| span.of_season(season)).filter(is_told).collect()
}

fn site_year(reports: &[PatchReport], walks: &[&Fact<Walk>], span: Span) -> SiteYear {
    let visits = visit::visits(reports, walks, span);
    let mut taken: BTreeMap<&str, (Arc<Crop>, f64)> = BTreeMap::new();
    for report in reports.iter().filter(|report| report.taken() > 0.0) {
        let crop = report.crop();
        taken.entry(&crop.name).or_insert((crop.clone(), 0.0)).1 += report.taken();
    }
    SiteYear {
        days: visits.len(),
        people: visits.iter().filter_map(visit::Visit::people).fold(0, u32::saturating_add),
        uncounted: visits.iter().filter(|visit| visit.people().is_none()).count(),
        taken: taken.into_values().collect(),
    }
}

fn patch_year(report: &PatchReport) -> PatchYear {
    let season = &report.season;
    let stood = season.series.latest().map(|(_, crop)| Stood {
        best: crop.standing,
        low: crop.low,
        high: crop.high,
    });
    PatchYear {
        taken: report.taken(),
        stood,
        days: season.visits,
        people: season.person_visits,
        uncounted: season.visits_without_people,
    }
}
