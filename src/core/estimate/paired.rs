//! Two measurements of the same things.

use super::Sample;

/// The sufficient statistics of pairs (x, y).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paired {
    /// The first of each pair.
    pub x: Sample,
    /// The second, in the same order.
    pub y: Sample,
    /// Divisor n − 1; 0 for a single pair.
    pub covariance: f64,
}

impl Paired {
    /// `None` for no pairs.
    pub fn of(pairs: &[(f64, f64)]) -> Option<Self> {
        let (xs, ys): (Vec<f64>, Vec<f64>) = pairs.iter().copied().unzip();
        let (x, y) = (Sample::of(&xs)?, Sample::of(&ys)?);
        let products = pairs.iter().map(|(one, two)| (one - x.mean) * (two - y.mean)).sum::<f64>();
        let covariance = if x.n > 1 { products / (x.n as f64 - 1.0) } else { 0.0 };
        Some(Self { x, y, covariance })
    }

    /// Variance of y about a line of this slope, divisor n − `fitted`: 1 for a line through
    /// the means whose slope is given, 2 where the slope is fitted too. `None` where nothing
    /// is left to judge by.
    pub fn variance_about(&self, slope: f64, fitted: usize) -> Option<f64> {
        let left = self.x.n.checked_sub(fitted).filter(|&left| left > 0)? as f64;
        let squares =
            self.y.sd.powi(2) - 2.0 * slope * self.covariance + slope.powi(2) * self.x.sd.powi(2);
        Some(squares.max(0.0) * (self.x.n as f64 - 1.0) / left)
    }

    /// The least-squares slope of y on x; `None` where all x are alike.
    pub fn slope(&self) -> Option<f64> {
        Some(self.covariance / self.x.sd.powi(2)).filter(|slope| slope.is_finite())
    }
}
