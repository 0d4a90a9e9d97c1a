//! What a crop's habit sets: how large the share may get, how much of it a visit spends,
//! and how long a survey is believed.
//!
//! The figures were chosen by closed-loop trials of the take limit (hidden truth, survey
//! and eye errors, unreported cuts), not taken from a publication.

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use super::{Recovering, SeasonCurve, growth_rate};
use crate::records::{Crop, Habit};
use crate::units::Window;

/// A recovery of this many days or more is counted in whole years, winters and all.
const WHOLE_YEAR_DAYS: f64 = 365.0;

/// The model's constants for one crop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    pub habit: Habit,
    /// Intrinsic growth rate r, per day of full growth.
    pub rate_per_day: f64,
    pub recovery_days: f64,
    /// The largest share, m = 1 − theta.
    pub largest_share: f64,
    /// The part of the share that one visit spends.
    pub visit_part: f64,
    /// How far the kilo limit may stand above share × low bound, without and with glances.
    pub slack: f64,
    pub slack_with_glances: f64,
    pub validity: Validity,
    /// Where recovery tests set how fast the share refills; `None` where it refills at the
    /// profile's rate, tested or not.
    pub by_test: Option<ByTest>,
    /// How the full crop swings through the year; `None` for a crop that is taken to stand at
    /// the same all year.
    pub season: Option<SeasonCurve>,
    window: Window,
}

/// What a patch is held to where recovery tests count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByTest {
    /// The largest share until a first test; from then on it is the crop's own.
    pub untested_share: f64,
    /// As for [`Recovering::COMMON_LOG_SD`](super::Recovering::COMMON_LOG_SD).
    pub common_log_sd: f64,
}

/// How long a survey is believed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Validity {
    Days(i32),
    /// Until the crop's window closes that was open, or the next to open, on the day.
    OneSeason,
}

impl Terms {
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
        Self {
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
        }
    }

    pub fn is_leaf(&self) -> bool {
        self.habit.is_leaf()
    }

    /// Whether the share shrinks as the crop falls below its surveyed base.
    pub fn tapers(&self) -> bool {
        self.habit != Habit::OnceAYear
    }

    pub fn counts_whole_years(&self) -> bool {
        self.recovery_days >= WHOLE_YEAR_DAYS
    }

    /// The largest share of a patch of which that much is known.
    pub fn largest_share_of(&self, recovering: &Recovering) -> f64 {
        match self.by_test {
            Some(by_test) if !recovering.is_tested() => by_test.untested_share,
            _ => self.largest_share,
        }
    }

    /// The share on the day of the first survey: full, but for a once-a-year crop only
    /// what one year's growth refills.
    pub fn first_share(&self, recovering: &Recovering, day: Date) -> f64 {
        let most = self.largest_share_of(recovering);
        let part = self.by_test.map_or(1.0, |_| recovering.refill_part(day));
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

    /// The first day of the crop year that `day` belongs to.
    pub fn crop_year_start(&self, day: Date) -> Date {
        self.window.crop_year_start(day).unwrap_or(Date::MIN)
    }
}
