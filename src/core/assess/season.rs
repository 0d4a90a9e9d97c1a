//! A season of every patch, for the pressure table and plots.

use std::sync::Arc;

use jiff::civil::Date;

use super::day_ruling::day_rulings;
use super::{DayRuling, Prepared};
use crate::pressure::{PressureSeries, TroddenGround};
use crate::records::{Crop, Cut, Fact, PatchName};
use crate::units::Season;

/// One patch over one season.
#[derive(Clone, Debug)]
pub struct PatchSeason {
    /// Which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// Day by day.
    pub series: PressureSeries,
    /// Of the days with a cut, in order, those that took nothing too.
    pub rulings: Vec<DayRuling>,
    /// The ground on which feet are counted.
    pub ground: TroddenGround,
    /// Days on which people came to cut.
    pub visits: u32,
    /// People over all visits, as far as recorded.
    pub person_visits: u32,
    /// Visits for which nobody wrote down how many people came.
    pub visits_without_people: u32,
}

impl PatchSeason {
    /// The day on which most of what was allowed was taken, and that part: infinite where
    /// nothing was allowed. `None` where nothing was cut under a limit.
    pub fn hardest(&self) -> Option<(&DayRuling, f64)> {
        let parts = self.rulings.iter().filter_map(|day| Some((day, day.take.part_of_allowed()?)));
        parts.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The days on which more was cut than was allowed.
    pub fn overruns(&self) -> impl Iterator<Item = &DayRuling> {
        self.rulings.iter().filter(|day| day.take.is_over())
    }
}

/// The season of one patch, up to `until`.
pub fn season_of(patch: &Prepared, season: Season, until: Date) -> PatchSeason {
    let last_kept = patch.retired.as_ref().map(|retired| retired.since);
    let until = last_kept.and_then(|day| day.yesterday().ok()).map_or(until, |day| day.min(until));
    let (first, last) = (season.first_day(), season.last_day().min(until));
    let cuts = patch.facts.cuts.iter().filter(|cut| (first..=last).contains(&cut.happened_on));
    let cuts: Vec<&Fact<Cut>> = cuts.collect();
    let people: Vec<Option<u32>> = cuts.iter().map(|cut| cut.record.people).collect();
    let rulings = day_rulings(patch, &cuts);
    let takes = rulings.iter().map(|ruling| (ruling.day, ruling.take)).collect();
    let ground = TroddenGround::of(&patch.facts.patch.record, &patch.extent);
    PatchSeason {
        patch: patch.facts.patch.record.name.clone(),
        crop: patch.crop().clone(),
        series: PressureSeries::of(&patch.course(), &ground, season, until, &takes),
        rulings,
        ground,
        visits: patch.history.visit_days_between(first, last),
        person_visits: people.iter().flatten().sum(),
        visits_without_people: people.iter().filter(|people| people.is_none()).count() as u32,
    }
}
