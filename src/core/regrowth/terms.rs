//! What a crop's habit sets: how large the share may get, how much of it a visit spends,
//! and how long a survey is believed.
//!
//! The figures were chosen by closed-loop trials of the take limit (hidden truth, survey
//! and eye errors, unreported cuts), not taken from a publication.

use jiff::civil::{Date, date};
use jiff::{Span, ToSpan};

use super::{Recovering, RecoveryTest, SeasonCurve, growth_rate};
use crate::records::{Crop, Habit, TestDesign};
use crate::units::Window;

/// A recovery of this many days or more is counted in whole years, winters and all.
const WHOLE_YEAR_DAYS: f64 = 365.0;

/// The model's constants for one crop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// How the crop comes back.
    pub habit: Habit,
    /// Intrinsic growth rate r, per day of full growth.
    pub rate_per_day: f64,
    /// Days from a cut by the take fraction to 95 % of full.
    pub recovery_days: f64,
    /// The largest share, m = 1 − theta.
    pub largest_share: f64,
    /// The part of the share that one visit spends.
    pub visit_part: f64,
    /// How far the kilo limit may stand above share × low bound, without and with glances.
    pub slack: f64,
    /// The same on a patch that anyone ever glanced at.
    pub slack_with_glances: f64,
    /// How long a survey of it is believed.
    pub validity: Validity,
    /// Where the share refills by what is believed of the patch, with its doubt until a first
    /// recovery test; `None` where it refills at the profile's rate, tested or not: what needs
    /// years to come back is not tested.
    pub by_test: Option<ByTest>,
    /// How the full crop swings through the year; `None` for a crop that is taken to stand at
    /// the same all year.
    pub season: Option<SeasonCurve>,
    window: Window,
}

/// What a patch is held to where recovery tests count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByTest {
    /// The largest share from a first test on.
    pub tested_share: f64,
    /// As for [`Recovering::COMMON_LOG_SD`](super::Recovering::COMMON_LOG_SD).
    pub common_log_sd: f64,
}

/// How long a survey is believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Validity {
    /// So many days from the survey on.
    Days(i32),
    /// Until the crop's window closes that was open, or the next to open, on the day.
    OneSeason,
}

impl ByTest {
    /// By how much the largest share grows with a first test. Where the patch comes back as its
    /// profile says it then refills at 86 % and not at 78 %, and yields about as much as a book
    /// that takes the profile's word for it. From this project's own trials.
    fn more_once_tested(habit: Habit) -> Option<f64> {
        match habit {
            Habit::FastLeaf => Some(0.240 / 0.22),
            Habit::SlowLeaf => Some(0.255 / 0.23),
            Habit::OnceAYear => Some(0.374 / 0.35),
            Habit::Slow => None,
        }
    }

    /// `None` for a crop that cannot be tested.
    ///
    /// Of a crop that comes back little in its interval a test tells less; there the share grows so
    /// far that a patch that comes back as its profile says has as much after an interval as before.
    fn of(terms: &Terms) -> Option<Self> {
        const ANY_DAY: Date = date(2000, 1, 1);
        let tuned = Self::more_once_tested(terms.habit)?;
        let squares = RecoveryTest::ADVISED_SQUARES;
        let test = RecoveryTest::that_shows(TestDesign::Pairs, squares, terms, 1.0)?;
        let common_log_sd = Recovering::COMMON_LOG_SD;
        let believed =
            Recovering::UNTESTED.tested(ANY_DAY, terms.rate_per_day, &test, common_log_sd);
        let refills = |part: f64| -(-part * terms.rate_per_day * terms.recovery_days).exp_m1();
        let more = tuned.max(refills(1.0) / refills(believed.refill_part(ANY_DAY)));
        Some(Self { tested_share: (more * terms.largest_share).min(1.0), common_log_sd })
    }
}

/// How the full crop swings, of a leaf whose months differ.
fn season_of(crop: &Crop) -> Option<SeasonCurve> {
    let months = crop.full_swings().filter(|_| crop.habit.is_leaf())?.value;
    let late_days = crop.full_late_days.as_ref().map_or(0, |late| late.value);
    Some(SeasonCurve::of_months(months)?.later_by(late_days))
}

impl Terms {
    /// As the crop's profile says, and its habit.
    pub fn of(crop: &Crop) -> Self {
        let recovery = crop.recovery.value;
        let (visit_part, slack, slack_with_glances, validity) = match crop.habit {
            Habit::FastLeaf => (1.0, 1.5, 1.25, Validity::Days(90)),
            Habit::SlowLeaf => (1.0, 1.5, 1.25, Validity::Days(180)),
            Habit::OnceAYear => (1.0 / 3.0, 1.0, 1.0, Validity::OneSeason),
            Habit::Slow => (1.0, 1.0, 1.0, Validity::Days(5 * 365)),
        };
        let (slack, slack_with_glances) =
            if crop.countable { (slack, slack_with_glances) } else { (1.0, 1.0) };
        let untested = Self {
            habit: crop.habit,
            rate_per_day: growth_rate(recovery),
            recovery_days: recovery.days,
            largest_share: 1.0 - crop.kept_standing.value,
            visit_part,
            slack,
            slack_with_glances,
            validity,
            by_test: None,
            season: None,
            window: crop.window.value,
        };
        let by_test = ByTest::of(&untested);
        Self { by_test, season: season_of(crop), ..untested }
    }

    /// How far the kilo limit may stand above share × low bound, on a patch that someone glanced at
    /// or not. A season's curve makes more of a survey than was seen, so that with one it stands no
    /// higher than where glances let it.
    pub fn slack_on(&self, glanced: bool) -> f64 {
        if glanced || self.season.is_some() { self.slack_with_glances } else { self.slack }
    }

    /// Whether it is a leaf.
    pub fn is_leaf(&self) -> bool {
        self.habit.is_leaf()
    }

    /// Whether the share shrinks as the crop falls below its surveyed base.
    pub fn tapers(&self) -> bool {
        self.habit != Habit::OnceAYear
    }

    /// Whether it needs a year or more to come back, so that its visits are counted in years.
    pub fn counts_whole_years(&self) -> bool {
        self.recovery_days >= WHOLE_YEAR_DAYS
    }

    /// The largest share of a patch of which that much is known.
    pub fn largest_share_of(&self, recovering: &Recovering) -> f64 {
        match self.by_test {
            Some(by_test) if recovering.is_tested() => by_test.tested_share,
            _ => self.largest_share,
        }
    }

    /// How fast the share refills on a day, as a part of the profile's rate.
    pub fn refill_part(&self, recovering: &Recovering, day: Date) -> f64 {
        if self.by_test.is_some() { recovering.refill_part(day) } else { 1.0 }
    }

    /// The share on the day of the first survey: full, but for a once-a-year crop only
    /// what one year's growth refills.
    pub fn first_share(&self, recovering: &Recovering, day: Date) -> f64 {
        let most = self.largest_share_of(recovering);
        let part = self.refill_part(recovering, day);
        match self.habit {
            Habit::OnceAYear => most * -(-self.rate_per_day * part * self.recovery_days).exp_m1(),
            _ => most,
        }
    }

    /// The last day on which a survey made on `surveyed` is believed.
    pub fn valid_until(&self, surveyed: Date) -> Date {
        let after = |span: Span| surveyed.checked_add(span).unwrap_or(Date::MAX);
        match self.validity {
            Validity::Days(days) => after(days.days()),
            Validity::OneSeason => self.window.closing(surveyed).unwrap_or_else(|| after(1.year())),
        }
    }

    /// From which day on what was cut has not had time to come back: a recovery interval ago, or the
    /// first day of the crop year for what comes once a year.
    pub fn comes_back_since(&self, day: Date) -> Date {
        match self.habit {
            Habit::OnceAYear => self.crop_year_start(day),
            _ => {
                let interval = self.recovery_days.ceil() as i64;
                day.checked_add((1 - interval).days()).unwrap_or(Date::MIN)
            }
        }
    }

    /// The first day of the crop year that `day` belongs to.
    pub fn crop_year_start(&self, day: Date) -> Date {
        self.window.crop_year_start(day).unwrap_or(Date::MIN)
    }
}
