//! Mean and standard deviation of a sample.

/// The sufficient statistics of `n` measurements: mean and standard deviation (divisor n − 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// How many were measured.
    pub n: usize,
    /// In the unit of what is measured.
    pub mean: f64,
    /// 0 for a single measurement, which shows no spread.
    pub sd: f64,
}

impl Sample {
    /// `None` for an empty sample.
    ///
    /// Two passes, the second corrected for the rounding left in the mean, so that
    /// values such as 1000000.1 and 1000000.3 keep their digits (NIST StRD, NumAcc).
    pub fn of(values: &[f64]) -> Option<Self> {
        if values.is_empty() {
            return None;
        }
        let n = values.len();
        let count = n as f64;
        let first_mean = values.iter().sum::<f64>() / count;
        let left_over = values.iter().map(|x| x - first_mean).sum::<f64>() / count;
        let mean = first_mean + left_over;
        let squares = values.iter().map(|x| (x - mean).powi(2)).sum::<f64>();
        let residue = values.iter().map(|x| x - mean).sum::<f64>();
        let sd = if n > 1 {
            ((squares - residue * residue / count).max(0.0) / (count - 1.0)).sqrt()
        } else {
            0.0
        };
        Some(Self { n, mean, sd })
    }

    /// Variance of the mean, with the finite-population correction where the number of
    /// sampling units in the whole population is known.
    pub fn variance_of_mean(&self, population: Option<f64>) -> f64 {
        let n = self.n as f64;
        let correction = population.map_or(1.0, |total| (1.0 - n / total).max(0.0));
        self.sd * self.sd / n * correction
    }
}
