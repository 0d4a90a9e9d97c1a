//! Plays a plan many times, on all cores; the same seed gives the same outcome on any number.

use rayon::prelude::*;

use super::cast::Cast;
use super::run::{Run, Script};
use super::{Outcome, Plan, with_theta};
use crate::assess::Prepared;

/// How often a plan is played, and from which seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Repeats {
    /// How often.
    pub runs: u64,
    /// Draws the same chances again.
    pub seed: u64,
}

/// Plays the plan on these patches as the book has them. `played` is called after each run.
pub fn rehearse(
    patches: &[Prepared],
    plan: &Plan,
    repeats: Repeats,
    played: impl Fn() + Sync,
) -> Outcome {
    let kept = |patch: &Prepared| plan.kept.theta(patch.crop().kept_standing.value);
    let patches: Vec<Prepared> =
        patches.iter().map(|patch| with_theta(patch, kept(patch))).collect();
    let cast = Cast::of(&patches, plan);
    let script = Script::new(&cast, plan);
    let run = |number| {
        let run = script.run(repeats.seed, number);
        played();
        run
    };
    let runs: Vec<Run> = (0..repeats.runs).into_par_iter().map(run).collect();
    Outcome::of(&script, &runs)
}
