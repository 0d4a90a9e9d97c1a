//! The whole proof: which cells are played, in which order.

use super::{
    Cell, Covered, Effort, Plots, Practice, Score, Strain, Together, Tried, Tuned, at_equal_yield,
};
use crate::records::Habit;
use crate::rehearsal::EyeErrors;

/// The two ways of the book.
pub const BY_THE_BOOK: [Practice; 2] =
    [Practice::Book { glances: false }, Practice::Book { glances: true }];

/// Everything that is shown.
#[derive(Clone, Debug)]
pub struct Proof {
    /// How many patches, and which seed.
    pub effort: Effort,
    /// One for each habit.
    pub habits: Vec<HabitProof>,
    /// What was tried and not taken up, on leaves.
    pub together: Vec<Together>,
    /// Recovery tests, and seasons of the full crop.
    pub tried: Vec<Tried>,
    /// What the bounds of a survey hold.
    pub bands: Vec<Covered>,
}

/// One habit's part.
#[derive(Clone, Debug)]
pub struct HabitProof {
    /// Which habit.
    pub habit: Habit,
    /// The book under each strain, without and with glances.
    pub strains: Vec<(Strain, [Score; 2])>,
    /// The rules of thumb, by an ordinary, an unbiased and an unerring eye.
    pub thumbs: Vec<(Practice, [Score; 3])>,
    /// Where everyone counts without error, tuned to the same yields.
    pub equal_yields: Vec<(f64, [Tuned; 4])>,
    /// Yield and risk over the whole range of each rule, by an ordinary eye.
    pub curves: Vec<Curve>,
}

/// One rule, from strict to loose.
#[derive(Clone, Debug)]
pub struct Curve {
    /// One of its settings.
    pub practice: Practice,
    /// What each setting comes to.
    pub points: Vec<Score>,
}

const HABITS: [Habit; 4] = Habit::ALL;
const LEAVES: [Habit; 2] = [Habit::FastLeaf, Habit::SlowLeaf];
/// For curves, which are only looked at, a part of the patches will do.
const CURVE_PART: u64 = 4;

/// Plays all of it. `played` is called after each cell, [`cells`] times.
pub fn prove(effort: Effort, played: impl Fn()) -> Proof {
    let plots = Plots::new();
    let score = |cell: Cell, effort: Effort| {
        let score = cell.score(&plots, effort);
        played();
        score
    };
    let habits = HABITS.map(|habit| {
        let strains = strains(habit).map(|strain| {
            let by = |practice| score(Cell { strain, ..Cell::new(habit, practice) }, effort);
            (strain, BY_THE_BOOK.map(by))
        });
        let thumbs = Practice::THUMBS.map(|practice| {
            let by = |counting| score(Cell { counting, ..Cell::new(habit, practice) }, effort);
            (practice, [EyeErrors::ORDINARY, EyeErrors::UNBIASED, EyeErrors::NONE].map(by))
        });
        let equal_yields = yields(habit).iter().map(|&yielded| {
            let tuned = at_equal_yield(&plots, habit, yielded, EyeErrors::NONE, effort);
            played();
            (yielded, tuned)
        });
        let fewer = Effort { patches: (effort.patches / CURVE_PART).max(2), ..effort };
        HabitProof {
            habit,
            strains: strains.collect(),
            thumbs: thumbs.to_vec(),
            equal_yields: equal_yields.collect(),
            curves: curves(habit, &|cell| score(cell, fewer)),
        }
    });
    let together = LEAVES.map(|habit| Together::play(&plots, habit, effort, &played));
    let tried = Tried::HABITS.map(|habit| Tried::play(&plots, habit, effort, &played));
    Proof {
        effort,
        habits: habits.to_vec(),
        together: together.to_vec(),
        tried: tried.to_vec(),
        bands: Covered::all(&plots, effort),
    }
}

/// How many cells `prove` plays.
pub fn cells() -> u64 {
    let of = |habit: Habit| {
        let curves = SHARES.len() * BY_THE_BOOK.len() + FRACTIONS.len() + RESTED.len();
        let curves = if habit == Habit::Slow { 0 } else { curves };
        2 * strains(habit).count() + 3 * Practice::THUMBS.len() + yields(habit).len() + curves
    };
    (HABITS.into_iter().map(of).sum::<usize>() + LEAVES.len() * Together::CELLS + Tried::cells())
        as u64
}

/// A crop that is counted in whole years knows no winter.
fn strains(habit: Habit) -> impl Iterator<Item = Strain> {
    Strain::ALL.into_iter().filter(move |strain| habit.is_leaf() || !strain.is_of_winter())
}

/// Yields at which ways are compared: where the careful setting lies, and above it.
fn yields(habit: Habit) -> &'static [f64] {
    match habit {
        Habit::FastLeaf => &[0.41, 0.45, 0.49],
        Habit::SlowLeaf => &[0.45, 0.49, 0.55],
        Habit::OnceAYear => &[0.41, 0.45, 0.52],
        Habit::Slow => &[],
    }
}

const SHARES: [f64; 8] = [0.06, 0.10, 0.14, 0.18, 0.22, 0.26, 0.30, 0.36];
const FRACTIONS: [f64; 10] = [0.01, 0.015, 0.02, 0.03, 0.04, 0.05, 0.07, 0.10, 0.15, 0.22];
const RESTED: [f64; 7] = [0.05, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50];

fn curves(habit: Habit, score: &dyn Fn(Cell) -> Score) -> Vec<Curve> {
    if habit == Habit::Slow {
        return Vec::new();
    }
    let book = |practice: Practice| {
        let cell = |share: f64| Cell { theta: Some(1.0 - share), ..Cell::new(habit, practice) };
        Curve { practice, points: SHARES.map(|share| score(cell(share))).to_vec() }
    };
    let thumb = |parts: &[f64], practice: fn(f64) -> Practice| {
        let points = parts.iter().map(|part| score(Cell::new(habit, practice(*part)))).collect();
        Curve { practice: practice(0.0), points }
    };
    vec![
        book(BY_THE_BOOK[0]),
        book(BY_THE_BOOK[1]),
        thumb(&FRACTIONS, Practice::Fraction),
        thumb(&RESTED, Practice::ThenRest),
    ]
}
