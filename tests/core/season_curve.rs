//! A full crop that swings through the year: what the book makes of it.

use crate::crops;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook_core::catalogue::season_curve;
use stintbook_core::estimate::Estimate;
use stintbook_core::records::{Habit, Recovery, Taken};
use stintbook_core::regrowth::{
    Course, DayByDay, Event, Eyes, Growth, History, SeasonCurve, Seen, Share, State, Terms,
};

/// A winter green: five times as much in April as in October.
fn green() -> SeasonCurve {
    let months = [0.45, 0.67, 0.89, 1.0, 0.89, 0.67, 0.45, 0.30, 0.22, 0.20, 0.22, 0.30];
    SeasonCurve::of_months(months).unwrap()
}

struct Patch {
    terms: Terms,
    events: Vec<Event>,
}

impl Patch {
    fn of(season: Option<SeasonCurve>) -> Self {
        let recovery = Recovery { take_fraction: 0.25, days: 90.0 };
        let mut terms = Terms::of(&crops::crop(Habit::SlowLeaf, recovery));
        terms.season = season;
        Self { terms, events: Vec::new() }
    }

    fn seen(mut self, day: Date, seen: Seen) -> Self {
        self.events.push(Event { day, by: "Ana".into(), seen });
        self
    }

    fn surveyed(self, day: Date, best: f64) -> Self {
        let standard_error = 0.2 * best;
        let survey = Estimate { best, standard_error, degrees_of_freedom: 11.0, n: 12 };
        self.seen(day, Seen::Survey(survey))
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

fn close(found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-9, "found {found}, expected {expected}");
}

#[test]
fn after_one_survey_what_stands_goes_by_the_published_curve() {
    let curve = green();
    let surveyed = date(2027, 4, 15);
    let patch = Patch::of(Some(curve)).surveyed(surveyed, 10_000.0);
    for day in [date(2027, 7, 1), date(2027, 10, 15), date(2028, 1, 20), date(2028, 4, 14)] {
        let part = (curve.log_on(day) - curve.log_on(surveyed)).exp();
        let state = patch.state(day);
        for amount in [state.standing, state.full, state.base] {
            close(amount, 10_000.0 * part);
        }
        close(patch.share(day).taper, 1.0);
    }
    // The allowance by weight in October is a fifth of that in April.
    let (spring, autumn) = (patch.share(surveyed), patch.share(date(2027, 10, 15)));
    assert!(autumn.low < 0.22 * spring.low, "{} of {}", autumn.low, spring.low);
}

/// Seen on an untouched winter green: 101 kg in December and 503 kg in March of both years.
#[test]
fn an_untouched_patch_is_not_taken_for_thin_in_the_second_winter() {
    let second_winter = date(2028, 12, 14);
    let patch = |season| {
        Patch::of(season)
            .surveyed(date(2026, 12, 14), 101_000.0)
            .surveyed(date(2027, 3, 20), 503_000.0)
            .surveyed(date(2027, 12, 14), 101_000.0)
            .surveyed(date(2028, 3, 20), 503_000.0)
            .surveyed(second_winter, 101_000.0)
    };
    let flat = patch(None).share(second_winter);
    let seasonal = patch(Some(green())).share(second_winter);
    assert!(flat.taper < 0.2, "{}", flat.taper);
    assert!(seasonal.taper > 0.7, "{}", seasonal.taper);
}

/// M = A·c^g for g other than the published 1: the more surveys, the nearer what is believed
/// through the year comes to it.
#[test]
fn the_depth_of_the_season_is_learnt_from_the_patchs_own_surveys() {
    let curve = green();
    let truth = |day: Date| 80_000.0 * (1.6 * curve.log_on(day)).exp();
    let mut patch = Patch::of(Some(curve));
    let mut worst = Vec::new();
    for month in 0..72 {
        let day = date(2027, 1, 15).checked_add(month.months()).unwrap();
        patch = patch.surveyed(day, truth(day));
        if [5, 71].contains(&month) {
            let months = (1..12).map(|ahead| day.checked_add(ahead.months()).unwrap());
            let errors = months.map(|day| (patch.state(day).full / truth(day)).ln().abs());
            worst.push(errors.fold(0.0, f64::max));
        }
    }
    assert!(worst[1] < worst[0] && worst[1] < 0.06, "{worst:?}");
}

#[test]
fn a_wrong_curve_never_shuts_a_patch_that_stands_as_it_always_did() {
    let months = [0.2, 0.2, 0.2, 0.2, 0.5, 1.0, 1.0, 0.5, 0.2, 0.2, 0.2, 0.2];
    let mut patch = Patch::of(SeasonCurve::of_months(months));
    for month in 0..24 {
        let day = date(2027, 1, 15).checked_add(month.months()).unwrap();
        if month % 5 == 0 {
            patch = patch.surveyed(day, 10_000.0);
        }
        patch = patch.seen(day, Seen::Glance(9_000.0));
        let share = patch.share(day);
        close(share.taper, 1.0);
        close(share.thin, 1.0);
    }
}

#[test]
fn a_season_that_explains_why_little_stands_does_not_hide_that_a_patch_has_gone() {
    let curve = green();
    let mut patch = Patch::of(Some(curve));
    for month in 0..18 {
        let day = date(2026, 4, 15).checked_add(month.months()).unwrap();
        let full = 50_000.0 * curve.log_on(day).exp();
        let left = if month < 12 { full } else { 0.2 * full };
        patch = patch.seen(day, Seen::Glance(left));
        if month % 4 == 0 {
            patch = patch.surveyed(day, left);
        }
    }
    let share = patch.share(date(2027, 9, 16));
    assert_eq!(share.taper.min(share.thin), 0.0);
}

/// Looks through the year, held against what there used to be and against what the month lets
/// expect: the patch is shut while it looks thin by both, so the fewer surveys open it.
#[test]
fn as_many_surveys_reopen_a_seasonal_patch_as_it_says_and_no_fewer() {
    let curve = green();
    let full = |day: Date| 50_000.0 * curve.log_on(day).exp();
    let mut told = Vec::new();
    for (looks, left) in [(6, 0.02), (9, 0.02), (6, 0.1), (9, 0.1), (12, 0.3), (4, 0.05)] {
        let start = date(2026, 4, 15);
        let mut patch = Patch::of(Some(curve)).surveyed(start, full(start));
        let mut day = start;
        for month in 0..looks {
            day = start.checked_add(month.months()).unwrap();
            patch = patch.seen(day, Seen::Glance(full(day)));
        }
        for _ in 0..5 {
            day = day.checked_add(20.days()).unwrap();
            patch = patch.seen(day, Seen::Glance(left * full(day)));
        }
        day = day.tomorrow().unwrap();
        let surveys = patch.state(day).surveys_to_reopen;
        assert_eq!(patch.state(day).thin, 0.0, "{looks} looks, then {left}");
        for survey in 1..=surveys {
            day = day.tomorrow().unwrap();
            let stands = patch.state(day).base;
            patch = patch.surveyed(day, stands);
            let is_open = patch.state(day).thin > 0.0;
            assert_eq!(
                is_open,
                survey == surveys,
                "survey {survey} of {surveys} after {looks}, {left}"
            );
        }
        told.push(surveys);
    }
    assert!(told.iter().all(|surveys| *surveys > 0), "{told:?}");
}

/// The reserve is a part of the laxer of what the time of year lets expect and what was found on
/// average.
#[test]
fn the_reserve_follows_the_season_down_but_not_up() {
    let patch = Patch::of(Some(green()))
        .surveyed(date(2027, 4, 15), 50_000.0)
        .surveyed(date(2027, 10, 15), 10_000.0);
    let base = |day: Date| patch.state(day).reserve_base(&patch.terms);
    assert!(base(date(2027, 10, 16)) < 12_000.0);
    close(base(date(2028, 4, 15)), 30_000.0);
}

#[test]
fn a_survey_that_changes_the_depth_leaves_what_was_cut_and_spent() {
    let season = Patch::of(Some(green()))
        .surveyed(date(2027, 4, 15), 50_000.0)
        .seen(date(2027, 5, 1), Seen::Cut { amount: 900.0, taken: Taken::All, people: None })
        .surveyed(date(2027, 10, 15), 20_000.0);
    let flat = Patch { events: season.events.clone(), ..Patch::of(None) };
    let day = date(2027, 11, 1);
    close(season.state(day).share_left, flat.state(day).share_left);
    assert_eq!(season.state(day).visits, 1);
}

#[test]
fn the_catalogues_curves_are_curves() {
    let curve = season_curve("sea-beet-leaf").unwrap();
    let season = SeasonCurve::of_months(curve.months).unwrap();
    let (may, october) = (season.log_on(date(2027, 5, 16)), season.log_on(date(2027, 10, 16)));
    assert!((may - october).exp() > 2.0);
    assert_eq!(season_curve("watercress-tops"), None);
}

fn anything() -> impl Strategy<Value = (i64, Seen)> {
    let survey =
        |best: f64| Estimate { best, standard_error: 0.3 * best, degrees_of_freedom: 11.0, n: 12 };
    let taken = prop::sample::select(vec![Taken::All, Taken::ByWeight, Taken::OneIn(20)]);
    let seen = prop_oneof![
        (1_000.0..60_000.0_f64).prop_map(move |best| Seen::Survey(survey(best))),
        (500.0..60_000.0_f64).prop_map(Seen::Glance),
        (1.0..3_000.0_f64, taken).prop_map(|(amount, taken)| Seen::Cut {
            amount,
            taken,
            people: Some(3)
        }),
        (1.0..300.0_f64).prop_map(Seen::Clipped),
    ];
    (0..500_i64, seen)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// As cuts are ruled: each day before its cuts, after some of them, and with one more.
    #[test]
    fn a_history_played_on_from_day_to_day_says_what_one_played_anew_says(
        events in prop::collection::vec(anything(), 0..30),
        new in prop::collection::vec(0..500_i64, 0..12),
        is_seasonal in any::<bool>(),
        changed in prop::option::of(0..500_i64),
    ) {
        let day = |offset: i64| date(2027, 1, 1).checked_add(offset.days()).unwrap();
        let terms = Patch::of(is_seasonal.then(green)).terms;
        let (growth, eyes) = (Growth::all_year(), Eyes::default());
        let events: Vec<Event> = events
            .into_iter()
            .map(|(offset, seen)| Event { day: day(offset), by: "Ana".into(), seen })
            .collect();
        let mut history = History::new(events.clone());
        if let Some(since) = changed {
            let half = events.iter().map(|event| event.on_part(0.5));
            history = History::new(half.collect()).since(day(since), history);
        }
        let mut played = DayByDay::new(&terms, &growth, &eyes);
        let mut days = new;
        days.sort_unstable();
        for day in days.into_iter().map(day) {
            let anew = |history: &History| {
                Course { terms: &terms, growth: &growth, eyes: &eyes, history }.state_on(day)
            };
            let morning = history.without_cuts_of(day);
            prop_assert_eq!(played.before_cuts_of(day, &history), anew(&morning));
            prop_assert_eq!(played.state_on(day, &history), anew(&history));
            if changed.is_none_or(|since| day >= date(2027, 1, 1).checked_add(since.days()).unwrap()) {
                let seen = Seen::Cut { amount: 250.0, taken: Taken::All, people: None };
                history.add(Event { day, by: "Bo".into(), seen });
                prop_assert_eq!(played.before_cuts_of(day, &history), anew(&morning));
                prop_assert_eq!(played.state_on(day, &history), anew(&history));
            }
        }
    }
}
