//! What a profile need not say, because its habit says it.

use crate::records::{Habit, PlantPart, Recovery, Sourced};
use crate::units::{Amount, Measure, Window};

const TRIAL: &str = "default for the habit, the careful of two in this project's \
                     simulations; no publication";
const PRACTICE: &str = "default for the habit; common practice, no source";

/// Theta of the take-limit model.
pub(super) fn kept_standing(habit: Habit, part: PlantPart) -> Sourced<f64> {
    let value = match (habit, part) {
        (Habit::FastLeaf, _) => 0.78,
        (Habit::SlowLeaf, _) => 0.77,
        (Habit::OnceAYear, _) => 0.65,
        (Habit::Slow, PlantPart::Root | PlantPart::Bulb) => 0.85,
        (Habit::Slow, _) => 0.83,
    };
    Sourced { value, source: TRIAL.into() }
}

/// Half the full crop stays where next year's crop grows from it over years. Of a leaf two
/// fifths do: by this project's simulations a half takes from the harvest, sends more people away
/// from full patches and makes none safer. What falls off every year needs no reserve: the share
/// alone limits it.
pub(super) fn reserve(habit: Habit) -> Sourced<f64> {
    let (value, source) = match habit {
        Habit::FastLeaf | Habit::SlowLeaf => (0.4, TRIAL),
        Habit::Slow => (0.5, PRACTICE),
        Habit::OnceAYear => (0.0, PRACTICE),
    };
    Sourced { value, source: source.into() }
}

pub(super) fn smallest_useful(measure: Measure) -> Sourced<Amount> {
    let value = match measure {
        Measure::Mass => Amount::grams(50.0),
        Measure::Count => Amount::count(1.0),
    };
    Sourced { value, source: "a handful; common practice, no source".into() }
}

/// Stands in until the season, which has no default, is read.
pub(super) fn season_to_be_read() -> Sourced<Window> {
    Sourced { value: Window::all_year(), source: "".into() }
}

/// Stands in until the recovery, which has no default, is read.
pub(super) fn recovery_to_be_read() -> Sourced<Recovery> {
    Sourced { value: Recovery { take_fraction: 0.5, days: 1.0 }, source: "".into() }
}
