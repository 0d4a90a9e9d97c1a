//! How far the truth strays from a crop's profile.
//!
//! The figures are assumptions of this project's own trials, no source.

use crate::records::Habit;

/// Spreads of what is hidden, as standard deviations of the logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nature {
    /// Of the true r about the profile's.
    pub rate_log_sd: f64,
    /// What the true r is multiplied by besides.
    pub rate_factor: f64,
    /// Of a week's weather.
    pub week_log_sd: f64,
    /// Of a year's full crop.
    pub year_log_sd: f64,
}

const WEEKS_IN_YEAR: f64 = 52.0;

impl Nature {
    /// How far weeks and years stray for crops of that habit; assumptions of this project, no
    /// source.
    pub fn of(habit: Habit) -> Self {
        let (week_log_sd, year_log_sd) = match habit {
            Habit::FastLeaf => (0.05, 0.15),
            Habit::SlowLeaf => (0.04, 0.15),
            Habit::OnceAYear => (0.10 / WEEKS_IN_YEAR.sqrt(), 0.35),
            Habit::Slow => (0.10 / WEEKS_IN_YEAR.sqrt(), 0.05),
        };
        Self { rate_log_sd: 0.4, rate_factor: 1.0, week_log_sd, year_log_sd }
    }
}
