//! The figures of the take-limit model, each held by what it does. They were chosen by the
//! project's own trials, so the model's definition is the only reference there is.

use crate::crops;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use stintbook_core::estimate::Estimate;
use stintbook_core::records::{Crop, Habit, Recovery, Taken};
use stintbook_core::regrowth::{
    Course, Event, Eyes, Growth, History, Seen, Share, State, Terms, Validity,
};

const START: Date = date(2027, 1, 4);
const FAST: Recovery = Recovery { take_fraction: 1.0 / 3.0, days: 28.0 };

fn crop(habit: Habit) -> Crop {
    crops::crop(habit, FAST)
}

fn fast() -> Terms {
    Terms::of(&crop(Habit::FastLeaf))
}

fn survey_of(best: f64) -> Estimate {
    Estimate { best, standard_error: 0.2 * best, degrees_of_freedom: 11.0, n: 12 }
}

fn first(best: f64) -> State {
    State::first(&fast(), START, survey_of(best), 0.0)
}

fn after(days: i64) -> Date {
    START.checked_add(days.days()).unwrap()
}

fn close(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} is not {expected}"
    );
}

/// A fast leaf, surveyed at 10 kg, growing all year.
struct Patch {
    terms: Terms,
    events: Vec<Event>,
}

impl Patch {
    fn new() -> Self {
        let mut patch = Self { terms: fast(), events: Vec::new() };
        patch.happens(START, Seen::Survey(survey_of(10_000.0)));
        patch
    }

    fn happens(&mut self, day: Date, seen: Seen) {
        self.events.push(Event { day, by: "Ana".into(), seen });
    }

    fn cut(&mut self, day: Date, amount: f64, taken: Taken) {
        self.happens(day, Seen::Cut { amount, taken, people: None });
    }

    fn state(&self, day: Date) -> State {
        let history = History::new(self.events.clone());
        let (growth, eyes) = (Growth::all_year(), Eyes::default());
        let course = Course { terms: &self.terms, growth: &growth, eyes: &eyes, history: &history };
        course.state_on(day).unwrap()
    }

    fn share(&self, day: Date) -> Share {
        Share::of(&self.state(day), &self.terms)
    }
}

#[test]
fn the_low_bound_lies_half_a_log_deviation_under_the_best() {
    close(first(1000.0).low(), 1000.0 * (-0.5 * 1.04_f64.ln().sqrt()).exp());
}

#[test]
fn doubt_grows_by_a_quarter_an_interval_up_to_one() {
    let growth = Growth::all_year();
    let start = first(1000.0);
    let one_interval = start.advanced(&fast(), &growth, after(28));
    close(one_interval.log_variance - start.log_variance, 0.25);
    close(start.advanced(&fast(), &growth, after(4000)).log_variance, 1.0);
}

#[test]
fn no_cut_is_believed_to_leave_less_than_a_fiftieth_of_the_full_crop() {
    let mut state = first(1000.0);
    let share = Share::of(&state, &fast());
    state.cut(&fast(), 5000.0, Taken::ByWeight, &share);
    close(state.standing, 20.0);
}

#[test]
fn the_base_is_the_first_three_surveys_or_all_of_them_if_that_is_more() {
    let surveyed = |totals: [f64; 4]| {
        let mut state = first(totals[0]);
        for total in &totals[1..] {
            state.survey(survey_of(*total));
        }
        (state.full, state.base)
    };
    let (full, base) = surveyed([100.0, 80.0, 60.0, 40.0]);
    close(full, 70.0);
    close(base, 80.0);
    let (full, base) = surveyed([40.0, 60.0, 80.0, 100.0]);
    close(full, 70.0);
    close(base, 70.0);
}

#[test]
fn the_share_shrinks_from_eighty_per_cent_of_the_base_and_ends_at_thirty() {
    let taper = |part: f64| {
        let mut state = first(1000.0);
        state.standing = part * state.base;
        Share::of(&state, &fast()).taper
    };
    for (part, expected) in [(0.9, 1.0), (0.8, 1.0), (0.55, 0.5), (0.3, 0.0), (0.1, 0.0)] {
        close(taper(part), expected);
    }
}

#[test]
fn the_first_four_visits_take_half() {
    let mut patch = Patch::new();
    for visit in 1..=6 {
        let day = after(10 * visit);
        let expected = if visit <= 4 { 0.5 } else { 1.0 };
        close(patch.share(day).start, expected);
        let half = 0.51 * patch.share(day).most();
        patch.cut(day, half, Taken::ByWeight);
    }
}

/// Two parties that take a quarter of the limit each make a visit; less than half of it in all
/// shows nothing of what the patch bears.
#[test]
fn a_pinch_is_no_visit_and_two_parties_of_a_day_are_one() {
    let mut patch = Patch::new();
    for week in 1..=8 {
        patch.cut(after(7 * week), 1.0, Taken::ByWeight);
    }
    assert_eq!(patch.state(after(60)).visits, 0);
    let quarter = 0.26 * patch.share(after(60)).most();
    patch.cut(after(60), quarter, Taken::ByWeight);
    patch.cut(after(60), quarter, Taken::ByWeight);
    assert_eq!((patch.state(after(60)).visits, patch.state(after(61)).visits), (0, 1));
}

#[test]
fn what_a_recovery_test_clips_is_charged_by_weight_and_is_no_visit() {
    let (mut clipped, mut cut) = (Patch::new(), Patch::new());
    for week in 1..=4 {
        // As much as makes a visit of either.
        let half = 0.6 * cut.share(after(7 * week)).most();
        clipped.happens(after(7 * week), Seen::Clipped(half));
        cut.cut(after(7 * week), half, Taken::ByWeight);
    }
    let (of_test, of_visits) = (clipped.state(after(29)), cut.state(after(29)));
    close(of_test.standing, of_visits.standing);
    assert!(of_test.share_left < cut.terms.largest_share && of_test.was_cut());
    assert_eq!((of_test.visits, of_visits.visits), (0, 4));
    assert_eq!((clipped.share(after(29)).start, cut.share(after(29)).start), (0.5, 1.0));
}

#[test]
fn each_habit_has_its_visit_part_slack_and_validity() {
    for (habit, visit_part, slack, slack_with_glances, validity) in [
        (Habit::FastLeaf, 1.0, 1.5, 1.25, Validity::Days(90)),
        (Habit::SlowLeaf, 1.0, 1.5, 1.25, Validity::Days(180)),
        (Habit::OnceAYear, 1.0 / 3.0, 1.0, 1.0, Validity::OneSeason),
        (Habit::Slow, 1.0, 1.0, 1.0, Validity::Days(1825)),
    ] {
        let terms = Terms::of(&crop(habit));
        assert_eq!(
            (terms.visit_part, terms.slack, terms.slack_with_glances, terms.validity),
            (visit_part, slack, slack_with_glances, validity),
            "{}",
            habit.name()
        );
    }
}

#[test]
fn where_one_in_n_cannot_be_counted_there_is_no_slack() {
    let uncountable = Crop { countable: false, ..crop(Habit::FastLeaf) };
    let terms = Terms::of(&uncountable);
    assert_eq!((terms.slack, terms.slack_with_glances), (1.0, 1.0));
}

#[test]
fn a_glance_tightens_the_kilo_limit() {
    let mut patch = Patch::new();
    assert_eq!(patch.share(START).slack, 1.5);
    patch.happens(START, Seen::Glance(10_000.0));
    assert_eq!(patch.share(START).slack, 1.25);
}

#[test]
fn an_eyes_newest_pair_weighs_a_fifth_once_there_are_many() {
    let mut eyes = Eyes::default();
    for day in 0..10 {
        eyes.learn(&"Ana".into(), after(day), 1000.0, 1000.0);
    }
    eyes.learn(&"Ana".into(), after(10), 2000.0, 1000.0);
    close(eyes.bias("Ana", after(10)), 0.2 * 2.0_f64.ln());
}

/// Baskets of one in N that the kilo limit did not stop tell what stood there.
#[test]
fn a_basket_says_how_the_patch_looks_unless_the_kilo_limit_stopped_it() {
    let visits = |part_of_limit: [f64; 8]| {
        let mut patch = Patch::new();
        for (visit, part) in (1..).zip(part_of_limit) {
            let day = after(60 * visit);
            let amount = part * patch.share(day).most();
            patch.cut(day, amount, Taken::All);
        }
        patch.state(after(500)).thin
    };
    // What stands and its low bound are the same before each of these visits but for doubt.
    assert!(visits([0.6, 0.6, 0.6, 0.6, 0.2, 0.2, 0.2, 0.2]) < 0.5);
    close(visits([1.0; 8]), 1.0);
    close(visits([1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.2]), 1.0);
}

/// `1 in 200` for 1 in 20, or a quota worked back: neither tells what anyone saw.
#[test]
fn a_count_that_was_written_down_is_no_look_whatever_the_basket_weighed() {
    let visits = |taken: Taken, is_over: bool| {
        let mut patch = Patch::new();
        for visit in 1..=10 {
            let day = after(60 * visit);
            let slip = if is_over { 1.2 * patch.share(day).most() } else { 40.0 };
            patch.cut(day, if visit > 5 { slip } else { 400.0 }, taken);
        }
        patch.state(after(700)).thin
    };
    assert!(visits(Taken::All, false) < 0.9, "{}", visits(Taken::All, false));
    close(visits(Taken::OneIn(20), false), 1.0);
    close(visits(Taken::OneIn(200), true), 1.0);
}

#[test]
fn where_someone_glanced_the_basket_of_that_day_says_nothing() {
    let visits = |with_glances: bool| {
        let mut patch = Patch::new();
        for visit in 1..=10 {
            let day = after(60 * visit);
            if with_glances {
                patch.happens(day, Seen::Glance(9000.0));
            }
            let part = if visit <= 5 { 0.6 } else { 0.15 };
            let amount = part * patch.share(day).most();
            patch.cut(day, amount, Taken::All);
        }
        patch.state(after(700)).thin
    };
    assert_eq!(visits(true), 1.0);
    assert!(visits(false) < 0.5, "{}", visits(false));
}

/// Eight baskets a recovery apart, each so much of the limit, then three light ones; and an eye
/// that sees as little.
fn shut_by_light_baskets() -> (Patch, i64) {
    let mut patch = Patch::new();
    for visit in 1..=11 {
        let part = if visit <= 8 { 0.6 } else { 0.005 };
        let amount = part * patch.share(after(60 * visit)).most();
        patch.cut(after(60 * visit), amount, Taken::All);
    }
    // Baskets alone shut nothing: parties may have stopped short.
    assert_eq!(patch.state(after(661)).thin, 0.25);
    let share = patch.share(after(659));
    patch.happens(after(661), Seen::Glance(0.005 * share.slack * share.low));
    let day = 662;
    assert_eq!(patch.state(after(day)).thin, 0.0);
    (patch, day)
}

#[test]
fn surveys_of_the_full_crop_reopen_a_patch_that_light_baskets_shut_after_as_many_as_it_says() {
    let (mut patch, mut day) = shut_by_light_baskets();
    let surveys = patch.state(after(day)).surveys_to_reopen;
    assert!(surveys > 0, "{surveys}");
    for survey in 1..=surveys {
        assert_eq!(patch.state(after(day)).surveys_to_reopen, surveys - survey + 1);
        day += 1;
        patch.happens(after(day), Seen::Survey(survey_of(10_000.0)));
        let state = patch.state(after(day));
        assert_eq!(state.thin > 0.0, survey == surveys, "survey {survey} of {surveys}");
    }
    assert!(patch.share(after(day)).most() > 0.0);
}

#[test]
fn a_survey_of_an_open_patch_is_no_look() {
    let visits = |with_surveys: bool| {
        let mut patch = Patch::new();
        for visit in 1..=8 {
            let day = after(60 * visit);
            if with_surveys {
                patch.happens(day, Seen::Survey(survey_of(4000.0)));
            }
            patch.happens(day, Seen::Glance(9000.0));
        }
        patch.state(after(500)).thin
    };
    assert_eq!(visits(true), 1.0);
    assert_eq!(visits(true), visits(false));
}

/// The eyes that weighed the baskets say that the patch stands as it did: they are believed.
#[test]
fn whoever_cuts_and_glances_is_one_looker() {
    let (mut patch, mut day) = shut_by_light_baskets();
    // What the eight baskets made of it: 0.6 of the slack over the low bound.
    let share = patch.share(after(59));
    let usual = 0.6 * share.slack * share.low;
    for _ in 0..5 {
        day += 1;
        patch.happens(after(day), Seen::Glance(usual));
    }
    assert!(patch.state(after(day)).thin > 0.0);
    // Someone new is anchored to what the index says by now.
    let (mut patch, mut day) = shut_by_light_baskets();
    for _ in 0..5 {
        day += 1;
        patch.events.push(Event { day: after(day), by: "Bo".into(), seen: Seen::Glance(usual) });
    }
    assert_eq!(patch.state(after(day)).thin, 0.0);
}

/// A walk's quota worked back into a count says what the book believed, not what stood there.
#[test]
fn a_count_that_may_come_from_a_quota_is_no_look() {
    let mut patch = Patch::new();
    for visit in 1..=8 {
        let n = if visit <= 4 { 20 } else { 2086 };
        patch.cut(after(60 * visit), 300.0, Taken::OneIn(n));
    }
    patch.cut(after(540), 30.0, Taken::OneIn(20));
    assert_eq!(patch.state(after(600)).thin, 1.0);
}
