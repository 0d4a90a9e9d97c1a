//! Recovery tests as they are played: squares on the hidden patch, cut twice, with their errors.

use std::f64::consts::SQRT_2;

use jiff::ToSpan;
use jiff::civil::Date;

use super::hidden::{Hidden, a_week_after};
use super::trial::World;
use crate::records::{Clipping, Habit, TestDesign};
use crate::regrowth::{Growth, RecoveryTest, Terms, Weighed, regrow};
use crate::rehearsal::Draws;

/// How a patch is tested.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Testing {
    /// How the squares are compared.
    pub design: TestDesign,
    /// How many, or how many pairs.
    pub squares: u32,
    /// Each year, or once before the first survey.
    pub yearly: bool,
    /// How much faster the squares come back than the patch: 1, or more where neighbours help.
    pub faster: f64,
    /// What the spread of a square's ratio is multiplied by.
    pub sloppy: f64,
}

/// How full the squares stand that were picked as full.
const PICKED: std::ops::Range<f64> = 0.75..1.0;
const SQUARE_LOG_SD: f64 = 0.45;

impl Testing {
    /// Eight pairs of squares, well done, each year.
    pub const PAIRS: Self =
        Self { design: TestDesign::Pairs, squares: 8, yearly: true, faster: 1.0, sloppy: 1.0 };
    /// The usual test, of the same squares cut twice.
    pub const SAME_SQUARES: Self = Self { design: TestDesign::SameSquares, ..Self::PAIRS };

    /// What a test begun on `from` shows, and when; by the growth that the book believes in, it
    /// waits for a recovery interval. `None` where that is more than two years off.
    pub(super) fn play(
        &self,
        hidden: &Hidden,
        world: &World,
        (terms, growth): (&Terms, &Growth),
        from: Date,
        draws: &mut Draws,
    ) -> Option<(Date, RecoveryTest)> {
        const LONGEST_WEEKS: u32 = 105;
        let (mut day, mut grown, mut weeks) = (from, 0.0, 0);
        while growth.days_between(from, day) < terms.recovery_days {
            grown += hidden.grows_in_week(world, day);
            day = a_week_after(day);
            weeks += 1;
            if weeks > LONGEST_WEEKS {
                return None;
            }
        }
        let picked = draws.uniform(PICKED);
        let regrown = regrow(Clipping::LEFT * picked, 1.0, self.faster * grown);
        let error = draws.normal()
            * (SQUARE_LOG_SD * self.sloppy / f64::from(self.squares).sqrt())
                .hypot(world.test_log_sd);
        let against = match self.design {
            TestDesign::Pairs => regrow(picked, 1.0, self.faster * grown),
            // The full crop is another by then: the year's factor of a fruit, the season's.
            TestDesign::SameSquares => {
                let years =
                    if terms.habit == Habit::OnceAYear { world.nature.year_log_sd } else { 0.0 };
                picked * draws.factor((SQRT_2 * years).hypot(world.full_moves_log_sd))
            }
        };
        let weighed = Weighed {
            design: self.design,
            squares: self.squares,
            left: Clipping::LEFT,
            growth_days: growth.days_between(from, day),
            against,
            regrown: regrown * error.exp(),
            cut_between: false,
        };
        Some((day, RecoveryTest::of(&weighed, terms).ok()?))
    }

    /// Where the world has a best month for it, that; else any day will do.
    pub(super) fn begins(world: &World, after: Date) -> Date {
        let Some(month) = world.tests_begin_in else { return after };
        let this_year = Date::new(after.year(), month, 1).unwrap_or(after);
        if this_year >= after { this_year } else { this_year.saturating_add(1.year()) }
    }
}
