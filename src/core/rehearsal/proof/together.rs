//! Tried: the patches of a crop on a site speak together, and all are cut less where they look
//! thinner than they used to.
//!
//! The book does not do this. The trial stays here, so that it can be tried again whenever the
//! model changes.

use super::equal_yield::{LARGEST_SHARE, tune};
use super::score::{Score, more_dips};
use super::{BY_THE_BOOK, Cell, Company, Drawn, Effort, Plots, Practice, Strain};
use crate::records::Habit;

/// Each patch for itself, and all together.
pub const COMPANIES: [Company; 2] = [Company::Four { speak: false }, Company::Four { speak: true }];

/// What speaking together does to a leaf crop.
#[derive(Clone, Debug)]
pub struct Together {
    /// Which habit.
    pub habit: Habit,
    /// Each patch for itself and all together, without glances; then the same with them.
    pub strains: Vec<(Strain, [Score; 4])>,
    /// Without glances, and with them.
    pub at_equal_yield: Vec<(Stake, [Matched; 2])>,
}

/// Where the two are compared at equal yield.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stake {
    /// What goes wrong.
    pub strain: Strain,
    /// The largest share of each patch for itself; `None` for the profile's.
    pub largest_share: Option<f64>,
}

/// Each patch for itself, and all together with the largest share that yields the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Matched {
    /// Each patch for itself.
    pub alone: Score,
    /// All of a site together.
    pub together: Score,
    /// Dips of all together, less those of each for itself on the same sites.
    pub more_dips: Drawn,
}

const STRAINS: [Strain; 6] = [
    Strain::None,
    Strain::HalfRate,
    Strain::Misled,
    Strain::AllAtOnce,
    Strain::DriftingEye,
    Strain::WinterDenied,
];

/// Usual errors harm so few that a bolder share is compared too.
const STAKES: [Stake; 5] = [
    Stake { strain: Strain::None, largest_share: None },
    Stake { strain: Strain::None, largest_share: Some(0.32) },
    Stake { strain: Strain::HalfRate, largest_share: None },
    Stake { strain: Strain::AllAtOnce, largest_share: None },
    Stake { strain: Strain::WinterDenied, largest_share: None },
];

impl Together {
    /// How many times `play` calls `played`.
    pub(super) const CELLS: usize = STRAINS.len() * 4 + STAKES.len() * 2;

    pub(super) fn play(plots: &Plots, habit: Habit, effort: Effort, played: &dyn Fn()) -> Self {
        let strains = STRAINS.map(|strain| {
            let [plain, glances] = BY_THE_BOOK.map(|practice| {
                COMPANIES.map(|company| {
                    let cell = Cell { strain, company, ..Cell::new(habit, practice) };
                    let score = cell.score(plots, effort);
                    played();
                    score
                })
            });
            (strain, [plain[0], plain[1], glances[0], glances[1]])
        });
        let at_equal_yield = STAKES.map(|stake| {
            let by = |practice| {
                let matched = Matched::play(plots, habit, stake, practice, effort);
                played();
                matched
            };
            (stake, BY_THE_BOOK.map(by))
        });
        Self { habit, strains: strains.to_vec(), at_equal_yield: at_equal_yield.to_vec() }
    }
}

impl Matched {
    /// Tunes all together until they yield what each for itself does, and plays both on the same
    /// chances.
    pub fn play(
        plots: &Plots,
        habit: Habit,
        stake: Stake,
        practice: Practice,
        effort: Effort,
    ) -> Self {
        let cell = |company, share: Option<f64>| Cell {
            strain: stake.strain,
            company,
            theta: share.map(|share| 1.0 - share),
            ..Cell::new(habit, practice)
        };
        let [for_itself, speaking] = COMPANIES;
        let alone = cell(for_itself, stake.largest_share).fates(plots, effort);
        let yielded = Score::of(&alone).yielded.value;
        let speaking = |share| cell(speaking, Some(share));
        let found = tune(plots, yielded, effort, LARGEST_SHARE, &speaking);
        let together = found.fates(plots, effort);
        Self {
            alone: Score::of(&alone),
            together: Score::of(&together),
            more_dips: more_dips(&together, &alone),
        }
    }
}
