//! What holds for every method, whatever was measured.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};
use stintbook::crop::{Extent, standing_crop};
use stintbook::estimate::Estimate;
use stintbook::records::{Counted, SurveyMethod};
use stintbook::units::SquareMetres;

use crate::survey::{cover, judged, quadrats, stratum, summary, units};

fn seeded() -> Config {
    Config {
        cases: 500,
        rng_seed: RngSeed::Fixed(20_270_314),
        failure_persistence: None,
        ..Config::default()
    }
}

/// Numbers measured, before anything is made of them.
#[derive(Clone, Debug)]
enum Measured {
    Quadrats(Vec<f64>),
    Judged(Vec<f64>, Vec<f64>),
    Units(Vec<f64>, Vec<f64>),
    UnitsInAll(f64, Vec<f64>),
    Cover(Vec<(f64, f64)>, Vec<f64>),
}

impl Measured {
    /// With all weights multiplied, as in another unit of mass.
    fn survey(&self, unit: f64) -> SurveyMethod {
        let scaled = |values: &[f64]| values.iter().map(|value| value * unit).collect::<Vec<_>>();
        match self {
            Self::Quadrats(amounts) => quadrats(&scaled(amounts)),
            Self::Judged(seen, weighed) => judged(&scaled(seen), &scaled(weighed)),
            Self::Units(counts, weights) => {
                units(Counted::Sampled(vec![stratum(counts)]), &scaled(weights))
            }
            Self::UnitsInAll(count, weights) => units(Counted::InAll(*count), &scaled(weights)),
            Self::Cover(limits, weights) => cover(limits, &scaled(weights)),
        }
    }

    /// Every measurement made `times` over with the same result.
    fn repeated(&self, times: usize) -> Self {
        match self {
            Self::Quadrats(amounts) => Self::Quadrats(amounts.repeat(times)),
            Self::Judged(seen, weighed) => {
                // Those weighed come first.
                let (both, by_eye) = seen.split_at(weighed.len());
                let seen = [both.repeat(times), by_eye.repeat(times)].concat();
                Self::Judged(seen, weighed.repeat(times))
            }
            Self::Units(counts, weights) => {
                Self::Units(counts.repeat(times), weights.repeat(times))
            }
            Self::UnitsInAll(count, weights) => Self::UnitsInAll(*count, weights.repeat(times)),
            Self::Cover(limits, weights) => {
                Self::Cover(limits.repeat(times), weights.repeat(times))
            }
        }
    }
}

fn measured() -> impl Strategy<Value = Measured> {
    let amounts = || vec(prop_oneof![Just(0.0), 0.1..900.0], 2..12);
    let weights = || vec(0.1..900.0, 2..8);
    let by_eye = (vec((0.1..900.0, 0.0..900.0), 3..9), amounts()).prop_map(|(both, more)| {
        let (seen, weighed): (Vec<f64>, Vec<f64>) = both.into_iter().unzip();
        Measured::Judged([seen, more].concat(), weighed)
    });
    let limits = vec((0.0..60.0, 0.0..40.0), 2..9)
        .prop_map(|limits| limits.into_iter().map(|(low, width)| (low, low + width)).collect());
    prop_oneof![
        amounts().prop_map(Measured::Quadrats),
        by_eye,
        (amounts(), weights()).prop_map(|(counts, weights)| Measured::Units(counts, weights)),
        (0.0..5000.0, weights()).prop_map(|(count, weights)| Measured::UnitsInAll(count, weights)),
        (limits, weights()).prop_map(|(limits, weights)| Measured::Cover(limits, weights)),
    ]
}

/// Far more frames than any of these surveys laid.
fn estimate(method: SurveyMethod) -> Estimate {
    let extent = Extent { area: SquareMetres(1e5), length: None, plants: None };
    standing_crop(&summary(method), &extent).unwrap()
}

proptest! {
    #![proptest_config(seeded())]

    #[test]
    fn no_estimate_is_negative_or_without_its_doubt(measured in measured()) {
        let found = estimate(measured.survey(1.0));
        prop_assert!(found.best >= 0.0 && found.best.is_finite());
        prop_assert!(found.standard_error >= 0.0 && found.standard_error.is_finite());
        prop_assert!(found.degrees_of_freedom > 0.0);
        prop_assert!(found.n > 0);
    }

    #[test]
    fn another_unit_of_mass_changes_the_number_and_nothing_else(
        measured in measured(),
        unit in prop_oneof![Just(0.001), Just(1000.0), 0.01..100.0],
    ) {
        let grams = estimate(measured.survey(1.0));
        let others = estimate(measured.survey(unit));
        prop_assert!((others.best - grams.best * unit).abs() <= 1e-9 * grams.best * unit);
        let (one, two) = (grams.relative_standard_error(), others.relative_standard_error());
        prop_assert!((one - two).abs() <= 1e-6 * one + 1e-9, "{one} and {two}");
    }

    /// Not the relative error: with more measured, a regression may come to fit better than
    /// the ratio did, and lead to another number.
    #[test]
    fn the_same_measurements_again_never_widen_the_error(
        measured in measured(),
        times in 2..5_usize,
    ) {
        let once = estimate(measured.survey(1.0));
        let again = estimate(measured.repeated(times).survey(1.0));
        prop_assert!(again.standard_error <= once.standard_error * (1.0 + 1e-9));
        if !matches!(measured, Measured::Judged(..)) {
            let (once, again) = (once.relative_standard_error(), again.relative_standard_error());
            prop_assert!(again <= once * (1.0 + 1e-9), "{once}, then {again}");
        }
    }
}
