//! What one more quadrat is worth.

use crate::estimate::{log_variance, lower_bound};

/// The part of the best estimate that is left at the low bound after `n` quadrats whose
/// amounts have coefficient of variation `cv`: `exp(−z·√ln(1 + cv²/n))`.
pub fn share_of_best_kept(cv: f64, n: usize, z: f64) -> f64 {
    lower_bound(1.0, log_variance(cv / (n.max(1) as f64).sqrt()), z)
}

/// Quadrats for a relative standard error of `precision` (0.2 for ±20 %): `cv²/precision²`.
pub fn quadrats_for_precision(cv: f64, precision: f64) -> f64 {
    (cv / precision).powi(2)
}
