//! An estimate: a best value, its standard error, and what follows from the two.

use super::quantile::t_quantile;

/// A best value with its doubt, taken as log-normal when bounds are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// In the unit of what is estimated.
    pub best: f64,
    /// Standard error, same unit as `best`.
    pub standard_error: f64,
    /// Those of the standard error, for Student's t; more than 0.
    pub degrees_of_freedom: f64,
    /// Number of measurements behind it.
    pub n: usize,
}

impl Estimate {
    /// Standard error as a part of the best value; 0 where the best value is 0.
    pub fn relative_standard_error(&self) -> f64 {
        if self.best > 0.0 { self.standard_error / self.best } else { 0.0 }
    }

    /// Variance of the logarithm: `ln(1 + rse²)`.
    pub fn log_variance(&self) -> f64 {
        log_variance(self.relative_standard_error())
    }

    /// Two-sided interval on the value's own scale, by Student t.
    pub fn interval(&self, confidence: f64) -> Option<(f64, f64)> {
        let t = t_quantile(0.5 + confidence / 2.0, self.degrees_of_freedom)?;
        Some((self.best - t * self.standard_error, self.best + t * self.standard_error))
    }

    /// The same in another unit, or of so many times as much; the doubt grows along.
    pub fn scaled(&self, factor: f64) -> Self {
        Self { best: self.best * factor, standard_error: self.standard_error * factor, ..*self }
    }
}

/// Log-variance of a log-normal value with coefficient of variation `cv`.
pub fn log_variance(cv: f64) -> f64 {
    (cv * cv).ln_1p()
}

/// The value that lies `z` log-standard-deviations under the best one:
/// `best · exp(−z·√(log-variance))`, as in NMFS Procedure 02-204-01 (2023), s. 3.2.1.
pub fn lower_bound(best: f64, log_variance: f64, z: f64) -> f64 {
    best * (-z * log_variance.max(0.0).sqrt()).exp()
}
