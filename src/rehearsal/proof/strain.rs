//! What goes wrong in a cell of the proof.

use std::ops::Range;

use super::Company;
use super::plot::{LATITUDE_DEGREES, with_growth};
use super::trial::World;
use crate::assess::Prepared;
use crate::records::Habit;
use crate::regrowth::Growth;
use crate::rehearsal::{EyeErrors, Nature};

/// A winter month's growth, November to February, where there is a winter.
const WINTER: f64 = 0.2;
const WINTER_MONTHS: [usize; 4] = [1, 2, 11, 12];
/// What stands at first, as a part of what the ground carries.
const AT_FIRST: Range<f64> = 0.7..1.0;
/// The part of a basket that a party keeps to itself: up to a fifth.
const UNREPORTED: f64 = 0.2;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strain {
    /// Nothing but the errors that everyone makes.
    None,
    /// A winter that the profile knows of.
    WinterKnown,
    /// A winter that the profile says nothing of: the day-length guard holds.
    WinterGuarded,
    /// A winter, where someone declared that the crop grows all year.
    WinterDenied,
    /// The crop recovers half as fast as its profile says.
    HalfRate,
    /// Quadrats put where the plants are good, and up to 40 % kept off the record.
    Misled,
    /// The same, and recovery at 0.7 of the profile's.
    AllAtOnce,
    TwoParties,
    /// One visit in five that nobody writes down at all.
    Unwritten,
    /// An eye that sees 15 % more each year.
    DriftingEye,
    /// Patches that were depleted before anyone surveyed them, 0.2 to 0.5 of full.
    DepletedAtFirst,
    /// A crop that comes back from few more slowly than a logistic.
    SlowFromFew,
}

impl Strain {
    pub const ALL: [Self; 12] = [
        Self::None,
        Self::WinterKnown,
        Self::WinterGuarded,
        Self::WinterDenied,
        Self::HalfRate,
        Self::Misled,
        Self::AllAtOnce,
        Self::TwoParties,
        Self::Unwritten,
        Self::DriftingEye,
        Self::DepletedAtFirst,
        Self::SlowFromFew,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Self::None => "nothing more than usual",
            Self::WinterKnown => "a winter, known",
            Self::WinterGuarded => "a winter, not known: the guard",
            Self::WinterDenied => "a winter, wrongly denied",
            Self::HalfRate => "recovery half as fast",
            Self::Misled => "surveys × 1.3, to 40 % kept quiet",
            Self::AllAtOnce => "that, and recovery × 0.7",
            Self::TwoParties => "two parties a week",
            Self::Unwritten => "1 visit in 5 not written down",
            Self::DriftingEye => "an eye that drifts 15 % a year",
            Self::DepletedAtFirst => "depleted when first surveyed",
            Self::SlowFromFew => "slower than logistic from few",
        }
    }

    pub fn is_of_winter(self) -> bool {
        matches!(self, Self::WinterKnown | Self::WinterGuarded | Self::WinterDenied)
    }

    /// The world of a cell, with eyes that err so.
    pub(super) fn world(self, habit: Habit, eyes: EyeErrors) -> World {
        let mut world = World {
            nature: Nature::of(habit),
            growth: if self.is_of_winter() { with_winter() } else { Growth::all_year() },
            counting: eyes,
            glancing: EyeErrors::ORDINARY,
            unreported: UNREPORTED,
            unwritten: 0.0,
            survey_factor: 1.0,
            parties_a_week: 1,
            at_first: AT_FIRST,
            slow_from_few: 0.0,
            years: years(habit),
            company: Company::Alone,
        };
        match self {
            Self::HalfRate => world.nature.rate_factor = 0.5,
            Self::Misled | Self::AllAtOnce => {
                (world.survey_factor, world.unreported) = (1.3, 2.0 * UNREPORTED);
                if self == Self::AllAtOnce {
                    world.nature.rate_factor = 0.7;
                }
            }
            Self::TwoParties => world.parties_a_week = 2,
            Self::Unwritten => world.unwritten = 0.2,
            Self::DriftingEye => {
                let drift_a_year = 1.15_f64.ln();
                world.counting.drift_a_year = drift_a_year;
                world.glancing.drift_a_year = drift_a_year;
            }
            Self::DepletedAtFirst => world.at_first = 0.2..0.5,
            Self::SlowFromFew => world.slow_from_few = 0.5,
            _ => {}
        }
        world
    }

    /// The patch with what its book takes for granted of the winter.
    pub(super) fn booked<'a>(self, patch: &Prepared<'a>) -> Prepared<'a> {
        match self {
            Self::WinterKnown => with_growth(patch, with_winter()),
            Self::WinterGuarded => with_growth(patch, Growth::winter_guard(LATITUDE_DEGREES)),
            _ => patch.clone(),
        }
    }
}

/// Patches are followed until the first stock no longer tells.
fn years(habit: Habit) -> u32 {
    if habit.is_leaf() { 2 } else { 10 }
}

fn with_winter() -> Growth {
    let mut months = [1.0; 12];
    for month in WINTER_MONTHS {
        months[month - 1] = WINTER;
    }
    Growth::by_month(months)
}
