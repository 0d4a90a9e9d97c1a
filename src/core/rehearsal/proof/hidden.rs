//! What really grows on one patch, and the weather that it has from its site.

use jiff::ToSpan;
use jiff::civil::Date;

use super::plot::FIRST_DAY;
use super::trial::World;
use crate::records::Habit;
use crate::regrowth::Terms;
use crate::rehearsal::{Draws, Stand};

/// What the ground carries on average, in the crop's measure: so much that a handful, less than
/// which the book lets nobody cut, decides nothing.
const FULL: f64 = 1_000_000.0;
const WEEK_DAYS: i64 = 7;
/// Streams of chance for months, and behind them for years; a patch's others lie below.
const OWN_MONTHS: u64 = 1_000;
const OWN_YEARS: i64 = 100_000;

/// The hidden truth of one patch.
#[derive(Clone, Debug)]
pub(super) struct Hidden {
    draws: Draws,
    /// What is drawn for a month or a year of its own: by the seed and the patch's number.
    seed: (u64, u64),
    mean_full: f64,
    pub stand: Stand,
    /// What stood at first.
    first: Stand,
    held_down: HeldDown,
}

/// How far cutting held a patch below what it would carry, on average over the days of a year on
/// which it grows; and what that does to plants that remember it.
#[derive(Clone, Copy, Debug, Default)]
struct HeldDown {
    growth_days: f64,
    /// Times the part of the full crop that was wanting.
    wanting: f64,
}

impl HeldDown {
    /// Asparagus cut until 1 June year after year stood as ever; cut two, four and six weeks longer
    /// it lost 0.16, 0.29 and 0.44 of its crop from the third year to the fourth (growth.md gives
    /// .81, .62, .33 after .97, .87, .59; in a season of 26 weeks that begins in mid April). So
    /// nothing is lost by being held down to this part, and so much of all that is more.
    const BORNE: f64 = 0.25;
    const LOST_BY_MORE: f64 = 1.9;
    /// What is wanting of the store refills so far in a year: an assumption.
    const BACK_A_YEAR: f64 = 0.25;
    /// Something always sprouts.
    const LEAST: f64 = 0.02;

    fn see(&mut self, stand: &Stand, growth_days: f64) {
        let carried = stand.store * stand.undisturbed;
        let part = if carried > 0.0 { (stand.standing / carried).min(1.0) } else { 1.0 };
        self.growth_days += growth_days;
        self.wanting += (1.0 - part) * growth_days;
    }

    /// The store after a year of it.
    fn leaves(&self, store: f64) -> f64 {
        if self.growth_days <= 0.0 {
            return store;
        }
        let beyond = (self.wanting / self.growth_days - Self::BORNE).max(0.0);
        let refilled = Self::BACK_A_YEAR * (1.0 - store);
        (store * (1.0 - Self::LOST_BY_MORE * beyond) + refilled).clamp(Self::LEAST, 1.0)
    }
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
    pub fn new(world: &World, rate_per_day: f64, mut draws: Draws, seed: (u64, u64)) -> Self {
        let (nature, slow_from_few) = (&world.nature, world.slow_from_few);
        let standing = FULL * draws.uniform(world.at_first.clone());
        let rate_per_day = rate_per_day * nature.rate_factor * draws.factor(nature.rate_log_sd);
        let stand = Stand {
            full: FULL,
            rate_per_day,
            standing,
            undisturbed: standing,
            slow_from_few,
            store: 1.0,
        };
        let at_first = stand.scaled(world.season_on(FIRST_DAY));
        Self {
            draws,
            seed,
            mean_full: FULL,
            stand: at_first,
            first: stand,
            held_down: HeldDown::default(),
        }
    }

    /// `of_site` is what the year is like on the whole site.
    pub fn new_year(&mut self, world: &World, day: Date, of_site: f64) {
        if day > FIRST_DAY {
            self.stand.rate_per_day *= world.slows_a_year;
        }
        let held_down = std::mem::take(&mut self.held_down);
        if world.remembers {
            self.stand.store = held_down.leaves(self.stand.store);
        }
        let own = self.own_factor(world, world.nature.year_log_sd);
        self.stand.full = self.mean_full * own * of_site * world.season_on(day);
    }

    /// `of_site` is the week's weather on the whole site.
    pub fn grow_a_week(&mut self, world: &World, day: Date, of_site: f64) {
        let weather = self.own_factor(world, world.nature.week_log_sd) * of_site;
        let grown = self.grows_in_week(world, day) / self.stand.rate_per_day;
        self.held_down.see(&self.stand, grown);
        self.stand.grow(grown, weather);
        if world.season.is_some() {
            let swing = world.season_on(a_week_after(day)) / world.season_on(day);
            self.stand = self.stand.scaled(swing);
        }
    }

    /// How far the week brings a stand, r·∫g dt, with what its month and its year make of r.
    pub fn grows_in_week(&self, world: &World, day: Date) -> f64 {
        let (year, month) = (i64::from(day.year()), i64::from(day.month()));
        let own = |of: i64, log_sd: f64| match log_sd {
            sd if sd > 0.0 => {
                Draws::stream(self.seed.0, self.seed.1, OWN_MONTHS + of as u64).factor(sd)
            }
            _ => 1.0,
        };
        let of_month = own(12 * year + month, world.months_log_sd[month as usize - 1]);
        let of_year = own(OWN_YEARS + year, world.rate_year_log_sd);
        let days = world.growth.days_between(day, a_week_after(day));
        self.stand.rate_per_day * of_month * of_year * days
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Asparagus in its season of 26 weeks, cut for six and a half and then for two, four and six
    /// more: the published losses from a year to the next are those beside `BORNE`.
    #[test]
    fn plants_that_remember_lose_what_asparagus_lost_to_longer_cutting() {
        const SEASON_WEEKS: u32 = 26;
        const UNTIL_JUNE: f64 = 6.5;
        let stand = |standing| Stand {
            full: 100.0,
            rate_per_day: 0.1,
            standing,
            undisturbed: 100.0,
            slow_from_few: 0.0,
            store: 1.0,
        };
        let left = |cut_weeks: f64| {
            let mut held_down = HeldDown::default();
            let cut = cut_weeks / f64::from(SEASON_WEEKS);
            for (standing, part) in [(0.0, cut), (100.0, 1.0 - cut)] {
                held_down.see(&stand(standing), 180.0 * part);
            }
            held_down.leaves(1.0)
        };
        assert_eq!(left(UNTIL_JUNE), 1.0);
        for (longer, lost) in [(2.0, 0.16), (4.0, 0.29), (6.0, 0.44)] {
            let found = 1.0 - left(UNTIL_JUNE + longer);
            assert!((found - lost).abs() < 0.02, "{longer} weeks longer: {found}, not {lost}");
        }
        // A year in which nobody cuts gives back a quarter of what is wanting.
        let mut left_alone = HeldDown::default();
        left_alone.see(&stand(100.0), 180.0);
        assert!((left_alone.leaves(0.6) - 0.7).abs() < 1e-12);
        assert_eq!(HeldDown::default().leaves(0.6), 0.6);
    }
}
