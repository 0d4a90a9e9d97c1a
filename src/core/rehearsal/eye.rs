//! An eye that judges what stands, or counts off one in N, and errs.

use std::f64::consts::FRAC_1_SQRT_2;

use super::Draws;

/// The log-sd by which an ordinary eye errs; half of its variance is a bias that the observer
/// keeps. An assumption of this project's own trials, no source.
const ORDINARY_LOG_SD: f64 = 0.35;

/// How eyes err, as standard deviations of the logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EyeErrors {
    /// Of the bias that an observer keeps.
    pub bias_log_sd: f64,
    /// Of one look or count about that bias.
    pub look_log_sd: f64,
    /// By how much the bias grows in a year.
    pub drift_a_year: f64,
}

/// One observer's eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eye {
    bias: f64,
    look_log_sd: f64,
    drift_a_day: f64,
}

impl EyeErrors {
    /// Sees everything as it is.
    pub const NONE: Self = Self { bias_log_sd: 0.0, look_log_sd: 0.0, drift_a_year: 0.0 };

    /// An eye as people have it: half of its variance is a bias that it keeps.
    pub const ORDINARY: Self = Self {
        bias_log_sd: ORDINARY_LOG_SD * FRAC_1_SQRT_2,
        look_log_sd: ORDINARY_LOG_SD * FRAC_1_SQRT_2,
        drift_a_year: 0.0,
    };

    /// Right on average, as wild from look to look as an ordinary one.
    pub const UNBIASED: Self = Self { bias_log_sd: 0.0, ..Self::ORDINARY };

    /// Draws one observer.
    pub fn eye(&self, draws: &mut Draws) -> Eye {
        Eye {
            bias: self.bias_log_sd * draws.normal(),
            look_log_sd: self.look_log_sd,
            drift_a_day: self.drift_a_year / 365.0,
        }
    }
}

impl Eye {
    /// What the truth is multiplied by in one look, so many days after the first.
    pub fn errs(&self, draws: &mut Draws, days: f64) -> f64 {
        (self.bias + self.drift_a_day * days + self.look_log_sd * draws.normal()).exp()
    }
}
