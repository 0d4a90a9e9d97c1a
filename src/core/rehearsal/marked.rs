//! Marked squares on a hidden patch, cut twice: what a recovery test shows, with its errors.

use std::f64::consts::SQRT_2;

use crate::records::{Clipping, Habit, TestDesign};
use crate::regrowth::{RecoveryTest, Terms, Weighed, regrow};
use crate::rehearsal::Draws;

/// How full the squares stand that were picked as full.
const PICKED: std::ops::Range<f64> = 0.75..1.0;
const SQUARE_LOG_SD: f64 = 0.45;

/// How a test is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked {
    /// How the squares are compared.
    pub design: TestDesign,
    /// Squares, or pairs of squares.
    pub squares: u32,
    /// How much faster the squares come back than the patch: 1, or more where neighbours help.
    pub faster: f64,
    /// What the spread of a square's ratio is multiplied by.
    pub sloppy: f64,
}

/// What befell the squares between their two cuts.
#[derive(Clone, Copy, Debug)]
pub struct Between {
    /// How far the hidden patch came back, r·∫g dt.
    pub grown: f64,
    /// The growth days that the book believes in.
    pub growth_days: f64,
    /// Log-sd of the error that all squares of one test share.
    pub test_log_sd: f64,
    /// Log-sd by which a year of a once-a-year crop differs from the next.
    pub year_log_sd: f64,
    /// Log-sd by which the full crop moved between the two days.
    pub full_moves_log_sd: f64,
}

impl Marked {
    /// As many pairs as are advised, well done.
    pub const PAIRS: Self = Self {
        design: TestDesign::Pairs,
        squares: RecoveryTest::ADVISED_SQUARES,
        faster: 1.0,
        sloppy: 1.0,
    };

    /// What the two baskets say; `None` where they tell nothing.
    pub fn show(&self, between: Between, terms: &Terms, draws: &mut Draws) -> Option<RecoveryTest> {
        let Between { grown, growth_days, test_log_sd, year_log_sd, full_moves_log_sd } = between;
        let picked = draws.uniform(PICKED);
        let regrown = regrow(Clipping::LEFT * picked, 1.0, self.faster * grown);
        let of_squares = SQUARE_LOG_SD * self.sloppy / f64::from(self.squares).sqrt();
        let error = draws.normal() * of_squares.hypot(test_log_sd);
        let against = match self.design {
            TestDesign::Pairs => regrow(picked, 1.0, self.faster * grown),
            // The full crop is another by then: the year's factor of a fruit, the season's.
            TestDesign::SameSquares => {
                let years = if terms.habit == Habit::OnceAYear { year_log_sd } else { 0.0 };
                picked * draws.factor((SQRT_2 * years).hypot(full_moves_log_sd))
            }
        };
        let weighed = Weighed {
            design: self.design,
            squares: self.squares,
            left: Clipping::LEFT,
            growth_days,
            against,
            regrown: regrown * error.exp(),
            cut_between: false,
        };
        RecoveryTest::of(&weighed, terms).ok()
    }
}
