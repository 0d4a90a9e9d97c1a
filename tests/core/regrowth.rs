//! The closed forms and invariants of the take-limit model.

use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook_core::estimate::Estimate;
use stintbook_core::records::{Habit, Recovery, Taken};
use stintbook_core::regrowth::{
    Course, Event, Eyes, Growth, History, Seen, Share, State, Terms, day_length_hours, growth_rate,
    regrow,
};

use crate::crops::crop;

const FAST: Recovery = Recovery { take_fraction: 1.0 / 3.0, days: 28.0 };

fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected}");
}

fn survey_of(best: f64) -> Estimate {
    Estimate { best, standard_error: 0.2 * best, degrees_of_freedom: 11.0, n: 12 }
}

fn event(day: Date, seen: Seen) -> Event {
    Event { day, by: "Ana".into(), seen }
}

fn cut(amount: f64, taken: Taken) -> Seen {
    Seen::Cut { amount, taken, people: None }
}

/// Sloughter, Yet Another Calculus Text, example 2.7.16: N0 1000, K 20000,
/// growth constant ln(1.2)/5 a year, 1,409 after 10 years.
#[test]
fn logistic_growth_matches_a_textbook_example() {
    let after_ten_years = regrow(1000.0, 20_000.0, 1.2_f64.ln() / 5.0 * 10.0);
    close(after_ten_years, 1409.0, 0.5);
}

/// r = ln(0.95/0.05 · f/(1 − f))/R and the recovery times that follow from it.
#[test]
fn the_growth_rate_brings_a_crop_back_in_its_recovery_interval() {
    let rate = growth_rate(FAST);
    close(rate, 0.080403, 5e-7);
    close(regrow(2.0 / 3.0, 1.0, rate * 28.0), 0.95, 1e-12);
    // From a half, 36.62 days.
    close(regrow(0.5, 1.0, rate * 36.62), 0.95, 1e-5);
}

#[test]
fn each_day_before_and_after_the_ground_changed_is_told_once() {
    let terms = Terms::of(&crop(Habit::FastLeaf, FAST));
    let surveyed = || History::new(vec![event(date(2027, 3, 1), Seen::Survey(survey_of(1e3)))]);
    let history = surveyed().since(date(2027, 3, 20), surveyed());
    let (growth, eyes) = (Growth::all_year(), Eyes::default());
    let course = Course { terms: &terms, growth: &growth, eyes: &eyes, history: &history };
    let days = course.days(date(2027, 3, 18), date(2027, 3, 22));
    let days: Vec<i8> = days.iter().map(|state| state.day.day()).collect();
    assert_eq!(days, [18, 19, 20, 21, 22]);
}

/// Maximum sustained yield rK/4 at K/2 (Schaefer 1954); r 1.1, K 1000 gives 275
/// (MQMF manual, getMSY). Cutting half of what grows in a short time off K/2 nears it.
#[test]
fn half_the_full_crop_yields_most() {
    let (rate, full, days) = (1.1, 1000.0, 1e-6);
    let grown = |from: f64| (regrow(from, full, rate * days) - from) / days;
    close(grown(500.0), 275.0, 1e-3);
    assert!(grown(500.0) > grown(400.0) && grown(500.0) > grown(600.0));
}

/// Share h cut every T days, E = e^(rT): peak ((1−h)E − 1)/((1−h)(E − 1)), trough
/// ((1−h)E − 1)/(E − 1); the table is for the fast leaf at T = 7.
#[test]
fn cutting_a_fixed_share_each_week_settles_where_the_closed_form_says() {
    let week = growth_rate(FAST) * 7.0;
    for (share, peak, trough) in
        [(0.05, 0.930347, 0.883829), (0.10, 0.852954, 0.767659), (0.20, 0.669147, 0.535317)]
    {
        let mut standing = 1.0;
        for _ in 0..600 {
            standing = regrow(standing * (1.0 - share), 1.0, week);
        }
        close(standing, peak, 1e-6);
        close(standing * (1.0 - share), trough, 1e-6);
    }
}

/// Taking all every T days leaves phi = m(1 − e^(−r'T)) before each visit, whatever the kilos
/// within the limit, and r' = r·e^(−0.25) where nobody has tested: 0.0780747 for the fast leaf
/// (theta 0.78), 0.0243303 for the slow (0.77).
#[test]
fn full_takes_each_week_leave_the_same_share_whatever_they_weigh() {
    for (habit, theta, recovery, expected, one_in) in [
        (Habit::FastLeaf, 0.78, FAST, 0.0780747, 13),
        (Habit::SlowLeaf, 0.77, Recovery { take_fraction: 0.25, days: 90.0 }, 0.0243303, 42),
    ] {
        let mut profile = crop(habit, recovery);
        profile.kept_standing.value = theta;
        let terms = Terms::of(&profile);
        let start = date(2027, 1, 4);
        let weekly = |kilos: f64| {
            let mut events = vec![event(start, Seen::Survey(survey_of(20_000.0)))];
            for week in 0..6 {
                let day = start.checked_add((7 * week).days()).unwrap();
                events.push(event(day, cut(kilos, Taken::All)));
            }
            let history = History::new(events);
            let (growth, eyes) = (Growth::all_year(), Eyes::default());
            let course = Course { terms: &terms, growth: &growth, eyes: &eyes, history: &history };
            course.state_on(start.checked_add(42.days()).unwrap()).unwrap()
        };
        for kilos in [1.0, 50.0, 300.0] {
            let closed_form =
                (1.0 - theta) * -(-growth_rate(recovery) * (-0.25_f64).exp() * 7.0).exp_m1();
            close(weekly(kilos).share_left, closed_form, 1e-12);
            close(closed_form, expected, 5e-7);
        }
        let share = Share::of(&weekly(50.0), &terms);
        let whole = Share { taper: 1.0, thin: 1.0, start: 1.0, ..share };
        assert_eq!(whole.one_in(), Some(one_in));
    }
}

#[test]
fn a_second_party_on_the_same_day_gets_nothing() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    let day = date(2027, 3, 15);
    let mut state = State::first(&terms, day, survey_of(10_000.0), 0.0);
    let share = Share::of(&state, &terms);
    state.cut(&terms, share.most(), Taken::All, &share);
    let second = Share::of(&state, &terms);
    assert_eq!(second.most(), 0.0);
    assert_eq!(second.one_in(), None);
}

#[test]
fn a_cut_of_nothing_spends_nothing() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    let mut state = State::first(&terms, date(2027, 3, 15), survey_of(10_000.0), 0.0);
    let (before, share) = (state, Share::of(&state, &terms));
    for taken in [Taken::All, Taken::ByWeight, Taken::OneIn(20)] {
        state.cut(&terms, 0.0, taken, &share);
    }
    assert_eq!(state, before);
}

/// Within the tolerance of 5 % what a party says decides, beyond it the weight does.
#[test]
fn a_basket_over_its_limit_spends_what_it_weighs_whatever_is_said_of_it() {
    for (habit, visit_part) in [(Habit::FastLeaf, 1.0), (Habit::OnceAYear, 1.0 / 3.0)] {
        let profile = crop(habit, FAST);
        let terms = Terms::of(&profile);
        let first = State::first(&terms, date(2027, 3, 15), survey_of(10_000.0), 0.0);
        let share = Share::of(&first, &terms);
        let left_after = |part: f64, taken: Taken| {
            let mut state = first;
            state.cut(&terms, part * share.most(), taken, &share);
            state.share_left
        };
        let after_used = |used: f64| first.share_left * (1.0 - visit_part * used);
        for part in [0.01, 0.5, 1.0, 1.049] {
            close(left_after(part, Taken::All), after_used(1.0), 1e-12);
            close(left_after(part, Taken::ByWeight), after_used(part), 1e-12);
        }
        for part in [1.051, 2.0, 3.86] {
            for taken in [Taken::All, Taken::ByWeight, Taken::OneIn(200)] {
                close(left_after(part, taken), after_used(part), 1e-12);
            }
        }
        // A count that says more than the weight does still counts.
        close(left_after(1.051, Taken::OneIn(2)), first.share_left - 0.5 / share.start, 1e-12);
    }
}

#[test]
fn no_cut_spends_more_than_a_whole_stand() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    for standing in [0.0, 10_000.0] {
        let first = State::first(&terms, date(2027, 3, 15), survey_of(standing), 0.0);
        let share = Share::of(&first, &terms);
        for taken in [Taken::All, Taken::ByWeight, Taken::OneIn(1), Taken::OneIn(200)] {
            let mut state = first;
            state.cut(&terms, 1e9, taken, &share);
            close(state.share_left, terms.largest_share - 1.0, 1e-12);
        }
    }
}

#[test]
fn more_than_was_allowed_leaves_the_patch_owed_time() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    let mut state = State::first(&terms, date(2027, 3, 15), survey_of(10_000.0), 0.0);
    let share = Share::of(&state, &terms);
    state.cut(&terms, 2.0 * share.most(), Taken::ByWeight, &share);
    close(state.share_left, -terms.largest_share, 1e-12);
}

/// Table of the winter guard at mid-months, `min(h(d), h(d − 28))` with a rise over seven hours,
/// 1.4359 times at 52° and 1.3014 times at 60° so that a year comes to as much as with a rise over
/// three; and day lengths that any almanac gives to
/// within some minutes: 16.494 h and 7.506 h at latitude 52, 12 h at the equinox.
#[test]
fn the_winter_guard_follows_day_length() {
    close(day_length_hours(52.0, 172.0), 16.494, 5e-4);
    close(day_length_hours(52.0, 355.0), 7.506, 5e-4);
    close(day_length_hours(52.0, 80.0), 12.0, 0.2);
    let at_52 = Growth::winter_guard(52.0);
    let at_60 = Growth::winter_guard(60.0);
    let expected_52 = [0.0, 0.0, 0.131, 0.555, 0.974, 1.349, 1.436, 1.119, 0.697, 0.277, 0.0, 0.0];
    let expected_60 = [0.0, 0.0, 0.0, 0.484, 1.001, 1.301, 1.301, 1.185, 0.657, 0.140, 0.0, 0.0];
    for month in 1..=12 {
        let day = date(2027, month, 15);
        close(at_52.on(day), expected_52[month as usize - 1], 6e-4);
        close(at_60.on(day), expected_60[month as usize - 1], 6e-4);
        close(Growth::winter_guard(0.0).on(day), 1.0, 1e-12);
    }
}

#[test]
fn growth_by_month_counts_its_days() {
    let mut months = [0.0; 12];
    months[2] = 1.0;
    months[3] = 0.5;
    let growth = Growth::by_month(months);
    close(growth.days_between(date(2027, 3, 1), date(2027, 4, 11)), 31.0 + 5.0, 1e-9);
    close(growth.days_between(date(2026, 5, 1), date(2029, 1, 1)), 2.0 * (31.0 + 15.0), 1e-9);
    assert_eq!(growth.days_between(date(2027, 4, 1), date(2027, 3, 1)), 0.0);
}

#[test]
fn a_dormant_patch_stands_still() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    let mut state = State::first(&terms, date(2027, 1, 1), survey_of(10_000.0), 0.0);
    state.share_left = 0.1;
    state.standing = 4000.0;
    let later = state.advanced(&terms, &Growth::by_month([0.0; 12]), date(2027, 3, 1));
    assert_eq!(later.share_left, 0.1);
    close(later.standing, 4000.0, 1e-9);
    assert!(later.log_variance > state.log_variance);
}

#[test]
fn a_glance_moves_the_crop_less_the_surer_the_survey_was() {
    let profile = crop(Habit::FastLeaf, FAST);
    let terms = Terms::of(&profile);
    let glanced = |standard_error: f64| {
        let survey = Estimate { standard_error, ..survey_of(1000.0) };
        let mut state = State::first(&terms, date(2027, 1, 1), survey, 0.0);
        state.glance(2000.0, 0.0);
        state
    };
    assert!(glanced(50.0).standing < glanced(400.0).standing);
    assert!(glanced(400.0).standing < 2000.0);
    // w = v/(v + 0.16), ln B moves by w·(ln s − ln B).
    let v = (1.0_f64 + 0.16).ln();
    let expected = 1000.0 * 2.0_f64.powf(v / (v + 0.16));
    close(glanced(400.0).standing, expected, 1e-9);
    close(glanced(400.0).log_variance, 0.16 * v / (v + 0.16), 1e-12);
}

#[test]
fn what_was_cut_before_the_survey_counts_for_a_crop_that_comes_once_a_year() {
    let profile = crop(Habit::OnceAYear, Recovery { take_fraction: 0.3, days: 365.0 });
    let terms = Terms::of(&profile);
    let day = date(2027, 9, 1);
    let fresh = State::first(&terms, day, survey_of(900.0), 0.0);
    let used = State::first(&terms, day, survey_of(900.0), 100.0);
    close(fresh.share_left - used.share_left, 0.1, 1e-12);
    // The same, where the cut comes before the survey in the book.
    let surveyed = |cut_on: Option<Date>| {
        let cut = cut_on.map(|on| event(on, cut(100.0, Taken::ByWeight)));
        let survey = event(day, Seen::Survey(survey_of(900.0)));
        let history = History::new(cut.into_iter().chain([survey]).collect());
        let (growth, eyes) = (Growth::all_year(), Eyes::default());
        let course = Course { terms: &terms, growth: &growth, eyes: &eyes, history: &history };
        course.state_on(day).unwrap()
    };
    let (never, same_year) = (surveyed(None), surveyed(Some(date(2027, 8, 20))));
    close(never.share_left - same_year.share_left, 0.1, 1e-12);
    assert_eq!((never.was_cut(), same_year.was_cut()), (false, true));
    let year_before = surveyed(Some(date(2026, 8, 20)));
    close(year_before.share_left, never.share_left, 1e-12);
    assert!(!year_before.was_cut());
}

#[test]
fn of_a_survey_that_found_nothing_no_share_is_left() {
    let terms = Terms::of(&crop(Habit::FastLeaf, FAST));
    let bare = State::first(&terms, date(2027, 4, 1), survey_of(0.0), 0.0);
    let share = Share::of(&bare, &terms);
    assert_eq!((share.taper, share.most()), (0.0, 0.0));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn regrowth_in_two_steps_is_regrowth_in_one(
        standing in 0.01..30.0_f64, first in 0..400_i64, second in 0..400_i64
    ) {
        let profile = crop(Habit::FastLeaf, FAST);
        let terms = Terms::of(&profile);
        let growth = Growth::winter_guard(53.0);
        let start = date(2026, 9, 1);
        let mut state = State::first(&terms, start, survey_of(10.0), 0.0);
        state.standing = standing;
        state.share_left = -0.1;
        let halfway = start.checked_add(first.days()).unwrap();
        let end = halfway.checked_add(second.days()).unwrap();
        let two_steps = state.advanced(&terms, &growth, halfway).advanced(&terms, &growth, end);
        let one_step = state.advanced(&terms, &growth, end);
        prop_assert!((two_steps.standing - one_step.standing).abs() <= 1e-9 * one_step.standing);
        prop_assert!((two_steps.share_left - one_step.share_left).abs() <= 1e-9);
        prop_assert!((two_steps.log_variance - one_step.log_variance).abs() <= 1e-9);
    }

    #[test]
    fn the_share_stays_between_nothing_and_the_most_while_parties_take_what_they_may(
        gaps in prop::collection::vec(0..40_i64, 1..20), part in 0.0..1.0_f64, theta in 0.5..0.9_f64
    ) {
        let mut profile = crop(Habit::FastLeaf, FAST);
        profile.kept_standing.value = theta;
        let terms = Terms::of(&profile);
        let growth = Growth::winter_guard(53.0);
        let mut state = State::first(&terms, date(2026, 9, 1), survey_of(5000.0), 0.0);
        for gap in gaps {
            let day = state.day.checked_add(gap.days()).unwrap();
            state = state.advanced(&terms, &growth, day);
            let share = Share::of(&state, &terms);
            state.cut(&terms, part * share.most(), Taken::ByWeight, &share);
            prop_assert!(state.share_left >= -1e-12);
            prop_assert!(state.share_left <= terms.largest_share + 1e-12);
            prop_assert!(state.standing > 0.0 && state.standing.is_finite());
        }
    }

    #[test]
    fn looking_thinner_never_raises_the_share(
        looks in prop::collection::vec(10.0..10_000.0_f64, 1..12)
    ) {
        let profile = crop(Habit::FastLeaf, FAST);
        let terms = Terms::of(&profile);
        let start = date(2027, 3, 1);
        let mut events = vec![event(start, Seen::Survey(survey_of(1000.0)))];
        for (week, look) in (1..).zip(&looks) {
            let day = start.checked_add((7 * week).days()).unwrap();
            events.push(event(day, Seen::Glance(*look)));
        }
        let history = History::new(events);
        let (growth, eyes) = (Growth::all_year(), Eyes::default());
        let course = Course { terms: &terms, growth: &growth, eyes: &eyes, history: &history };
        let state = course.state_on(date(2027, 8, 1)).unwrap();
        let share = Share::of(&state, &terms);
        prop_assert!((0.0..=1.0).contains(&share.thin));
        let unthinned = Share { thin: 1.0, ..share };
        prop_assert!(share.fraction() <= unthinned.fraction());
    }
}
