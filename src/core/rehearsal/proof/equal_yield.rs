//! Ways compared at equal yield: each is tuned, in hindsight, until it yields the same.

use super::{Cell, Effort, Plots, Practice, Score, Testing};
use crate::records::Habit;
use crate::regrowth::Terms;
use crate::rehearsal::EyeErrors;

/// Halvings of the interval that holds the tuned number.
const STEPS: u32 = 9;
/// The largest share that the book allows is sought between these; a yield that needs more is
/// not reached, and the score shows it.
pub(super) const LARGEST_SHARE: (f64, f64) = (0.02, 0.45);
const SMALLEST_FRACTION: f64 = 0.005;

/// One practice, tuned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuned {
    /// As it was tuned.
    pub cell: Cell,
    /// What it comes to.
    pub score: Score,
}

/// The ways that are worth comparing, each at a yield, with `counting` errors: one in N, the book
/// without and with glances, and the book of a patch that is tested each year.
pub fn at_equal_yield(
    plots: &Plots,
    habit: Habit,
    yielded: f64,
    counting: EyeErrors,
    effort: Effort,
) -> [Tuned; 4] {
    let one_in_n = |fraction| Cell { counting, ..Cell::new(habit, Practice::Fraction(fraction)) };
    let book = |glances: bool, testing: Option<Testing>| {
        move |share: f64| {
            let theta = Some(1.0 - share);
            Cell { counting, theta, testing, ..Cell::new(habit, Practice::Book { glances }) }
        }
    };
    let tuned = |bounds, cell: &dyn Fn(f64) -> Cell| {
        let cell = tune(plots, yielded, effort, bounds, cell);
        Tuned { cell, score: cell.score(plots, effort) }
    };
    let fractions = (SMALLEST_FRACTION, best_fraction(&plots.of(habit).terms));
    [
        tuned(fractions, &one_in_n),
        tuned(LARGEST_SHARE, &book(false, None)),
        tuned(LARGEST_SHARE, &book(true, None)),
        tuned(LARGEST_SHARE, &book(false, Some(Testing::PAIRS))),
    ]
}

/// The fraction of a visit that yields most, over which yield falls again: the best pulse,
/// 1 − e^(−rT/2), parted among the visits of one T.
fn best_fraction(terms: &Terms) -> f64 {
    let (days, visits) = match terms.habit {
        Habit::OnceAYear => (365.0, 6.0),
        _ => (7.0, 1.0),
    };
    1.0 - (-terms.rate_per_day * days / 2.0 / visits).exp()
}

/// Finds the setting that yields so much; yield grows with the setting in this range.
pub(super) fn tune(
    plots: &Plots,
    yielded: f64,
    effort: Effort,
    (mut low, mut high): (f64, f64),
    cell: &dyn Fn(f64) -> Cell,
) -> Cell {
    for _ in 0..STEPS {
        let middle = (low + high) / 2.0;
        let found = cell(middle).score(plots, effort).yielded.value;
        if found < yielded { low = middle } else { high = middle }
    }
    cell((low + high) / 2.0)
}
