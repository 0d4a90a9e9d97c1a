//! Patches visited in turn, week after week: one alone, or four of a crop on one site.

use std::ops::Add;

use jiff::civil::Date;

use super::hidden::{Sky, a_week_after};
use super::plot::FIRST_DAY;
use super::trial::{Trial, Visited, World};
use super::{Practice, Testing};
use crate::assess::Prepared;
use crate::regrowth::Sight;
use crate::rehearsal::Draws;

/// The years of the proof have no odd day.
const WEEKS_IN_YEAR: usize = 52;
/// The stream of chance of what a site's patches have in common; a patch's own lie below.
const SKY: u64 = 6;

/// How the patches of a cell stand to one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Company {
    /// Each is a world of its own.
    Alone,
    /// Four of one crop share a site and half the variance of its years and weeks. The half is
    /// an assumption, no source. See [`site_taper`].
    Four {
        /// Whether what is seen on one bears on all.
        speak: bool,
    },
}

/// What came of the patches of one site.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Fate {
    pub years: u32,
    /// Years in which a cut left less than half of the undisturbed twin.
    pub years_with_a_dip: u32,
    /// In the crop's measure, what nobody wrote down included.
    pub taken: f64,
    /// The best that could have been taken.
    pub best: f64,
    /// Visits to a patch that stood full, and how many of them the book sent away.
    pub visits_when_full: u32,
    pub refused_when_full: u32,
}

impl Company {
    /// How many of them are one world.
    pub fn patches(self) -> u64 {
        match self {
            Self::Alone => 1,
            Self::Four { .. } => 4,
        }
    }

    /// The part of the variance of years and weeks that the site's patches have in common.
    pub(super) fn common(self) -> f64 {
        match self {
            Self::Alone => 0.0,
            Self::Four { .. } => 0.5,
        }
    }

    fn speaks(self) -> bool {
        self == Self::Four { speak: true }
    }
}

/// What the looks of all patches of a crop on a site leave of the share of each: nothing where
/// they look 0.7 as thick as they used to, all of it from 0.95 on, by their geometric mean.
pub fn site_taper<'a>(sights: impl IntoIterator<Item = &'a Sight>) -> f64 {
    const NOTHING_AT: f64 = 0.7;
    const SPAN: f64 = 0.25;
    let logs = sights.into_iter().map(|sight| sight.index().ln());
    let (sum, n) = logs.fold((0.0, 0u32), |(sum, n), log| (sum + log, n + 1));
    let mean = (sum / f64::from(n.max(1))).exp();
    ((mean - NOTHING_AT) / SPAN).clamp(0.0, 1.0)
}

/// Plays one site, drawn by the seed and its number.
pub fn play(
    world: &World,
    patch: &Prepared,
    by: (Practice, Option<Testing>),
    seed: u64,
    number: u64,
) -> Fate {
    let patches = world.company.patches();
    let first = number * patches;
    let numbers = first..first + patches;
    let mut trials: Vec<Trial> =
        numbers.map(|number| Trial::new(world, patch, by, seed, number)).collect();
    let mut sky = Sky::new(world.company.common(), Draws::stream(seed, number, SKY));
    let mut fates = vec![Fate::default(); trials.len()];
    let mut day = FIRST_DAY;
    for _ in 0..world.years {
        let year = sky.factor(world.nature.year_log_sd);
        trials.iter_mut().for_each(|trial| trial.hidden.new_year(world, day, year));
        let mut dips = vec![false; trials.len()];
        for _ in 0..WEEKS_IN_YEAR {
            if patch.crop().window.value.contains(day) {
                for _ in 0..world.parties_a_week {
                    for n in 0..trials.len() {
                        let visited = visit(&mut trials, n, world, day);
                        fates[n].taken += visited.taken;
                        fates[n].visits_when_full += u32::from(visited.full);
                        fates[n].refused_when_full += u32::from(visited.refused);
                        dips[n] |= trials[n].hidden.stand.dips();
                    }
                }
            }
            let week = sky.factor(world.nature.week_log_sd);
            trials.iter_mut().for_each(|trial| trial.hidden.grow_a_week(world, day, week));
            day = a_week_after(day);
        }
        for (fate, dips) in fates.iter_mut().zip(dips) {
            fate.years += 1;
            fate.years_with_a_dip += u32::from(dips);
        }
    }
    let growth_days = growth_days(world, FIRST_DAY, day);
    let ends = fates
        .into_iter()
        .zip(&trials)
        .map(|(fate, trial)| Fate { best: trial.hidden.best(&patch.terms, growth_days), ..fate });
    ends.fold(Fate::default(), Fate::add)
}

/// Days of full growth of a crop at its peak: where the full crop is half of that, so is what
/// grows of it.
fn growth_days(world: &World, from: Date, to: Date) -> f64 {
    if world.season.is_none() {
        return world.growth.days_between(from, to);
    }
    let (mut day, mut days) = (from, 0.0);
    while day < to {
        let next = a_week_after(day);
        days += world.season_on(day) * world.growth.days_between(day, next);
        day = next;
    }
    days
}

/// What the visit to one of the patches took.
fn visit(trials: &mut [Trial], n: usize, world: &World, day: Date) -> Visited {
    trials[n].look(world, day);
    if world.company.speaks() {
        let most = site_taper(trials.iter().map(Trial::sight));
        trials[n].thin_at_most(day, most);
    }
    trials[n].cut(world, day)
}

impl Add for Fate {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            years: self.years + other.years,
            years_with_a_dip: self.years_with_a_dip + other.years_with_a_dip,
            taken: self.taken + other.taken,
            best: self.best + other.best,
            visits_when_full: self.visits_when_full + other.visits_when_full,
            refused_when_full: self.refused_when_full + other.refused_when_full,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fate_of_a_site_is_that_of_all_its_patches_together() {
        let fate = |times: u32| Fate {
            years: 6 * times,
            years_with_a_dip: times,
            taken: 20.0 * f64::from(times),
            best: 50.0 * f64::from(times),
            visits_when_full: 90 * times,
            refused_when_full: 7 * times,
        };
        assert_eq!(fate(1) + fate(3), fate(4));
    }
}
