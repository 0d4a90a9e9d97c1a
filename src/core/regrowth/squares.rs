//! The recovery tests that a patch's clippings tell of: which first day belongs to which second,
//! and what the two come to.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Growth, NoTest, RecoveryTest, Terms, Weighed};
use crate::records::{Clipping, Fact, Habit, TestDesign};

/// No second day is looked for further off than this.
const HORIZON_DAYS: i64 = 3 * 366;

/// Marked squares, cut once or twice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkedSquares<'a> {
    /// The day on which they were cut first.
    pub first: &'a Fact<Clipping>,
    /// The day on which they were cut again; `None` until then.
    pub second: Option<&'a Fact<Clipping>>,
}

/// The days on which the second cut tells something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SecondCut {
    /// The first on which enough has grown back to tell.
    pub first_day: Date,
    /// A recovery interval after the first cut, when it tells most.
    pub best_day: Date,
    /// The last on which quick and slow squares are not yet full alike.
    pub last_day: Date,
}

/// The tests among a patch's clippings, in the order of their first days, and the clippings that
/// say they are a second day and of which no first one is known.
///
/// Of two that say they are the second day of one test, the earlier is.
pub fn marked_squares(
    clippings: &[Fact<Clipping>],
) -> (Vec<MarkedSquares<'_>>, Vec<&Fact<Clipping>>) {
    let (firsts, seconds): (Vec<_>, Vec<_>) =
        clippings.iter().partition(|fact| fact.record.begun.is_none());
    let mut all: Vec<MarkedSquares> =
        firsts.into_iter().map(|first| MarkedSquares { first, second: None }).collect();
    let mut strays = Vec::new();
    for second in seconds {
        let belongs = |squares: &&mut MarkedSquares| {
            squares.second.is_none()
                && Some(squares.first.happened_on) == second.record.begun
                && squares.first.record.design == second.record.design
                && squares.first.happened_on < second.happened_on
        };
        match all.iter_mut().find(belongs) {
            Some(squares) => squares.second = Some(second),
            None => strays.push(second),
        }
    }
    (all, strays)
}

impl MarkedSquares<'_> {
    /// What the two days come to; `None` before the second.
    pub fn result(&self, terms: &Terms, growth: &Growth) -> Option<Result<RecoveryTest, NoTest>> {
        let second = self.second?;
        let (one, two) = (&self.first.record, &second.record);
        if terms.habit == Habit::OnceAYear && one.design == TestDesign::SameSquares {
            return Some(Err(NoTest::YearsDiffer));
        }
        // What stood in a square, whatever part of it was cut.
        let stood = |of: &Clipping, value: f64| {
            value / (1.0 - of.left) / (f64::from(of.squares) * of.square.0)
        };
        let against = match two.uncut {
            Some(uncut) => stood(two, uncut.value),
            None => stood(one, one.cut.value),
        };
        let weighed = Weighed {
            design: one.design,
            squares: one.squares.min(two.squares),
            left: one.left,
            growth_days: growth.days_between(self.first.happened_on, second.happened_on),
            against,
            regrown: stood(two, two.cut.value),
            cut_between: two.disturbed,
        };
        let (first, second) = (self.first.happened_on, second.happened_on);
        Some(
            RecoveryTest::of(&weighed, terms).map(|test| test.between(first, second, terms.season)),
        )
    }

    /// When the second cut tells something, whether it was made or not; `None` for a crop that
    /// cannot be tested so, or where too little grows within three years.
    pub fn second_cut(&self, terms: &Terms, growth: &Growth) -> Option<SecondCut> {
        second_cut(self.first.happened_on, terms, growth)
    }
}

/// When the second cut of a test tells something that begins on `from`.
pub fn second_cut(from: Date, terms: &Terms, growth: &Growth) -> Option<SecondCut> {
    terms.by_test?;
    let (least, most) = RecoveryTest::telling_days(terms).into_inner();
    let ahead = |days: i64| from.checked_add(days.days()).ok();
    // Growth never shrinks, so that once it is enough it stays so.
    let first_with = |is_enough: &dyn Fn(f64) -> bool| {
        let is_it =
            |days: i64| ahead(days).is_some_and(|day| is_enough(growth.days_between(from, day)));
        let (mut short, mut enough) = (0, HORIZON_DAYS);
        if !is_it(enough) {
            return None;
        }
        while enough - short > 1 {
            let middle = (short + enough) / 2;
            *(if is_it(middle) { &mut enough } else { &mut short }) = middle;
        }
        Some(enough)
    };
    let day_with = |growth_days: f64| ahead(first_with(&|grown| grown >= growth_days)?);
    let too_late = first_with(&|grown| grown > most).unwrap_or(HORIZON_DAYS);
    Some(SecondCut {
        first_day: day_with(least)?,
        best_day: day_with(terms.recovery_days)?,
        last_day: ahead(too_late - 1)?,
    })
}
