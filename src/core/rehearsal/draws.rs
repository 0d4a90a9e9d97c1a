//! Numbers drawn by chance, from distributions.
//!
//! Each thing that chance decides has a stream of its own, so that two rehearsals which differ
//! in one decision still meet the same weather and the same eyes.

use std::f64::consts::TAU;
use std::ops::Range;

use crate::sampling::Chance;

/// A stream of draws.
#[derive(Clone, Debug)]
pub struct Draws(Chance);

impl Draws {
    /// The stream of that name, which two numbers make.
    pub fn stream(seed: u64, run: u64, purpose: u64) -> Self {
        let run_seed = Chance::seeded(seed).number() ^ run;
        let stream = Chance::seeded(run_seed).number() ^ purpose;
        Self(Chance::seeded(Chance::seeded(stream).number()))
    }

    /// Each number of the range as likely as another.
    pub fn uniform(&mut self, range: Range<f64>) -> f64 {
        range.start + (range.end - range.start) * self.0.share()
    }

    /// Yes, with that probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.0.share() < probability
    }

    /// Standard normal, by one half of Box & Muller 1958, A note on the generation of random
    /// normal deviates, Ann. Math. Stat. 29:610–611.
    pub fn normal(&mut self) -> f64 {
        // 1 − share lies over 0, so that its logarithm is a number.
        let radius = (-2.0 * (1.0 - self.0.share()).ln()).sqrt();
        radius * (TAU * self.0.share()).cos()
    }

    /// A factor whose logarithm has mean 0 and this standard deviation.
    pub fn factor(&mut self, log_sd: f64) -> f64 {
        (log_sd * self.normal()).exp()
    }

    /// Gamma with mean 1 and this coefficient of variation, by Marsaglia & Tsang 2000, A simple
    /// method for generating gamma variables, ACM Trans. Math. Softw. 26:363–372.
    pub fn gamma(&mut self, cv: f64) -> f64 {
        let shape = 1.0 / (cv * cv);
        // Below 1 the method draws for a shape one larger, and corrects.
        let correction = if shape < 1.0 { (1.0 - self.0.share()).powf(1.0 / shape) } else { 1.0 };
        let d = (if shape < 1.0 { shape + 1.0 } else { shape }) - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let x = self.normal();
            let v = (1.0 + c * x).powi(3);
            if v <= 0.0 {
                continue;
            }
            let u = 1.0 - self.0.share();
            if u.ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                return correction * d * v / shape;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_and_sd(mut draw: impl FnMut() -> f64) -> (f64, f64) {
        const N: usize = 40_000;
        let drawn: Vec<f64> = (0..N).map(|_| draw()).collect();
        let mean = drawn.iter().sum::<f64>() / N as f64;
        let square = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / N as f64;
        (mean, square.sqrt())
    }

    #[test]
    fn normal_draws_have_the_mean_and_spread_of_the_standard_normal() {
        let mut draws = Draws::stream(1, 0, 0);
        let (mean, sd) = mean_and_sd(|| draws.normal());
        assert!(mean.abs() < 0.02 && (sd - 1.0).abs() < 0.02, "{mean}, {sd}");
        let mut draws = Draws::stream(1, 0, 0);
        let beyond = (0..40_000).filter(|_| draws.normal() > 1.959_964).count();
        assert!((beyond as f64 / 40_000.0 - 0.025).abs() < 0.004, "{beyond}");
    }

    #[test]
    fn gamma_draws_have_mean_1_and_the_spread_asked_for() {
        for cv in [0.3, 0.7, 1.0, 1.4] {
            let mut draws = Draws::stream(2, 0, 0);
            let (mean, sd) = mean_and_sd(|| draws.gamma(cv));
            assert!((mean - 1.0).abs() < 0.03 && (sd - cv).abs() < 0.05, "{cv}: {mean}, {sd}");
        }
    }

    #[test]
    fn streams_differ_by_every_part_of_their_name() {
        let first = |seed, run, purpose| Draws::stream(seed, run, purpose).normal();
        let mut all =
            [first(1, 0, 0), first(0, 1, 0), first(0, 0, 1), first(0, 0, 0), first(1, 1, 0)];
        all.sort_by(f64::total_cmp);
        assert!(all.windows(2).all(|pair| pair[0] != pair[1]));
    }
}
