//! What many patches come to: yield and dips, each with its Monte-Carlo error.

use rayon::prelude::*;

use super::trial::{Fate, World, play};
use super::{Plots, Strain, Way};
use crate::records::Habit;
use crate::rehearsal::{EyeErrors, with_theta};

/// One cell of the proof.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    pub habit: Habit,
    pub strain: Strain,
    pub way: Way,
    /// How those who count off one in N err.
    pub counting: EyeErrors,
    /// In the place of the habit's theta.
    pub theta: Option<f64>,
}

/// How many patches are drawn, and from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    pub patches: u64,
    pub seed: u64,
}

/// A number found by drawing, with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    pub value: f64,
    pub error: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// What was taken, as a part of the best that could have been.
    pub yielded: Drawn,
    /// The part of all patch-seasons with a dip.
    pub dips: Drawn,
}

impl Cell {
    pub fn new(habit: Habit, way: Way) -> Self {
        let (strain, counting, theta) = (Strain::None, EyeErrors::ORDINARY, None);
        Self { habit, strain, way, counting, theta }
    }

    /// Plays the cell; the same effort gives the same score on any number of threads.
    pub fn score(&self, plots: &Plots, effort: Effort) -> Score {
        let world: World = self.strain.world(self.habit, self.counting);
        let mut patch = self.strain.booked(&plots.of(self.habit));
        if let Some(theta) = self.theta {
            patch = with_theta(&patch, theta);
        }
        let numbers = (0..effort.patches).into_par_iter();
        let fates: Vec<Fate> =
            numbers.map(|number| play(&world, &patch, self.way, effort.seed, number)).collect();
        Score::of(&fates)
    }
}

impl Score {
    fn of(fates: &[Fate]) -> Self {
        Self {
            yielded: ratio(fates, |fate| (fate.taken, fate.best)),
            dips: ratio(fates, |fate| (fate.years_with_a_dip.into(), fate.years.into())),
        }
    }
}

/// A ratio of sums, with the standard error of a ratio estimator (Cochran 1977, Sampling
/// Techniques, 6.4).
fn ratio(fates: &[Fate], parts: impl Fn(&Fate) -> (f64, f64)) -> Drawn {
    let n = fates.len() as f64;
    let (above, below) = fates.iter().map(&parts).fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y));
    let value = above / below;
    let squares: f64 = fates.iter().map(&parts).map(|(x, y)| (x - value * y).powi(2)).sum();
    let error = (squares / (n - 1.0) / n).sqrt() / (below / n);
    Drawn { value, error }
}
