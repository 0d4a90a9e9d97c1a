//! How often something happened in many runs, and how far chance may have misled.

/// The quantile of a 95 % interval.
const Z: f64 = 1.959_964;

/// So many runs out of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Odds {
    /// In how many runs it happened.
    pub hits: u64,
    /// Out of how many.
    pub runs: u64,
}

impl Odds {
    /// One for each run: whether it happened.
    pub fn of(hits: impl IntoIterator<Item = bool>) -> Self {
        hits.into_iter().fold(Self::default(), |odds, hit| Self {
            hits: odds.hits + u64::from(hit),
            runs: odds.runs + 1,
        })
    }

    /// 0 without any run.
    pub fn part(self) -> f64 {
        if self.runs == 0 { 0.0 } else { self.hits as f64 / self.runs as f64 }
    }

    /// The 95 % interval of the part by Wilson 1927, Probable inference, J. Am. Stat. Assoc.
    /// 22:209–212, which tells something of what never happened too.
    pub fn interval(self) -> (f64, f64) {
        if self.runs == 0 {
            return (0.0, 1.0);
        }
        let (n, part) = (self.runs as f64, self.part());
        let spread = Z * Z / n;
        let centre = (part + spread / 2.0) / (1.0 + spread);
        let half = (part * (1.0 - part) * spread + spread * spread / 4.0).sqrt() / (1.0 + spread);
        ((centre - half).max(0.0), (centre + half).min(1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From the formula itself, to four digits: 0 and 5 of 100 (Wilson's own tables are not at
    /// hand).
    #[test]
    fn the_interval_of_what_never_happened_reaches_above_nothing() {
        let (low, high) = Odds { hits: 0, runs: 100 }.interval();
        assert!(low < 1e-12 && (high - 0.0370).abs() < 5e-5, "{high}");
        let (low, high) = Odds { hits: 5, runs: 100 }.interval();
        assert!((low - 0.0215).abs() < 5e-5 && (high - 0.1118).abs() < 5e-5, "{low}, {high}");
    }
}
