//! Quantiles of the reference distributions, from a general statistics library.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Student t quantile at cumulative probability `p`, `degrees_of_freedom` > 0.
///
/// `None` for a `p` outside (0, 1) or fewer than a positive number of degrees of freedom.
pub fn t_quantile(p: f64, degrees_of_freedom: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    StudentsT::new(0.0, 1.0, degrees_of_freedom).ok().map(|t| t.inverse_cdf(p))
}

/// Standard normal quantile at cumulative probability `p` in (0, 1).
pub fn z_quantile(p: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    Some(Normal::standard().inverse_cdf(p))
}
