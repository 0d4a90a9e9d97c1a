//! How often the bounds of a survey hold what stands: surveys drawn from a stand that is known.

use super::plot::FIRST_DAY;
use super::{Effort, Plots};
use crate::estimate::{Estimate, Sample};
use crate::records::Habit;
use crate::regrowth::{State, Terms};
use crate::rehearsal::Draws;

/// How what stands in a quadrat is spread, about a mean of 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Gamma of this coefficient of variation, as leaf stands are.
    Gamma(f64),
    /// Log-normal of this coefficient of variation: a few quadrats hold most.
    LogNormal(f64),
    /// This part of the quadrats is empty; the others are gamma of 0.8.
    Empty(f64),
}

/// What the bounds of surveys of one spread come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covered {
    /// How quadrats are spread.
    pub spread: Spread,
    /// For each number of [`Covered::QUADRATS`]: the part of the surveys whose "eight in ten" holds
    /// what stands, and the part whose low bound lies above it.
    pub held: [(f64, f64); 3],
}

impl Spread {
    /// Those of the table.
    pub const ALL: [Self; 6] = [
        Self::Gamma(0.5),
        Self::Gamma(0.8),
        Self::Gamma(1.2),
        Self::LogNormal(2.0),
        Self::Empty(0.5),
        Self::Empty(0.8),
    ];
    const CV_WHERE_IT_GROWS: f64 = 0.8;

    /// What one quadrat holds.
    pub fn draw(self, draws: &mut Draws) -> f64 {
        match self {
            Self::Gamma(cv) => draws.gamma(cv),
            Self::LogNormal(cv) => {
                let variance = (cv * cv).ln_1p();
                draws.factor(variance.sqrt()) * (-variance / 2.0).exp()
            }
            Self::Empty(part) if draws.happens(part) => 0.0,
            Self::Empty(part) => draws.gamma(Self::CV_WHERE_IT_GROWS) / (1.0 - part),
        }
    }
}

impl Covered {
    /// How many quadrats a survey has.
    pub const QUADRATS: [usize; 3] = [5, 10, 20];

    /// Each spread, with as many surveys as patches are drawn.
    pub fn all(plots: &Plots, effort: Effort) -> Vec<Self> {
        let terms = plots.of(Habit::FastLeaf).terms;
        let covered = |(spread, number)| {
            let held = Self::QUADRATS.map(|n| {
                let mut draws = Draws::stream(effort.seed, n as u64, number);
                held(spread, n, &terms, effort.patches, &mut draws)
            });
            Self { spread, held }
        };
        Spread::ALL.into_iter().zip(1..).map(covered).collect()
    }
}

fn held(spread: Spread, n: usize, terms: &Terms, surveys: u64, draws: &mut Draws) -> (f64, f64) {
    const STANDS: f64 = 1.0;
    let (mut within, mut above) = (0u64, 0u64);
    for _ in 0..surveys {
        let amounts: Vec<f64> = (0..n).map(|_| spread.draw(draws)).collect();
        let Some(sample) = Sample::of(&amounts) else { continue };
        let found = Estimate {
            best: sample.mean,
            standard_error: sample.variance_of_mean(None).sqrt(),
            degrees_of_freedom: n as f64 - 1.0,
            n,
        };
        // Nothing found is a stand of nothing, and no bound of it holds what stands.
        let state = State::first(terms, FIRST_DAY, found, 0.0);
        let (low, high) = state.eight_in_ten();
        within += u64::from((low..=high).contains(&STANDS));
        above += u64::from(state.low() > STANDS);
    }
    (within as f64 / surveys as f64, above as f64 / surveys as f64)
}
