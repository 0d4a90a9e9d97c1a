//! How fast a patch comes back: what is believed, from which tests, and what a test is worth.

use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use crate::estimate::t_for_eight_in_ten;
use crate::records::TestDesign;
use crate::regrowth::{
    MarkedSquares, NoTest, Recovering, RecoveryTest, SecondCut, Share, State, Terms,
    marked_squares, second_cut,
};
use crate::rules::Case;

/// How fast the patch comes back, on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Comeback {
    /// As a part of the profile's rate.
    pub speed: Speed,
    /// The rate at which the share refills, and the most of the stand it refills to.
    pub refill_part: f64,
    /// The most of the stand that the share refills to, 0 to 1.
    pub largest_share: f64,
    /// In the order of their first days; what was begun later than the day is left out.
    pub tests: Vec<Tested>,
    /// What was taken a recovery interval after a visit that took all it might.
    pub worth: Option<Worth>,
}

/// How fast a patch is believed to come back, as a part of its profile's rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speed {
    /// The likeliest.
    pub best: f64,
    /// Bounds of eight cases in ten.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
    /// How many tests it rests on; where there are none, it is the profile's own.
    pub tests: u32,
}

/// One test, done or under way.
#[derive(Clone, Debug, PartialEq)]
pub struct Tested {
    /// How the squares are compared.
    pub design: TestDesign,
    /// How many.
    pub squares: u32,
    /// The day of the first cut.
    pub begun: Date,
    /// Who cut them.
    pub by: Arc<str>,
    /// What came of it.
    pub outcome: Outcome,
}

/// What came of a test.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// The second basket as a part of the other, and what was to be expected of a patch that
    /// comes back as its profile says.
    Told {
        /// The day of the second cut.
        on: Date,
        /// The second basket as a part of the other.
        ratio: f64,
        /// What it would be at the profile's rate.
        expected: f64,
    },
    /// Cut a second time, without a result.
    Nothing {
        /// The day of the second cut.
        on: Date,
        /// Why it tells nothing.
        why: NoTest,
    },
    /// To be cut a second time.
    Waiting(SecondCut),
    /// Not cut a second time while that would have told something.
    Missed {
        /// The last on which it would have told something; `None` where no day would.
        last_day: Option<Date>,
    },
}

/// What one visit may take a recovery interval after one that took all it might, in the crop's
/// measure: the share's limit, of what is believed to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// By what is believed today.
    pub now: f64,
    /// What it would be if nobody had tested; `None` where nobody has.
    pub untested: Option<f64>,
    /// What it may be once the patch is tested, where nobody has.
    pub by_a_test: Option<ByATest>,
}

/// What a first test may make of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByATest {
    /// If the patch comes back at half the profile's rate.
    pub half_as_fast: f64,
    /// If it comes back at the profile's rate.
    pub as_expected: f64,
    /// If it comes back at twice the profile's rate.
    pub twice_as_fast: f64,
    /// Over all that the test may show.
    pub on_average: f64,
}

/// How fast the patch comes back, by what was recorded up to the day.
pub fn comeback(patch: &Prepared, day: Date) -> Comeback {
    let (terms, state) = (&patch.terms, patch.course().state_on(day));
    let believed = believed(patch, day);
    let spread = t_for_eight_in_ten(f64::INFINITY) * believed.variance_on(day).sqrt();
    let at = |log: f64| log.exp();
    Comeback {
        speed: Speed {
            best: at(believed.mean()),
            low: at(believed.mean() - spread),
            high: at(believed.mean() + spread),
            tests: believed.tests(),
        },
        refill_part: terms.refill_part(&believed, day),
        largest_share: terms.largest_share_of(&believed),
        tests: tests(patch, day),
        worth: state.and_then(|state| worth(patch, &state)),
    }
}

/// What tests up to the day say, whether the patch was surveyed or not.
fn believed(patch: &Prepared, day: Date) -> Recovering {
    patch.course().play_until(day).recovering()
}

fn season_depth(patch: &Prepared, day: Date) -> f64 {
    patch.course().play_until(day).season_depth()
}

fn tests(patch: &Prepared, day: Date) -> Vec<Tested> {
    let (all, _) = marked_squares(&patch.facts.clippings);
    let begun = all.into_iter().filter(|squares| squares.first.happened_on <= day);
    begun.map(|squares| tested(patch, squares, day)).collect()
}

fn tested(patch: &Prepared, squares: MarkedSquares, day: Date) -> Tested {
    let (terms, growth) = (&patch.terms, &patch.growth);
    let MarkedSquares { first, second } = squares;
    let outcome =
        match (second.filter(|fact| fact.happened_on <= day), second_cut_of(squares, patch)) {
            (None, Some(when)) if day <= when.last_day => Outcome::Waiting(when),
            (None, when) => Outcome::Missed { last_day: when.map(|when| when.last_day) },
            (Some(second), _) => match squares.result(terms, growth) {
                Some(Ok(test)) => Outcome::Told {
                    on: second.happened_on,
                    ratio: test.ratio(),
                    expected: test.expected(terms) * test.by_season(season_depth(patch, day)),
                },
                Some(Err(why)) => Outcome::Nothing { on: second.happened_on, why },
                None => Outcome::Missed { last_day: None },
            },
        };
    Tested {
        design: first.record.design,
        squares: first.record.squares,
        begun: first.happened_on,
        by: second.map_or(&first.by, |second| &second.by).clone(),
        outcome,
    }
}

fn second_cut_of(squares: MarkedSquares, patch: &Prepared) -> Option<SecondCut> {
    squares.second_cut(&patch.terms, &patch.growth)
}

/// Squares that wait for their second cut, the first to be cut first; of those that nobody came
/// back to in time no more is said.
pub fn waiting(patch: &Prepared, day: Date) -> impl Iterator<Item = (Date, SecondCut)> {
    let any = !patch.facts.clippings.is_empty();
    let tests = if any { tests(patch, day) } else { Vec::new() };
    tests.into_iter().filter_map(|test| match test.outcome {
        Outcome::Waiting(when) => Some((test.begun, when)),
        _ => None,
    })
}

/// `None` for a crop that no test tells of, or that needs none.
fn worth(patch: &Prepared, state: &State) -> Option<Worth> {
    patch.terms.by_test?;
    let case = patch.case(state.day, None, None);
    if case.is_invasive() {
        return None;
    }
    let of = |believed: &Recovering| refilled(&patch.terms, state, believed);
    let believed = &state.recovering;
    let is_tested = believed.is_tested();
    Some(Worth {
        now: of(believed),
        untested: is_tested.then(|| of(&Recovering::UNTESTED)),
        by_a_test: if is_tested { None } else { by_a_test(&patch.terms, state, &of) },
    })
}

/// What a test begun on the day would make of the limit, by pairs.
pub(super) fn gain_of_a_test(patch: &Prepared, case: &Case) -> Option<(f64, SecondCut)> {
    let state = case.state.filter(|state| !state.recovering.is_tested())?;
    let worth = worth(patch, &state)?;
    let when = second_cut(case.day, &patch.terms, &patch.growth)?;
    Some((worth.by_a_test?.on_average - worth.now, when))
}

fn by_a_test(terms: &Terms, state: &State, of: &dyn Fn(&Recovering) -> f64) -> Option<ByATest> {
    let believed = &state.recovering;
    let after = |speed: f64| {
        let test = RecoveryTest::that_shows(
            TestDesign::Pairs,
            RecoveryTest::ADVISED_SQUARES,
            terms,
            speed,
        )?;
        Some(of(&believed.after(terms, state.day, &test)))
    };
    let may_show = believed.what_a_test_may_say(terms, state.day, RecoveryTest::ADVISED_SQUARES)?;
    Some(ByATest {
        half_as_fast: after(0.5)?,
        as_expected: after(1.0)?,
        twice_as_fast: after(2.0)?,
        on_average: may_show.iter().map(|(weight, believed)| weight * of(believed)).sum(),
    })
}

/// The share's limit once a recovery interval has refilled a share that was spent.
fn refilled(terms: &Terms, state: &State, believed: &Recovering) -> f64 {
    let grown = terms.rate_per_day * terms.refill_part(believed, state.day) * terms.recovery_days;
    let share = Share::of(state, terms);
    let left = terms.largest_share_of(believed) * -(-grown).exp_m1();
    Share { left, taper: 1.0, thin: 1.0, start: 1.0, ..share }.most()
}
