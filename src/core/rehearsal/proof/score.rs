//! What many patches come to: yield and dips, each with its Monte-Carlo error.

use rayon::prelude::*;

use super::site::{Company, Fate, play};
use super::trial::World;
use super::{Plots, Practice, Strain, Swing, Testing};
use crate::records::Habit;
use crate::rehearsal::{EyeErrors, with_theta};

/// One cell of the proof.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// What sort of crop.
    pub habit: Habit,
    /// What goes wrong.
    pub strain: Strain,
    /// How it is decided what a visit takes.
    pub practice: Practice,
    /// How those who count off one in N err.
    pub counting: EyeErrors,
    /// In the place of the habit's theta.
    pub theta: Option<f64>,
    /// How its patches stand to one another.
    pub company: Company,
    /// How the patch is tested, where it is.
    pub testing: Option<Testing>,
    /// Whether the book takes the profile's word for how fast the patch comes back, tested or not.
    pub trusts_profile: bool,
    /// A full crop that swings through the year.
    pub swing: Option<Swing>,
}

/// How many patches are drawn, and from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// In each cell.
    pub patches: u64,
    /// Draws the same chances again.
    pub seed: u64,
}

/// A number found by drawing, with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// The mean.
    pub value: f64,
    /// Its standard error.
    pub error: f64,
}

/// What a cell comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// What was taken, as a part of the best that could have been.
    pub yielded: Drawn,
    /// The part of all patch-seasons with a dip.
    pub dips: Drawn,
    /// The part of the visits to patches that stood full which the book sent away; no number
    /// where the book is not asked.
    pub refused: Drawn,
}

impl Cell {
    /// A patch by itself, with nothing amiss and ordinary eyes.
    pub fn new(habit: Habit, practice: Practice) -> Self {
        let (strain, counting, theta) = (Strain::None, EyeErrors::ORDINARY, None);
        let (testing, swing) = (None, None);
        let company = Company::Alone;
        Self {
            habit,
            strain,
            practice,
            counting,
            theta,
            company,
            testing,
            trusts_profile: false,
            swing,
        }
    }

    /// Plays the cell; the same effort gives the same score on any number of threads.
    pub fn score(&self, plots: &Plots, effort: Effort) -> Score {
        Score::of(&self.fates(plots, effort))
    }

    /// What came of each site.
    pub(super) fn fates(&self, plots: &Plots, effort: Effort) -> Vec<Fate> {
        let mut world =
            World { company: self.company, ..self.strain.world(self.habit, self.counting) };
        let mut patch = self.strain.booked(&plots.of(self.habit));
        if let Some(theta) = self.theta {
            patch = with_theta(&patch, theta);
        }
        if let Some(swing) = self.swing {
            world.season = swing.curve();
            patch.terms.season = swing.in_book();
        }
        if self.trusts_profile {
            patch.terms.by_test = None;
        }
        let by = (self.practice, self.testing);
        let sites = (0..effort.patches.div_ceil(self.company.patches())).into_par_iter();
        sites.map(|number| play(&world, &patch, by, effort.seed, number)).collect()
    }
}

impl Score {
    pub(super) fn of(fates: &[Fate]) -> Self {
        Self {
            yielded: ratio(fates.iter().map(|fate| (fate.taken, fate.best))),
            dips: ratio(fates.iter().map(|fate| (fate.years_with_a_dip.into(), fate.years.into()))),
            refused: ratio(
                fates
                    .iter()
                    .map(|fate| (fate.refused_when_full.into(), fate.visits_when_full.into())),
            ),
        }
    }
}

/// By how much the part of patch-seasons with a dip differs from that of the same sites in
/// another cell, with the error of a difference in pairs.
pub(super) fn more_dips(fates: &[Fate], than: &[Fate]) -> Drawn {
    let pairs = fates.iter().zip(than);
    ratio(pairs.map(|(fate, than)| {
        let dips = |fate: &Fate| f64::from(fate.years_with_a_dip);
        (dips(fate) - dips(than), fate.years.into())
    }))
}

/// A ratio of sums, with the standard error of a ratio estimator (Cochran 1977, Sampling
/// Techniques, 6.4). Patches of one site count as one, since they share a fate.
fn ratio(parts: impl Iterator<Item = (f64, f64)>) -> Drawn {
    let parts: Vec<(f64, f64)> = parts.collect();
    let n = parts.len() as f64;
    let (above, below) = parts.iter().fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y));
    let value = above / below;
    let squares: f64 = parts.iter().map(|(x, y)| (x - value * y).powi(2)).sum();
    let error = (squares / (n - 1.0) / n).sqrt() / (below / n);
    Drawn { value, error }
}
