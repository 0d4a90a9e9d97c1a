//! A recovery test that is to be made: when to come back, and what the baskets will say.

use jiff::civil::Date;

use super::Prepared;
use crate::records::{Habit, TestDesign};
use crate::regrowth::{NoTest, RecoveryTest, SecondCut, second_cut};
use crate::units::SquareMetres;

/// How many times as fast as its profile says a patch may come back, for the table of ratios.
const SPEEDS: [f64; 6] = [0.25, 0.5, 0.75, 1.0, 1.5, 2.0];

/// How a test is laid out, and what its baskets would mean.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPlan {
    /// How the squares are compared.
    pub design: TestDesign,
    /// Squares, or pairs of them.
    pub squares: u32,
    /// Of one square.
    pub square: SquareMetres,
    /// The day of the first cut.
    pub begins: Date,
    /// When to cut again.
    pub second_cut: SecondCut,
    /// From the slowest patch to the quickest.
    pub ratios: Vec<RatioLine>,
    /// The part of the patch's ground that both cuts together go over.
    pub part_of_ground: f64,
}

/// What the baskets of one patch show, and what is then believed of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatioLine {
    /// How fast the patch comes back, as a part of its profile's rate.
    pub speed: f64,
    /// The second basket as a part of the first, or of that from the uncut squares.
    pub ratio: f64,
    /// At which part of the profile's rate the share refills then.
    pub refill_part: f64,
    /// The most of the stand that it refills to, 0 to 1.
    pub largest_share: f64,
}

/// The ratios are those of a second cut on its best day.
///
/// # Errors
/// A crop that no such test tells of, or a day from which too little grows within three years.
pub fn plan_test(
    patch: &Prepared,
    day: Date,
    design: TestDesign,
    squares: u32,
    square: SquareMetres,
) -> Result<TestPlan, NoTest> {
    let terms = &patch.terms;
    match terms.habit {
        Habit::Slow => return Err(NoTest::TooSlow),
        Habit::OnceAYear if design == TestDesign::SameSquares => return Err(NoTest::YearsDiffer),
        _ => {}
    }
    let second_cut = second_cut(day, terms, &patch.growth).ok_or(NoTest::NoGrowth)?;
    let play = patch.course().play_until(day);
    let (believed, depth) = (play.recovering(), play.season_depth());
    let line = |speed| {
        let test = RecoveryTest::that_shows(design, squares, terms, speed)?;
        let after = believed.after(terms, day, &test);
        let (refill_part, largest_share) = (after.refill_part(day), terms.largest_share_of(&after));
        let by_season = test.between(day, second_cut.best_day, terms.season).by_season(depth);
        Some(RatioLine { speed, ratio: test.ratio() * by_season, refill_part, largest_share })
    };
    let cut_over = match design {
        TestDesign::Pairs => 2.0,
        TestDesign::SameSquares => 1.0,
    };
    Ok(TestPlan {
        design,
        squares,
        square,
        begins: day,
        second_cut,
        ratios: SPEEDS.into_iter().filter_map(line).collect(),
        part_of_ground: cut_over * f64::from(squares) * square.0 / patch.ground.harvestable.0,
    })
}
