//! A season of every patch, for the pressure table and plots.

use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use crate::pressure::{PressureSeries, TroddenGround};
use crate::records::{Crop, PatchName};
use crate::units::Season;

/// One patch over one season.
#[derive(Clone, Debug)]
pub struct PatchSeason {
    pub patch: PatchName,
    pub crop: Arc<Crop>,
    pub series: PressureSeries,
    pub ground: TroddenGround,
    /// Days on which people came to cut.
    pub visits: u32,
    /// People over all visits, as far as recorded.
    pub person_visits: u32,
    /// Visits for which nobody wrote down how many people came.
    pub visits_without_people: u32,
}

/// The season of one patch, up to `until`.
pub fn season_of(patch: &Prepared, season: Season, until: Date) -> PatchSeason {
    let (first, last) = (season.first_day(), season.last_day().min(until));
    let cuts = patch.facts.cuts.iter().filter(|cut| (first..=last).contains(&cut.happened_on));
    let people: Vec<Option<u32>> = cuts.map(|cut| cut.record.people).collect();
    let ground = TroddenGround::of(&patch.facts.patch.record, &patch.extent);
    PatchSeason {
        patch: patch.facts.patch.record.name.clone(),
        crop: patch.crop().clone(),
        series: PressureSeries::of(&patch.course(), &ground, season, until),
        ground,
        visits: patch.history.visit_days_between(first, last),
        person_visits: people.iter().flatten().sum(),
        visits_without_people: people.iter().filter(|people| people.is_none()).count() as u32,
    }
}
