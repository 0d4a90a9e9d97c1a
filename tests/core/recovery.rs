//! The recovery test: its closed forms, its laws, and a measured regrowth.

use crate::crops;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook_core::estimate::Estimate;
use stintbook_core::records::{Clipping, Habit, Recovery, Taken, TestDesign};
use stintbook_core::regrowth::{
    ByTest, Course, Event, Eyes, Growth, History, NoTest, Recovering, RecoveryTest, Seen, State,
    Terms, Weighed, ratio_at, regrow,
};

const DAY: Date = date(2027, 7, 1);
/// The error that all squares share in the closed forms.
const COMMON: f64 = 0.15;

fn terms(habit: Habit) -> Terms {
    let (take_fraction, days) = match habit {
        Habit::FastLeaf => (1.0 / 3.0, 28.0),
        Habit::SlowLeaf => (0.25, 90.0),
        Habit::OnceAYear => (0.3, 365.0),
        Habit::Slow => (0.1, 3650.0),
    };
    Terms::of(&crops::crop(habit, Recovery { take_fraction, days }))
}

/// The same where tests count.
fn by_test(habit: Habit) -> Terms {
    let mut terms = terms(habit);
    let share = terms.largest_share;
    terms.by_test = Some(ByTest { tested_share: share, common_log_sd: COMMON });
    terms
}

/// Eight squares, a recovery interval apart.
fn weighed(terms: &Terms, design: TestDesign, ratio: f64) -> Weighed {
    Weighed {
        design,
        squares: 8,
        left: Clipping::LEFT,
        growth_days: terms.recovery_days,
        against: 1400.0,
        regrown: 1400.0 * ratio,
        cut_between: false,
    }
}

fn test(terms: &Terms, design: TestDesign, ratio: f64) -> RecoveryTest {
    RecoveryTest::of(&weighed(terms, design, ratio), terms).unwrap()
}

fn believed(terms: &Terms, design: TestDesign, ratio: f64) -> Recovering {
    let test = test(terms, design, ratio);
    Recovering::UNTESTED.tested(DAY, terms.rate_per_day, &test, COMMON)
}

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 6e-7, "found {found}, expected {expected}");
}

/// One line of the closed forms: what is expected, what doubt stays, and for a patch of so many
/// times the profile's rate what it shows, what is then believed, and how it refills.
struct Line {
    habit: Habit,
    expected: f64,
    doubt_after: f64,
    patches: &'static [(f64, f64, f64, f64)],
}

fn holds(design: TestDesign, line: &Line) {
    let terms = terms(line.habit);
    close(ratio_at(design, &terms, Clipping::LEFT, terms.recovery_days, 1.0), line.expected);
    for &(speed, shown, mean, refill) in line.patches {
        let ratio = ratio_at(design, &terms, Clipping::LEFT, terms.recovery_days, speed);
        close(ratio, shown);
        let believed = believed(&terms, design, ratio);
        close(believed.mean(), mean);
        close(believed.variance_on(DAY).sqrt(), line.doubt_after);
        close(believed.refill_part(DAY), refill);
    }
}

/// Worked out by hand from `y = L/0.85`, `L` the logistic from a quarter of 0.85 of full,
/// `k = s²S/(s²S² + e)`, `S = rT(1 − L)`, `e = 0.45²/8 + 0.15²`.
#[test]
fn the_same_squares_cut_twice_say_what_the_closed_form_says() {
    let lines = [
        Line {
            habit: Habit::FastLeaf,
            expected: 0.846325,
            doubt_after: 0.284581,
            patches: &[
                (0.25, 0.378181, -0.862002, 0.366304),
                (0.5, 0.534189, -0.492412, 0.530093),
                (1.0, 0.846325, 0.0, 0.867369),
                (2.0, 1.130067, 0.309398, 1.181881),
            ],
        },
        Line {
            habit: Habit::SlowLeaf,
            expected: 0.742187,
            doubt_after: 0.270072,
            patches: &[
                (0.25, 0.352653, -0.773467, 0.403127),
                (0.5, 0.475809, -0.462121, 0.550374),
                (1.0, 0.742187, 0.0, 0.873684),
                (2.0, 1.076969, 0.386989, 1.25),
            ],
        },
        Line {
            habit: Habit::OnceAYear,
            expected: 0.808511,
            doubt_after: 0.277370,
            patches: &[
                (0.25, 0.368361, -0.829697, 0.379697),
                (0.5, 0.511802, -0.482596, 0.537256),
                (1.0, 0.808511, 0.0, 0.870502),
                (2.0, 1.114198, 0.338468, 1.221138),
            ],
        },
    ];
    lines.iter().for_each(|line| holds(TestDesign::SameSquares, line));
}

/// The same with `y = L/F`, `F` the logistic from 0.85 of full, `S = rT(F − L)`.
#[test]
fn pairs_of_squares_say_what_the_closed_form_says() {
    let lines = [
        Line {
            habit: Habit::FastLeaf,
            expected: 0.732739,
            doubt_after: 0.297508,
            patches: &[
                (0.5, 0.480058, -0.462434, 0.542706),
                (1.0, 0.732739, 0.0, 0.861781),
                (2.0, 0.962435, 0.298179, 1.161167),
            ],
        },
        Line {
            habit: Habit::SlowLeaf,
            expected: 0.648438,
            doubt_after: 0.284713,
            patches: &[
                (0.5, 0.432798, -0.432742, 0.562649),
                (1.0, 0.648438, 0.0, 0.867312),
                (2.0, 0.919451, 0.373783, 1.25),
            ],
        },
        Line {
            habit: Habit::OnceAYear,
            expected: 0.702128,
            doubt_after: 0.290877,
            patches: &[
                (0.5, 0.461935, -0.453021, 0.549658),
                (1.0, 0.702128, 0.0, 0.864643),
                (2.0, 0.949588, 0.326668, 1.198690),
            ],
        },
    ];
    lines.iter().for_each(|line| holds(TestDesign::Pairs, line));
}

#[test]
fn an_untested_patch_refills_at_78_per_cent() {
    close(Recovering::UNTESTED.refill_part(DAY), (-0.25_f64).exp());
    close(Recovering::UNTESTED.refill_part(DAY), 0.778801);
    assert!(!Recovering::UNTESTED.is_tested());
}

#[test]
fn each_year_without_a_test_adds_a_hundredth_to_the_variance_until_it_is_that_of_no_test() {
    let terms = terms(Habit::FastLeaf);
    let tested = believed(&terms, TestDesign::Pairs, 0.732739);
    let first = tested.variance_on(DAY);
    for (day, years) in [
        (date(2028, 6, 30), 0.0),
        (date(2028, 7, 1), 1.0),
        (date(2029, 6, 30), 1.0),
        (date(2031, 7, 1), 4.0),
    ] {
        close(tested.variance_on(day), first + 0.01 * years);
    }
    close(tested.variance_on(date(2067, 7, 1)), 0.25);
}

#[test]
fn baskets_that_tell_nothing_are_refused_with_the_reason() {
    let terms = terms(Habit::FastLeaf);
    let good = weighed(&terms, TestDesign::Pairs, 0.7);
    let refused = |weighed: Weighed| RecoveryTest::of(&weighed, &terms).unwrap_err();
    assert_eq!(refused(Weighed { squares: 0, ..good }), NoTest::NoSquares);
    let nothing = refused(Weighed { against: 0.0, ..good });
    assert_eq!(nothing, NoTest::NothingToCompare { against: 0.0 });
    assert_eq!(refused(Weighed { regrown: -1.0, ..good }), NoTest::NotAWeight { regrown: -1.0 });
    assert_eq!(refused(Weighed { growth_days: 0.0, ..good }), NoTest::NoGrowth);
    let soon = refused(Weighed { growth_days: 13.9, ..good });
    assert_eq!(soon, NoTest::TooSoon { days: 13.9, least: 14.0 });
    let late = refused(Weighed { growth_days: 56.1, ..good });
    assert_eq!(late, NoTest::TooLate { days: 56.1, most: 56.0 });
    assert_eq!(refused(Weighed { cut_between: true, ..good }), NoTest::CutBetween);
    for days in [14.0, 56.0] {
        assert!(RecoveryTest::of(&Weighed { growth_days: days, ..good }, &terms).is_ok());
    }
    let root = self::terms(Habit::Slow);
    let of_root = weighed(&root, TestDesign::Pairs, 0.7);
    assert_eq!(RecoveryTest::of(&of_root, &root), Err(NoTest::TooSlow));
}

#[test]
fn where_nothing_grew_back_the_belief_falls_as_far_as_one_test_may_move_it() {
    let terms = terms(Habit::FastLeaf);
    close(believed(&terms, TestDesign::Pairs, 0.0).mean(), -1.5);
}

/// A patch surveyed on New Year's Day, and tested or not by pairs that regrew so.
fn state_on(terms: &Terms, tests: &[(Date, f64)], cuts: &[Date], day: Date) -> State {
    let event = |day, seen| Event { day, by: "Ana".into(), seen };
    let survey =
        Estimate { best: 10_000.0, standard_error: 2000.0, degrees_of_freedom: 11.0, n: 12 };
    let mut events = vec![event(date(2027, 1, 1), Seen::Survey(survey))];
    for &(day, ratio) in tests {
        events.push(event(day, Seen::Tested(test(terms, TestDesign::Pairs, ratio))));
    }
    for &day in cuts {
        events.push(event(day, Seen::Cut { amount: 100.0, taken: Taken::All, people: None }));
    }
    let history = History::new(events);
    let (growth, eyes) = (Growth::all_year(), Eyes::default());
    Course { terms, growth: &growth, eyes: &eyes, history: &history }.state_on(day).unwrap()
}

/// phi = m(1 − e^(−r_q·T)) before each visit.
#[test]
fn full_takes_each_week_leave_what_refills_at_the_believed_rate() {
    let terms = by_test(Habit::FastLeaf);
    let weekly: Vec<Date> = (0..6).map(|n| DAY.checked_add((7 * n).days()).unwrap()).collect();
    let next = DAY.checked_add(42.days()).unwrap();
    for (tests, refill) in [
        (vec![], 0.778801),
        (vec![(date(2027, 6, 1), 0.480058)], 0.542706),
        (vec![(date(2027, 6, 1), 0.962435)], 1.161167),
    ] {
        let state = state_on(&terms, &tests, &weekly, next);
        let expected = terms.largest_share * -(-terms.rate_per_day * refill * 7.0).exp_m1();
        close(state.share_left, expected);
    }
}

#[test]
fn where_tests_do_not_count_the_share_refills_at_the_profiles_rate() {
    let mut terms = terms(Habit::FastLeaf);
    terms.by_test = None;
    let next = DAY.checked_add(7.days()).unwrap();
    let untested = state_on(&terms, &[], &[DAY], next);
    let tested = state_on(&terms, &[(date(2027, 6, 1), 0.4)], &[DAY], next);
    assert_eq!(untested.share_left, tested.share_left);
}

#[test]
fn the_largest_share_is_the_smaller_one_until_a_first_test() {
    let terms = terms(Habit::FastLeaf);
    let late = date(2028, 12, 1);
    close(state_on(&terms, &[], &[], late).share_left, 0.22);
    let tested = state_on(&terms, &[(date(2027, 6, 1), 0.7)], &[], late);
    close(tested.share_left, 0.24);
    for (habit, more) in [(Habit::SlowLeaf, 0.255 / 0.23), (Habit::OnceAYear, 0.374 / 0.35)] {
        let terms = self::terms(habit);
        close(terms.by_test.unwrap().tested_share, more * terms.largest_share);
    }
}

#[test]
fn a_test_before_the_first_survey_is_not_forgotten() {
    let terms = by_test(Habit::FastLeaf);
    let tested = state_on(&terms, &[(date(2026, 7, 1), 0.480058)], &[], DAY);
    assert_eq!(tested.recovering.tests(), 1);
    // Within the year after the test no doubt was added to it.
    close(tested.recovering.refill_part(date(2027, 6, 30)), 0.542706);
}

/// Of a crop that comes once a year the first share is what a year refills.
#[test]
fn the_first_share_of_a_fruit_refills_at_the_believed_rate() {
    let terms = by_test(Habit::OnceAYear);
    let rate = terms.rate_per_day * 0.778801;
    let expected = terms.largest_share * -(-rate * 365.0).exp_m1();
    close(terms.first_share(&Recovering::UNTESTED, DAY), expected);
    let slow = believed(&terms, TestDesign::Pairs, 0.461935);
    assert!(terms.first_share(&slow, DAY) < expected);
}

/// A logistic of which every T days so much is cut that the refill at its true rate restores it
/// stands, after each cut, at the part that is always kept: h = (1 − x)(1 − e^(−rT)) keeps x.
/// So a refill that is no faster than the patch holds it there or above.
#[test]
fn a_refill_no_faster_than_the_patch_keeps_what_is_to_be_kept() {
    let rate = terms(Habit::FastLeaf).rate_per_day;
    for (refill, kept) in [(1.0, 0.78), (0.7788, 0.78), (0.5427, 0.75), (1.0, 0.6)] {
        let mut standing = 1.0;
        let cut = (1.0 - kept) * -(-refill * rate * 7.0_f64).exp_m1();
        for _ in 0..2000 {
            standing = regrow(standing, 1.0, rate * 7.0) * (1.0 - cut);
        }
        let is_at_it = (standing - kept).abs() < 1e-9;
        assert!(if refill == 1.0 { is_at_it } else { standing > kept }, "{standing}");
    }
}

/// NIST StRD Rat42 (Ratkowsky 1983, pp. 61 and 88): yield of a pasture against growing time,
/// with the certified least-squares fit of `y = b1/(1 + e^(b2 − b3·x))`.
mod pasture {
    pub const DAYS: [f64; 9] = [9.0, 14.0, 21.0, 28.0, 42.0, 57.0, 63.0, 70.0, 79.0];
    pub const YIELD: [f64; 9] = [8.93, 10.80, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08];
    pub const B1: f64 = 72.462237576;
    pub const B2: f64 = 2.6180768402;
    pub const B3: f64 = 0.067359200066;
    pub const RESIDUAL_SUM_OF_SQUARES: f64 = 8.0565229338;

    /// The measured yield on a day, linear between the points.
    pub fn on(day: f64) -> f64 {
        let next = DAYS.iter().position(|x| *x >= day).unwrap().max(1);
        let (x0, x1) = (DAYS[next - 1], DAYS[next]);
        YIELD[next - 1] + (YIELD[next] - YIELD[next - 1]) * (day - x0) / (x1 - x0)
    }

    /// The day on which so much stood.
    pub fn when(amount: f64) -> f64 {
        let next = YIELD.iter().position(|y| *y >= amount).unwrap().max(1);
        let (y0, y1) = (YIELD[next - 1], YIELD[next]);
        DAYS[next - 1] + (DAYS[next] - DAYS[next - 1]) * (amount - y0) / (y1 - y0)
    }
}

#[test]
fn regrowth_by_the_certified_fit_leaves_the_certified_residuals() {
    let at_first = pasture::B1 / (1.0 + pasture::B2.exp());
    let squares = pasture::DAYS.iter().zip(pasture::YIELD).map(|(day, measured)| {
        (measured - regrow(at_first, pasture::B1, pasture::B3 * day)).powi(2)
    });
    let sum: f64 = squares.sum();
    assert!((sum - pasture::RESIDUAL_SUM_OF_SQUARES).abs() < 1e-7, "{sum}");
    // 1.3 % of the full crop.
    assert!(((sum / 9.0).sqrt() / pasture::B1 - 0.0131).abs() < 1e-4);
}

/// The pasture as if it were the marked squares: at a quarter of 0.85 of full on the first day,
/// weighed again 28 days later, where the profile believes in 0.0804 a day.
#[test]
fn on_a_measured_regrowth_the_test_believes_the_certified_rate() {
    let terms = terms(Habit::FastLeaf);
    let believed_rate = |days: f64| {
        let first = pasture::when(0.2125 * pasture::B1);
        let ratio = pasture::on(first + days) / pasture::B1 / 0.85;
        let weighed =
            Weighed { growth_days: days, ..weighed(&terms, TestDesign::SameSquares, ratio) };
        let test = RecoveryTest::of(&weighed, &terms).unwrap();
        let believed = Recovering::UNTESTED.tested(DAY, terms.rate_per_day, &test, COMMON);
        (ratio, believed.mean(), terms.rate_per_day * believed.mean().exp())
    };
    let (ratio, mean, rate) = believed_rate(28.0);
    assert!((ratio - 0.7138).abs() < 5e-5, "{ratio}");
    assert!((mean + 0.1822).abs() < 5e-5, "{mean}");
    assert!((rate - 0.0670).abs() < 5e-5, "{rate}");
    assert!((rate / pasture::B3 - 1.0).abs() < 0.01);
    for days in [14.0, 21.0, 42.0] {
        let (.., rate) = believed_rate(days);
        assert!((rate / pasture::B3 - 1.0).abs() < 0.1, "{days}: {rate}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(14), ..ProptestConfig::default() })]

    #[test]
    fn both_baskets_scaled_alike_change_nothing(
        by in 0.01..100.0_f64, ratio in 0.05..2.0_f64
    ) {
        let terms = terms(Habit::SlowLeaf);
        let plain = weighed(&terms, TestDesign::SameSquares, ratio);
        let scaled =
            Weighed { against: by * plain.against, regrown: by * plain.regrown, ..plain };
        let believed = |weighed| {
            let test = RecoveryTest::of(&weighed, &terms).unwrap();
            Recovering::UNTESTED.tested(DAY, terms.rate_per_day, &test, COMMON).mean()
        };
        prop_assert!((believed(plain) - believed(scaled)).abs() < 1e-12);
    }

    #[test]
    fn more_regrowth_never_makes_a_slower_patch_and_never_another_doubt(
        ratios in prop::collection::vec((0.0..3.0_f64, 0.0..3.0_f64), 1..5),
        days in 0.5..2.0_f64, squares in 1..12_u32, pairs in any::<bool>()
    ) {
        let terms = terms(Habit::FastLeaf);
        let design = if pairs { TestDesign::Pairs } else { TestDesign::SameSquares };
        let (mut less, mut more) = (Recovering::UNTESTED, Recovering::UNTESTED);
        let tested = |known: Recovering, ratio: f64| {
            let weighed = Weighed {
                growth_days: days * 27.99 + 0.005, squares, ..weighed(&terms, design, ratio)
            };
            let test = RecoveryTest::of(&weighed, &terms).unwrap();
            known.tested(DAY, terms.rate_per_day, &test, 0.3)
        };
        // Only the first test of the two: from then on they expect different things.
        let (a, b) = ratios[0];
        less = tested(less, a.min(b));
        more = tested(more, a.max(b));
        prop_assert!(less.mean() <= more.mean() + 1e-12);
        prop_assert!((less.variance_on(DAY) - more.variance_on(DAY)).abs() < 1e-12);
        for (a, _) in ratios {
            let variance = more.variance_on(DAY);
            more = tested(more, a);
            prop_assert!(more.variance_on(DAY) <= variance + 1e-12);
            let refill = more.refill_part(DAY);
            prop_assert!(refill > 0.0 && refill <= 1.25);
        }
    }

    #[test]
    fn what_was_expected_leaves_the_belief_where_it_was(days in 0.51..1.99_f64) {
        for habit in [Habit::FastLeaf, Habit::SlowLeaf, Habit::OnceAYear] {
            let terms = terms(habit);
            let growth_days = days * terms.recovery_days;
            for design in [TestDesign::SameSquares, TestDesign::Pairs] {
                let ratio = ratio_at(design, &terms, Clipping::LEFT, growth_days, 1.0);
                let weighed = Weighed { growth_days, ..weighed(&terms, design, ratio) };
                let test = RecoveryTest::of(&weighed, &terms).unwrap();
                let believed = Recovering::UNTESTED.tested(DAY, terms.rate_per_day, &test, COMMON);
                prop_assert!(believed.mean().abs() < 1e-12);
            }
        }
    }

    #[test]
    fn refilling_in_two_steps_is_refilling_in_one(
        first in 1..1500_i64, second in 1..1500_i64
    ) {
        let terms = by_test(Habit::FastLeaf);
        let growth = Growth::winter_guard(52.0);
        let mut state = state_on(&terms, &[(DAY, 0.6)], &[DAY], DAY);
        state.share_left = -3.0;
        let halfway = DAY.checked_add(first.days()).unwrap();
        let end = halfway.checked_add(second.days()).unwrap();
        let two = state.advanced(&terms, &growth, halfway).advanced(&terms, &growth, end);
        let one = state.advanced(&terms, &growth, end);
        prop_assert!((two.share_left - one.share_left).abs() < 1e-9);
        prop_assert!((two.standing - one.standing).abs() < 1e-6);
    }
}
