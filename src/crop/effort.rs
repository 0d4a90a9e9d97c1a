//! What one more quadrat is worth, and how many are enough.

use crate::estimate::{chi_square_quantile, log_variance, lower_bound, t_quantile, z_quantile};

/// The confidence of an interval that is asked to have some precision, and the assurance that
/// the sample to come will keep it.
const CONFIDENCE: f64 = 0.95;
const ASSURANCE: f64 = 0.90;

/// Nobody measures more.
const MOST_QUADRATS: usize = 10_000;

/// The part of the best estimate that is left at the low bound after `n` quadrats whose
/// amounts have coefficient of variation `cv`: `exp(−z·√ln(1 + cv²/n))`.
pub fn share_of_best_kept(cv: f64, n: usize, z: f64) -> f64 {
    lower_bound(1.0, log_variance(cv / (n.max(1) as f64).sqrt()), z)
}

/// Quadrats for an interval of ± `precision` of the mean (0.2 for ±20 %): `(q·cv/precision)²`
/// with `q` the quantile of its confidence, 1 for a standard error of that size.
pub fn quadrats_for_interval(cv: f64, precision: f64, quantile: f64) -> f64 {
    (quantile * cv / precision).powi(2)
}

/// Quadrats for a 95 % interval of ± `precision` of the mean, so many that nine samples in
/// ten keep it. `None` without a spread or a precision to go by, or for more than anyone
/// measures.
pub fn quadrats_for_precision(cv: f64, precision: f64) -> Option<usize> {
    let z = z_quantile(0.5 + CONFIDENCE / 2.0)?;
    let plain = quadrats_for_interval(cv, precision, z).ceil();
    if !(1.0..=MOST_QUADRATS as f64).contains(&plain) {
        return None;
    }
    quadrats_with_assurance(plain as usize, CONFIDENCE, ASSURANCE)
}

/// The plain number of quadrats for an interval, corrected for the sample's own standard
/// deviation being no better than a guess: the smallest n* with `n*(n* − 1) ≥
/// n·χ²(n* − 1; assurance)·F(1, n* − 1; confidence)/χ²(1; confidence)` (Kupper & Hafner 1989,
/// Am. Stat. 43:101–105).
pub fn quadrats_with_assurance(n: usize, confidence: f64, assurance: f64) -> Option<usize> {
    let z = z_quantile(0.5 + confidence / 2.0)?;
    let suffices = |corrected: usize| {
        let freedom = (corrected - 1) as f64;
        // F with one degree of freedom is t squared, as chi-square is z squared.
        let t = t_quantile(0.5 + confidence / 2.0, freedom)?;
        let needed = n as f64 * chi_square_quantile(assurance, freedom)? * (t / z).powi(2);
        Some(corrected as f64 * freedom >= needed)
    };
    let (mut short, mut enough) = (1, 2 * n + 20);
    while enough - short > 1 {
        let middle = (short + enough) / 2;
        if suffices(middle)? { enough = middle } else { short = middle }
    }
    Some(enough)
}

/// When a further quadrat no longer pays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usefulness {
    /// Coefficient of variation of the amounts in the quadrats.
    pub cv: f64,
    /// Log-standard-deviations from the best estimate to the low bound.
    pub z: f64,
    /// What might be cut if there were no doubt, in the crop's measure.
    pub limit_without_doubt: f64,
    /// The least that is worth cutting, in the crop's measure.
    pub smallest_useful: f64,
}

/// A quadrat that adds less than this part of the limit is not worth its while.
const LEAST_GAIN: f64 = 0.01;

impl Usefulness {
    /// The point of no use: the first number after which the next quadrat would add no
    /// more than 1 % of the limit, or than the smallest useful amount shared among all of them.
    pub fn enough(&self) -> usize {
        let mut limit = self.limit(1);
        for n in 1..MOST_QUADRATS {
            let next = self.limit(n + 1);
            let least = (LEAST_GAIN * limit).max(self.smallest_useful / n as f64);
            if next - limit <= least {
                return n;
            }
            limit = next;
        }
        MOST_QUADRATS
    }

    /// The limit after `n` quadrats that find the same crop and the same spread.
    pub fn limit(&self, n: usize) -> f64 {
        self.limit_without_doubt * share_of_best_kept(self.cv, n, self.z)
    }
}
