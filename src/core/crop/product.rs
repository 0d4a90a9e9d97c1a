//! The product of two independent estimates.
//!
//! For estimates x and y of two means with variances u and v, Goodman 1960 (On the exact
//! variance of products, J. Am. Stat. Assoc. 55:708–713) gives the unbiased estimator of the
//! variance of x·y: `x²·v + y²·u − u·v`.

use crate::estimate::Estimate;

/// `x` times `y`; the number of measurements is that of `x`.
///
/// Where the last term takes away more than either of the others brings, as it does when both
/// factors are hardly known, the larger of the two stands instead: doubt in one factor then
/// never makes the product surer. Degrees of freedom after Welch and Satterthwaite.
pub fn product(x: Estimate, y: Estimate) -> Estimate {
    let (u, v) = (x.standard_error.powi(2), y.standard_error.powi(2));
    let (from_x, from_y) = (y.best.powi(2) * u, x.best.powi(2) * v);
    let variance = (from_x + from_y - u * v).max(from_x).max(from_y);
    Estimate {
        best: x.best * y.best,
        standard_error: variance.sqrt(),
        degrees_of_freedom: joint_freedom([
            (from_x, x.degrees_of_freedom),
            (from_y, y.degrees_of_freedom),
        ]),
        n: x.n,
    }
}

/// `(Σ v)² / Σ (v²/df)`; the fewest of all where there is no variance.
fn joint_freedom(parts: [(f64, f64); 2]) -> f64 {
    let whole: f64 = parts.iter().map(|(variance, _)| variance).sum();
    let weighed: f64 = parts.iter().map(|(variance, df)| variance.powi(2) / df).sum();
    let joint = whole.powi(2) / weighed;
    if joint.is_finite() { joint } else { parts[0].1.min(parts[1].1) }
}
