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

#[cfg(test)]
mod tests {
    use super::*;

    /// Kupper & Hafner 1989, Am. Stat. 43:101–105, their formula; the figures are ours, and the
    /// step from 8 to 15 is the one that guides to monitoring print (Elzinga, Salzer &
    /// Willoughby 1998, appendix 7, from memory).
    #[test]
    fn plain_numbers_are_corrected_as_the_formula_says() {
        for (plain, corrected) in [(5, 11), (8, 15), (10, 18), (20, 30), (50, 65)] {
            assert_eq!(quadrats_with_assurance(plain, 0.95, 0.90), Some(corrected), "{plain}");
        }
    }

    #[test]
    fn the_corrected_number_is_the_smallest_that_suffices() {
        for plain in 1..200 {
            let found = quadrats_with_assurance(plain, 0.95, 0.90).unwrap();
            let z = z_quantile(0.975).unwrap();
            let suffices = |n: usize| {
                let freedom = (n - 1) as f64;
                let chi_square = chi_square_quantile(0.90, freedom).unwrap();
                let t = t_quantile(0.975, freedom).unwrap();
                n as f64 * freedom >= plain as f64 * chi_square * (t / z).powi(2)
            };
            assert_eq!((2..).find(|&n| suffices(n)), Some(found), "{plain}");
        }
    }

    /// Sample adequacy, Colorado Division of Reclamation, Mining and Safety, permit file
    /// 1250747, p. 52: `n = t² s²/(0.1 x̄)²`, t one-tailed at 90 % with n − 1 degrees of freedom.
    #[test]
    fn adequate_samples_are_the_published_ones() {
        for (mean, variance, sampled, adequate) in
            [(48.83, 188.06_f64, 72.0, 13.20), (64.40, 134.67, 20.0, 5.72)]
        {
            let t = t_quantile(0.90, sampled - 1.0).unwrap();
            let found = quadrats_for_interval(variance.sqrt() / mean, 0.1, t);
            assert!((found - adequate).abs() < 0.011, "{found}, not {adequate}");
        }
    }

    #[test]
    fn a_precision_that_nobody_could_reach_has_no_number() {
        assert_eq!(quadrats_for_precision(0.6, 0.0001), None);
        assert_eq!(quadrats_for_precision(0.0, 0.2), None);
        assert_eq!(quadrats_for_precision(f64::NAN, 0.2), None);
        assert_eq!(quadrats_for_precision(0.6, 0.0), None);
    }

    /// (1.96 · 0.6/0.2)² = 34.6.
    #[test]
    fn a_precision_is_that_of_a_95_per_cent_interval() {
        assert_eq!(quadrats_for_precision(0.6, 0.2), quadrats_with_assurance(35, 0.95, 0.90));
    }

    #[test]
    fn past_the_point_of_no_use_no_quadrat_pays_and_before_it_each_does() {
        for (cv, limit_without_doubt, smallest_useful) in
            [(0.6, 2000.0, 50.0), (1.4, 2000.0, 50.0), (0.6, 120.0, 50.0), (2.5, 1e5, 1.0)]
        {
            let case = Usefulness { cv, z: 0.5, limit_without_doubt, smallest_useful };
            let pays = |n: usize| {
                let adds = case.limit(n + 1) - case.limit(n);
                adds > (0.01 * case.limit(n)).max(smallest_useful / n as f64)
            };
            let enough = case.enough();
            assert!((1..enough).all(pays), "{case:?}: {enough}");
            assert!((enough..enough + 500).all(|n| !pays(n)), "{case:?}: {enough}");
        }
    }

    #[test]
    fn where_nothing_varies_or_nothing_may_be_cut_one_quadrat_is_enough() {
        let case =
            Usefulness { cv: 0.0, z: 0.5, limit_without_doubt: 2000.0, smallest_useful: 0.0 };
        assert_eq!(case.enough(), 1);
        assert_eq!(Usefulness { cv: 0.6, limit_without_doubt: 0.0, ..case }.enough(), 1);
    }
}
