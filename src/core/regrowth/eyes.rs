//! How each observer's eye errs, learnt from visits on which they glanced and someone surveyed.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

/// A pair weighs at least this much, so that recent pairs count more.
const NEWEST_WEIGHT: f64 = 0.2;
/// Older pairs than these no longer show in the average (0.8³⁰ ≈ 0.001).
const PAIRS_REMEMBERED: usize = 30;

/// Pairs of glance and survey, by observer, for one crop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Eyes {
    pairs: HashMap<Arc<str>, Vec<Pair>>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Pair {
    day: Date,
    log_ratio: f64,
}

impl Eyes {
    /// Takes in one visit with both; amounts in the same measure. Ignored unless both are
    /// more than 0.
    pub fn learn(&mut self, observer: &Arc<str>, day: Date, glanced: f64, surveyed: f64) {
        if glanced > 0.0 && surveyed > 0.0 {
            let pair = Pair { day, log_ratio: (glanced / surveyed).ln() };
            self.put(observer, pair);
        }
    }

    /// Takes in what was told of one such visit: the logarithm of what was glanced, as a part of
    /// what was surveyed.
    pub fn take(&mut self, observer: &Arc<str>, day: Date, log_ratio: f64) {
        self.put(observer, Pair { day, log_ratio });
    }

    /// Every visit that was taken in: who, when, and that logarithm.
    pub fn all(&self) -> impl Iterator<Item = (&Arc<str>, Date, f64)> {
        let of = |(observer, pairs): (_, &'_ Vec<Pair>)| -> Vec<(&Arc<str>, Date, f64)> {
            pairs.iter().map(|pair| (observer, pair.day, pair.log_ratio)).collect()
        };
        self.pairs.iter().flat_map(of)
    }

    /// Takes in what was learnt elsewhere; the order makes no difference.
    pub fn join(&mut self, other: Self) {
        for (observer, pairs) in other.pairs {
            pairs.into_iter().for_each(|pair| self.put(&observer, pair));
        }
    }

    fn put(&mut self, observer: &Arc<str>, pair: Pair) {
        let pairs = self.pairs.entry(observer.clone()).or_default();
        let place = pairs
            .partition_point(|other| (other.day, other.log_ratio) <= (pair.day, pair.log_ratio));
        pairs.insert(place, pair);
    }

    /// The bias of the logarithm on `day`, from what was learnt till then; 0 for an observer
    /// not yet measured. Shrunk as by one extra pair without error.
    pub fn bias(&self, observer: &str, day: Date) -> f64 {
        let known = self.pairs_until(observer, day);
        let recent = &known[known.len().saturating_sub(PAIRS_REMEMBERED)..];
        recent.iter().zip(2u32..).fold(0.0, |bias, (pair, n)| {
            let weight = NEWEST_WEIGHT.max(1.0 / f64::from(n));
            bias + weight * (pair.log_ratio - bias)
        })
    }

    /// How many pairs the bias on `day` rests on.
    pub fn pairs(&self, observer: &str, day: Date) -> usize {
        self.pairs_until(observer, day).len()
    }

    fn pairs_until(&self, observer: &str, day: Date) -> &[Pair] {
        let all = self.pairs.get(observer).map_or(&[][..], Vec::as_slice);
        &all[..all.partition_point(|pair| pair.day <= day)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn one_pair_is_half_believed_and_many_are_believed() {
        let mut eyes = Eyes::default();
        let ana: Arc<str> = "Ana".into();
        eyes.learn(&ana, date(2027, 1, 10), 2000.0, 1000.0);
        let half = 2.0_f64.ln() / 2.0;
        assert!((eyes.bias("Ana", date(2027, 1, 10)) - half).abs() < 1e-12);
        assert_eq!(eyes.bias("Ana", date(2027, 1, 9)), 0.0);
        assert_eq!(eyes.bias("Bo", date(2027, 1, 10)), 0.0);
        for day in 11..31 {
            eyes.learn(&ana, date(2027, 1, day), 2000.0, 1000.0);
        }
        assert!((eyes.bias("Ana", date(2027, 2, 1)) - 2.0_f64.ln()).abs() < 0.01);
    }
}
