//! Recovery tests as they are played: squares on the hidden patch, cut twice, with their errors.

use jiff::ToSpan;
use jiff::civil::Date;

use super::hidden::{Hidden, a_week_after};
use super::trial::World;
use crate::records::TestDesign;
use crate::regrowth::{Growth, RecoveryTest, Terms};
use crate::rehearsal::Draws;
use crate::rehearsal::marked::{Between, Marked};

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

impl Testing {
    /// Eight pairs of squares, well done, each year.
    pub const PAIRS: Self =
        Self { design: TestDesign::Pairs, squares: 8, yearly: true, faster: 1.0, sloppy: 1.0 };
    /// The usual test, of the same squares cut twice.
    pub const SAME_SQUARES: Self = Self { design: TestDesign::SameSquares, ..Self::PAIRS };

    /// Tests that are not done as they should be.
    pub const BADLY: [Self; 4] = [
        Self { yearly: false, ..Self::PAIRS },
        Self { squares: 4, ..Self::PAIRS },
        Self { squares: 4, sloppy: 1.5, ..Self::PAIRS },
        Self { faster: 1.28, ..Self::PAIRS },
    ];

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
        let marked = Marked {
            design: self.design,
            squares: self.squares,
            faster: self.faster,
            sloppy: self.sloppy,
        };
        let between = Between {
            grown,
            growth_days: growth.days_between(from, day),
            test_log_sd: world.test_log_sd,
            year_log_sd: world.nature.year_log_sd,
            full_moves_log_sd: world.full_moves_log_sd,
        };
        Some((day, marked.show(between, terms, draws)?))
    }

    /// Where the world has a best month for it, that; else any day will do.
    pub(super) fn begins(world: &World, after: Date) -> Date {
        let Some(month) = world.tests_begin_in else { return after };
        let this_year = Date::new(after.year(), month, 1).unwrap_or(after);
        if this_year >= after { this_year } else { this_year.saturating_add(1.year()) }
    }
}
