//! Footfall: how often a patch's ground was trodden in a year, against what it bears.
//!
//! Very rough. Nobody counts steps, and a published index is for one lane in another country.
//! Each person who came counts as one pass in and one out, the passes are shared evenly over
//! the ground, and those on 100 m² count as passes over one line through it. That is too low
//! where all keep to one path, too high where they spread out, and it knows nothing of other
//! walkers, cattle, wet ground or what grew back. It ranks patches; it measures no wear.

use std::ops::RangeInclusive;

use jiff::ToSpan;
use jiff::civil::Date;

use super::TroddenGround;
use crate::regrowth::History;

/// Visits this many days back still count.
const YEAR_DAYS: i64 = 365;
/// One in, one out. Common practice, no source.
const PASSES_A_PERSON: f64 = 2.0;
/// Passes are told for so many square metres of ground.
const PER_M2: f64 = 100.0;

/// The feet on one patch in the 365 days that end with a day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Footfall {
    /// People over all visits; a visit without a number of people counts as one.
    pub person_visits: u64,
    /// Visits for which nobody wrote down how many people came.
    pub visits_without_people: u32,
    /// On each 100 m² of the trodden ground; `None` where there is no ground.
    pub passes_per_100m2: Option<f64>,
    /// The passes as a part of those that halve the cover, 1 at the limit; `None` where feet
    /// wear nothing away, or where there is no ground.
    pub part_of_limit: Option<f64>,
}

impl Footfall {
    /// What was trodden by the end of `day`, that day included.
    pub fn on(day: Date, history: &History, ground: &TroddenGround) -> Self {
        let year = Self::year_to(day);
        let mut footfall = Self::default();
        for (_, people) in history.visits_between(*year.start(), *year.end()) {
            footfall.person_visits += u64::from(people.unwrap_or(1));
            footfall.visits_without_people += u32::from(people.is_none());
        }
        let passes = footfall.person_visits as f64 * PASSES_A_PERSON;
        let dense = ground.is_some().then(|| passes * PER_M2 / ground.area.0);
        footfall.passes_per_100m2 = dense;
        footfall.part_of_limit = dense.zip(ground.resistance().passes).map(|(x, r)| x / r);
        footfall
    }

    /// The days whose visits still count by the end of `day`.
    pub fn year_to(day: Date) -> RangeInclusive<Date> {
        day.checked_add((1 - YEAR_DAYS).days()).unwrap_or(Date::MIN)..=day
    }

    /// Whether the ground has had all it bears.
    pub fn is_at_limit(&self) -> bool {
        self.part_of_limit.is_some_and(|part| part >= 1.0)
    }

    /// The first day after `day` on which the ground is under its limit, if nobody comes till
    /// then: visits drop out after 365 days.
    pub fn first_day_under_limit(
        day: Date,
        history: &History,
        ground: &TroddenGround,
    ) -> Option<Date> {
        let year = Self::year_to(day);
        let drops = history
            .visits_between(*year.start(), *year.end())
            .filter_map(|(visit, _)| visit.checked_add(YEAR_DAYS.days()).ok());
        let tomorrow = day.tomorrow().ok().into_iter();
        let mut candidates = tomorrow.chain(drops);
        candidates.find(|later| !Self::on(*later, history, ground).is_at_limit())
    }
}
