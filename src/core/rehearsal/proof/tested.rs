//! Recovery tests and seasons of the full crop, each against the book without them.

use super::score::Score;
use super::{BY_THE_BOOK, Cell, Effort, Known, Plots, Strain, Swing, Testing};
use crate::records::Habit;

/// What decides how fast the share refills.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edition {
    /// A book that takes the profile's word for it. Tried for comparison: no answer goes by it.
    ByProfile,
    /// The book, of a patch that nobody tests: with its doubt.
    Untested,
    /// The book, of a patch that is tested each year.
    Tested(Squares),
}

/// Which squares are weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Squares {
    /// Neighbouring squares, of which one was cut before.
    Pairs,
    /// The same squares, cut twice.
    Same,
}

/// What one habit's patches come to under each edition.
#[derive(Clone, Debug)]
pub struct Tried {
    /// Which habit.
    pub habit: Habit,
    /// Without glances, and with them.
    pub strains: Vec<(Strain, Edition, [Score; 2])>,
    /// Tests done badly, where the crop recovers half as fast as its profile says.
    pub badly: Vec<(Testing, [Score; 2])>,
    /// The same under a full crop that swings; empty but for leaves.
    pub swings: Vec<(Strain, Swing, Edition, [Score; 2])>,
}

/// In the kind world, and then in the measured one.
const STRAINS: [Strain; 17] = [
    Strain::Measured,
    Strain::MeasuredHalfRate,
    Strain::MeasuredDry,
    Strain::MeasuredDryTest,
    Strain::MeasuredRemembers,
    Strain::None,
    Strain::HalfRate,
    Strain::AllAtOnce,
    Strain::Unwritten,
    Strain::StopsShort,
    Strain::DriftingEye,
    Strain::DepletedAtFirst,
    Strain::SlowingDown,
    Strain::ByQuota,
    Strain::MixedLooks,
    Strain::Unripe,
    Strain::UnripeSaid,
];
const EDITIONS: [Edition; 4] = [
    Edition::ByProfile,
    Edition::Untested,
    Edition::Tested(Squares::Pairs),
    Edition::Tested(Squares::Same),
];
const SWUNG_STRAINS: [Strain; 3] = [Strain::None, Strain::HalfRate, Strain::AllAtOnce];
const KNOWN: [Known; 5] =
    [Known::Nothing, Known::Right, Known::Late, Known::TooDeep, Known::Unfounded];
const DEPTHS: [f64; 2] = [3.0, 5.0];

impl Edition {
    /// The cell under this edition.
    pub fn cell(self, cell: Cell) -> Cell {
        match self {
            Self::ByProfile => Cell { trusts_profile: true, ..cell },
            Self::Untested => cell,
            Self::Tested(Squares::Pairs) => Cell { testing: Some(Testing::PAIRS), ..cell },
            Self::Tested(Squares::Same) => Cell { testing: Some(Testing::SAME_SQUARES), ..cell },
        }
    }
}

impl Tried {
    /// What is tried; a crop that needs years cannot be tested.
    pub const HABITS: [Habit; 3] = [Habit::FastLeaf, Habit::SlowLeaf, Habit::OnceAYear];

    /// How many times `play` calls `played`, for all habits.
    pub(super) fn cells() -> usize {
        let of = |habit: Habit| {
            2 * (strains(habit).count() + Testing::BADLY.len() + swings(habit).len())
        };
        Self::HABITS.into_iter().map(of).sum()
    }

    pub(super) fn play(plots: &Plots, habit: Habit, effort: Effort, played: &dyn Fn()) -> Self {
        let each = |cell: Cell| {
            BY_THE_BOOK.map(|practice| {
                let score = Cell { practice, ..cell }.score(plots, effort);
                played();
                score
            })
        };
        let score = |edition: Edition, cell: Cell| each(edition.cell(cell));
        let cell = |strain| Cell { strain, ..Cell::new(habit, BY_THE_BOOK[0]) };
        let strains =
            strains(habit).map(|(strain, edition)| (strain, edition, score(edition, cell(strain))));
        let strains = strains.collect();
        let badly = Testing::BADLY.map(|testing| {
            (testing, each(Cell { testing: Some(testing), ..cell(Strain::HalfRate) }))
        });
        let badly = badly.to_vec();
        let swings = swings(habit).into_iter().map(|(strain, swing, edition)| {
            let swung = Cell { swing: Some(swing), ..cell(strain) };
            (strain, swing, edition, score(edition, swung))
        });
        Self { habit, strains, badly, swings: swings.collect() }
    }
}

/// A leaf does not ripen; and of fruit no months were measured, nor what it remembers.
fn strains(habit: Habit) -> impl Iterator<Item = (Strain, Edition)> {
    let is_of = move |strain: &Strain| match habit.is_leaf() {
        true => !strain.ripens(),
        false => !strain.is_of_leaf(),
    };
    let played = STRAINS.into_iter().filter(is_of);
    played.flat_map(|strain| EDITIONS.map(|edition| (strain, edition)))
}

/// Without a curve only untested: the tables of tests have the rest.
fn swings(habit: Habit) -> Vec<(Strain, Swing, Edition)> {
    let mut all = Vec::new();
    for strain in SWUNG_STRAINS.into_iter().filter(|_| habit.is_leaf()) {
        for deep in DEPTHS {
            for known in KNOWN {
                let swing = Swing { deep, known };
                all.push((strain, swing, Edition::Untested));
                if known != Known::Nothing {
                    all.push((strain, swing, Edition::Tested(Squares::Pairs)));
                }
            }
        }
    }
    all
}
