//! What a survey is worth whose places someone chose.

use stintbook::crop::{BY_CHOICE, account, standing_crop};
use stintbook::estimate::{Estimate, lower_bound};
use stintbook::records::{Counted, Placement, SurveySummary};
use stintbook::report::accounted;

use crate::survey::{cover, ground, judged, quadrats, stratum, summary, units};

fn placed(survey: &SurveySummary, placement: Placement) -> SurveySummary {
    SurveySummary { placement, ..survey.clone() }
}

fn low(estimate: &Estimate) -> f64 {
    lower_bound(estimate.best, estimate.log_variance(), 0.842)
}

#[test]
fn places_that_were_chosen_cost_the_estimate_and_its_low_bound_whatever_the_method() {
    let samples = [
        quadrats(&[31.0, 18.0, 40.0, 22.0]),
        judged(&[30.0, 45.0, 20.0, 10.0], &[27.0, 40.0, 21.0]),
        units(Counted::Sampled(vec![stratum(&[3.0, 1.5, 2.0])]), &[41.0, 36.0]),
        cover(&[(25.0, 50.0), (50.0, 75.0)], &[900.0, 1100.0]),
    ];
    for survey in samples.map(summary) {
        let of = |placement| standing_crop(&placed(&survey, placement), &ground()).unwrap();
        let (drawn, chosen) = (of(Placement::Drawn { plan: None }), of(Placement::ByChoice));
        assert_eq!(of(Placement::NotSaid), drawn, "not said counts as drawn");
        assert!((chosen.best * BY_CHOICE.overstatement - drawn.best).abs() < 1e-9 * drawn.best);
        let added =
            chosen.relative_standard_error().powi(2) - drawn.relative_standard_error().powi(2);
        assert!((added - BY_CHOICE.relative_standard_error.powi(2)).abs() < 1e-12);
        assert!(low(&chosen) < low(&drawn) / BY_CHOICE.overstatement);
    }
}

#[test]
fn a_full_count_has_no_places_to_choose() {
    let survey = summary(units(Counted::InAll(140.0), &[31.0, 28.0]));
    let chosen = placed(&survey, Placement::ByChoice);
    assert_eq!(standing_crop(&chosen, &ground()), standing_crop(&survey, &ground()));
    assert_eq!(account(&chosen, &ground()).len(), 1);
}

#[test]
fn how_the_places_were_found_is_said() {
    let survey = summary(quadrats(&[31.0, 18.0]));
    let said = |placement| account(&placed(&survey, placement), &ground());
    let plan = Some("12 at random, seed 7".into());
    for (placement, told) in [
        (
            Placement::NotSaid,
            "its places are taken to have been drawn by chance; it does not say so",
        ),
        (Placement::Drawn { plan: None }, "its places were drawn by chance"),
        (Placement::Drawn { plan }, "its places were drawn by chance (12 at random, seed 7)"),
        (
            Placement::ByChoice,
            "quadrats placed by choice: the estimate is divided by 1.15 and its relative standard \
             error widened by 30 % (our own choice, no source)",
        ),
    ] {
        let said: Vec<String> = said(placement).iter().map(accounted).collect();
        assert_eq!(said, [told]);
    }
}
