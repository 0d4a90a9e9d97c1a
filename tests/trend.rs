//! Whether a patch declines, holds or rises, from repeated surveys.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stintbook::crop::{DatedTotal, Trend, YearlyChange};
use stintbook::estimate::Estimate;
use stintbook::report::trend_name;

fn survey(day: Date, best: f64, relative_error: f64) -> DatedTotal {
    let standard_error = best * relative_error;
    DatedTotal { day, total: Estimate { best, standard_error, degrees_of_freedom: 11.0, n: 12 } }
}

/// Every spring, each total this part of the one before, off by turns by a little.
fn springs(years: i16, kept: f64, wobble: f64) -> Vec<DatedTotal> {
    (0..years)
        .map(|n| {
            let off = if n % 2 == 0 { 1.0 + wobble } else { 1.0 - wobble };
            survey(date(2020 + n, 4, 10), 1000.0 * kept.powi(i32::from(n)) * off, 0.1)
        })
        .collect()
}

fn change(trend: Trend) -> YearlyChange {
    *trend.change().unwrap_or_else(|| panic!("{trend:?}"))
}

#[test]
fn a_patch_that_loses_a_fifth_a_year_declines() {
    let trend = Trend::of(&springs(5, 0.8, 0.03));
    assert_eq!(trend_name(&trend), "declining");
    let found = change(trend);
    assert!((found.best + 0.2).abs() < 0.01, "{found:?}");
    assert!(found.low < found.best && found.best < found.high && found.high < 0.0);
    assert_eq!((found.surveys, found.parts_of_year), (5, 1));
    assert_eq!((found.first, found.last), (date(2020, 4, 10), date(2024, 4, 10)));
}

#[test]
fn a_patch_that_gains_a_fifth_a_year_rises_and_one_that_holds_is_steady() {
    assert_eq!(trend_name(&Trend::of(&springs(5, 1.2, 0.03))), "rising");
    assert_eq!(trend_name(&Trend::of(&springs(6, 1.0, 0.03))), "steady");
}

#[test]
fn a_crop_of_which_nothing_changes_neither_rises_nor_declines() {
    let days = [date(2025, 4, 1), date(2026, 4, 1), date(2027, 4, 1)];
    // Of 1 g the logarithm is 0, and so without any rounding.
    let trend = Trend::of(&days.map(|day| survey(day, 1.0, 0.0)));
    assert_eq!(trend_name(&trend), "steady");
    let found = change(trend);
    assert_eq!((found.low, found.best, found.high), (0.0, 0.0, 0.0));
}

#[test]
fn a_patch_that_jumps_about_is_not_known_yet_but_shows_its_interval() {
    let trend = Trend::of(&springs(4, 0.9, 0.5));
    assert_eq!(trend_name(&trend), "not known yet");
    assert!(matches!(trend, Trend::Unclear(_)) && !trend.is_known());
    let found = change(trend);
    assert!(found.low < 0.0 && found.high > 0.0);
}

/// By hand: two pairs a year apart with slopes −0.3 and −0.4. Common
/// slope −0.35; residuals ±0.025; s² = 4·0.025²/1; Sxx = 1; t(0.95, 1) = 6.3138.
#[test]
fn two_parts_of_the_year_share_a_slope_and_keep_their_own_levels() {
    // Days so that the pairs are exactly one model year apart in ratio: 365 and 365 days.
    let year: f64 = 365.0 / 365.25;
    let surveys = [
        survey(date(2025, 10, 25), 1000.0, 0.0),
        survey(date(2026, 2, 28), 600.0, 0.0),
        survey(date(2026, 10, 25), 1000.0 * (-0.3 * year).exp(), 0.0),
        survey(date(2027, 2, 28), 600.0 * (-0.4 * year).exp(), 0.0),
    ];
    let found = change(Trend::of(&surveys));
    assert_eq!((found.surveys, found.parts_of_year), (4, 2));
    let half_width = 6.3138 * 0.05 / 1.0;
    let close = |found: f64, expected: f64| (found.ln_1p() - expected).abs() < 2e-4;
    assert!(close(found.best, -0.35), "{found:?}");
    assert!(close(found.low, -0.35 - half_width), "{found:?}");
    assert!(close(found.high, -0.35 + half_width), "{found:?}");
}

#[test]
fn what_the_seasons_bring_is_no_trend() {
    // Autumn bears half of spring, year after year: every autumn after a spring looks like a
    // loss, and nothing is lost.
    let mut surveys = Vec::new();
    for (n, off) in [(2021, 1.02), (2022, 0.98), (2023, 1.01), (2024, 0.99)] {
        surveys.push(survey(date(n, 4, 1), 1000.0 * off, 0.08));
        surveys.push(survey(date(n, 10, 1), 500.0 * off, 0.08));
    }
    let trend = Trend::of(&surveys[..7]);
    assert_eq!(trend_name(&trend), "steady", "{trend:?}");
}

#[test]
fn surveys_of_different_parts_of_the_year_say_nothing_yet() {
    let surveys = [
        survey(date(2025, 4, 1), 1000.0, 0.1),
        survey(date(2026, 8, 1), 500.0, 0.1),
        survey(date(2027, 12, 10), 250.0, 0.1),
    ];
    assert_eq!(Trend::of(&surveys), Trend::TooFew { matched: 0, surveys: 3 });
    assert_eq!(Trend::of(&[]), Trend::TooFew { matched: 0, surveys: 0 });
}

#[test]
fn four_surveys_of_one_season_are_no_years() {
    let surveys = [1, 9, 17, 25].map(|day| survey(date(2027, 4, day), 900.0 - f64::from(day), 0.1));
    assert_eq!(Trend::of(&surveys), Trend::TooFew { matched: 0, surveys: 4 });
}

#[test]
fn a_pair_of_years_is_too_few() {
    let trend = Trend::of(&springs(2, 0.5, 0.0));
    assert_eq!(trend, Trend::TooFew { matched: 2, surveys: 2 });
}

#[test]
fn the_turn_of_the_year_parts_nothing() {
    let days = [date(2024, 12, 28), date(2026, 1, 4), date(2026, 12, 30), date(2028, 1, 2)];
    let surveys = days.map(|day| survey(day, 500.0, 0.05));
    let found = change(Trend::of(&surveys));
    assert_eq!((found.surveys, found.parts_of_year), (4, 1));
}

#[test]
fn ninety_days_are_one_part_of_the_year_and_ninety_one_are_not() {
    let with_last = |day| {
        let days = [date(2025, 4, 1), date(2026, 4, 1), day];
        Trend::of(&days.map(|day| survey(day, 500.0, 0.05)))
    };
    assert_eq!(change(with_last(date(2027, 6, 30))).surveys, 3);
    let apart = with_last(date(2027, 7, 1));
    assert_eq!(apart, Trend::TooFew { matched: 2, surveys: 3 });
}

/// From April on four surveys lie within reach of each other, and from June on four; the two of
/// June belong to one or the other. Those of June and August lie at both ends of nine years.
#[test]
fn a_part_of_the_year_whose_surveys_lie_at_both_ends_of_the_years_goes_first() {
    let surveys = [
        date(2020, 4, 1),
        date(2029, 4, 1),
        date(2029, 6, 5),
        date(2029, 6, 8),
        date(2020, 8, 1),
        date(2020, 8, 10),
    ]
    .map(|day| survey(day, 500.0, 0.05));
    let found = change(Trend::of(&surveys));
    assert_eq!((found.surveys, found.parts_of_year), (6, 2));
}

#[test]
fn points_that_lie_on_a_line_by_luck_are_no_surer_than_their_surveys() {
    let lucky = |relative_error| {
        let days = [date(2025, 4, 1), date(2026, 4, 1), date(2027, 4, 1)];
        let totals = [1000.0, 990.0, 980.0];
        let pairs = days.into_iter().zip(totals);
        Trend::of(&pairs.map(|(day, total)| survey(day, total, relative_error)).collect::<Vec<_>>())
    };
    assert_eq!(trend_name(&lucky(0.01)), "steady");
    // Own errors of 40 %: sd of the slope is √(2·ln 1.16)/2 = 0.27.
    assert_eq!(trend_name(&lucky(0.4)), "not known yet");
}

#[test]
fn a_survey_that_found_nothing_is_named() {
    let mut surveys = springs(4, 0.8, 0.02);
    surveys[2].total.best = 0.0;
    assert_eq!(Trend::of(&surveys), Trend::Bare(date(2022, 4, 10)));
}

fn laws() -> ProptestConfig {
    ProptestConfig {
        cases: 200,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(6),
        ..ProptestConfig::default()
    }
}

prop_compose! {
    fn any_surveys()(
        all in prop::collection::vec((0..3000_i32, 0.0..1e6_f64, 0.0..2.0_f64), 0..12)
    ) -> Vec<DatedTotal> {
        all.into_iter()
            .map(|(day, best, error)| {
                let day = date(2020, 1, 1).checked_add(jiff::Span::new().days(day)).unwrap();
                survey(day, best, error)
            })
            .collect()
    }
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn the_order_of_the_surveys_does_not_matter(surveys in any_surveys()) {
        let reversed: Vec<DatedTotal> = surveys.iter().rev().copied().collect();
        let (one, other) = (Trend::of(&surveys), Trend::of(&reversed));
        prop_assert_eq!(trend_name(&one), trend_name(&other));
    }

    #[test]
    fn a_change_lies_in_its_interval_and_no_loss_is_more_than_all(surveys in any_surveys()) {
        if let Some(found) = Trend::of(&surveys).change() {
            prop_assert!(-1.0 <= found.low && found.low <= found.best && found.best <= found.high);
            prop_assert!(found.surveys >= 3 && found.surveys <= surveys.len());
        }
    }

    #[test]
    fn a_larger_patch_has_the_same_trend(surveys in any_surveys(), factor in 0.01..100.0_f64) {
        let scaled = surveys
            .iter()
            .map(|survey| DatedTotal { total: survey.total.scaled(factor), ..*survey })
            .collect::<Vec<_>>();
        match (Trend::of(&surveys).change(), Trend::of(&scaled).change()) {
            (Some(one), Some(other)) => {
                let (one, other) = (one.best.ln_1p(), other.best.ln_1p());
                prop_assert!((one - other).abs() <= 1e-9 * one.abs().max(1.0), "{one}, {other}");
            }
            (one, other) => prop_assert_eq!(one, other),
        }
    }

    #[test]
    fn more_doubt_never_makes_the_interval_narrower(surveys in any_surveys(), more in 1.0..3.0_f64) {
        let doubtful = surveys
            .iter()
            .map(|survey| {
                let standard_error = survey.total.standard_error * more;
                DatedTotal { total: Estimate { standard_error, ..survey.total }, ..*survey }
            })
            .collect::<Vec<_>>();
        if let (Some(one), Some(other)) = (Trend::of(&surveys).change(), Trend::of(&doubtful).change()) {
            prop_assert!(other.low <= one.low && other.high >= one.high);
        }
    }
}
