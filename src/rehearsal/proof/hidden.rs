//! What really grows on one patch, and the weather that it has from its site.

use jiff::ToSpan;
use jiff::civil::Date;

use super::trial::World;
use crate::records::Habit;
use crate::regrowth::Terms;
use crate::rehearsal::{Draws, Stand};

/// What the ground carries on average, in the crop's measure: plenty beside a handful.
const FULL: f64 = 10_000.0;
const WEEK_DAYS: i64 = 7;

/// The hidden truth of one patch.
#[derive(Clone, Debug)]
pub(super) struct Hidden {
    draws: Draws,
    mean_full: f64,
    pub stand: Stand,
    /// What stood at first.
    first: Stand,
}

/// The part of good and bad years and of weekly weather that all patches of a site have in
/// common.
#[derive(Clone, Debug)]
pub(super) struct Sky {
    draws: Draws,
    /// Of the variance of the logarithm, 0 to 1.
    common: f64,
}

impl Sky {
    pub fn new(common: f64, draws: Draws) -> Self {
        Self { draws, common }
    }

    /// A year's or a week's factor, as far as it is the site's.
    pub fn factor(&mut self, log_sd: f64) -> f64 {
        self.draws.factor(self.common.sqrt() * log_sd)
    }
}

impl Hidden {
    pub fn new(world: &World, rate_per_day: f64, mut draws: Draws) -> Self {
        let (nature, slow_from_few) = (&world.nature, world.slow_from_few);
        let standing = FULL * draws.uniform(world.at_first.clone());
        let rate_per_day = rate_per_day * nature.rate_factor * draws.factor(nature.rate_log_sd);
        let stand =
            Stand { full: FULL, rate_per_day, standing, undisturbed: standing, slow_from_few };
        Self { draws, mean_full: FULL, stand, first: stand }
    }

    /// `of_site` is what the year is like on the whole site.
    pub fn new_year(&mut self, world: &World, of_site: f64) {
        let own = self.own_factor(world, world.nature.year_log_sd);
        self.stand.full = self.mean_full * own * of_site;
    }

    /// `of_site` is the week's weather on the whole site.
    pub fn grow_a_week(&mut self, world: &World, day: Date, of_site: f64) {
        let weather = self.own_factor(world, world.nature.week_log_sd) * of_site;
        self.stand.grow(world.growth.days_between(day, a_week_after(day)), weather);
    }

    fn own_factor(&mut self, world: &World, log_sd: f64) -> f64 {
        self.draws.factor((1.0 - world.company.common()).sqrt() * log_sd)
    }

    /// The most that could be taken for good: rK/4 a day (Schaefer 1954) and what stood above
    /// K/2 at first; of a crop that comes once a year, the best pulse, K·tanh(rT/4).
    pub fn best(&self, terms: &Terms, growth_days: f64) -> f64 {
        let (rate, full) = (self.first.rate_per_day, self.first.full);
        if terms.habit == Habit::OnceAYear {
            const YEAR: f64 = 365.0;
            return full * (rate * YEAR / 4.0).tanh() * growth_days / YEAR;
        }
        rate * full / 4.0 * growth_days + (self.first.standing - full / 2.0).max(0.0)
    }
}

pub(super) fn a_week_after(day: Date) -> Date {
    day.checked_add(WEEK_DAYS.days()).unwrap_or(Date::MAX)
}
