//! Each method against values that were found elsewhere.

use std::collections::HashMap;

use stintbook::crop::{
    DoubleSample, Extent, Usefulness, account, product, share_of_best_kept, standing_crop,
};
use stintbook::estimate::{Estimate, Paired, Sample};
use stintbook::records::{Counted, Frame, MethodSummary, SurveyMethod};
use stintbook::report::accounted;
use stintbook::units::{Metres, SquareMetres};

use crate::survey::{cover, ground, judged, quadrats, stratum, summary, units};

fn close(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "found {found}, expected {expected}"
    );
}

/// Inputs of `fixtures/crop/make_estimates.py`, by name.
fn inputs() -> HashMap<&'static str, Vec<f64>> {
    let text = include_str!("../fixtures/crop/inputs.csv");
    let rows = text.lines().skip(1).map(|line| line.split_once(',').unwrap());
    let numbers = |text: &str| text.split(' ').map(|number| number.parse().unwrap()).collect();
    let inputs: HashMap<_, _> = rows.map(|(name, values)| (name, numbers(values))).collect();
    assert_eq!(inputs.len(), 8);
    inputs
}

/// What statsmodels, samplics and numpy made of them: best value and standard error.
fn expected(name: &str) -> (f64, f64) {
    let text = include_str!("../fixtures/crop/estimates.csv");
    let of_name = |line: &str| {
        let (numbers, error) = line.rsplit_once(',')?;
        let (found, best) = numbers.rsplit_once(',')?;
        let right = found.trim_matches('"') == name;
        right.then(|| (best.parse().unwrap(), error.parse().unwrap()))
    };
    text.lines().skip(1).find_map(of_name).unwrap_or_else(|| panic!("no row `{name}`"))
}

fn agrees(found: Estimate, name: &str) {
    let (best, standard_error) = expected(name);
    close(found.best, best, 1e-12);
    close(found.standard_error, standard_error, 1e-9);
}

fn whole(method: SurveyMethod, extent: &Extent) -> Estimate {
    standing_crop(&summary(method), extent).unwrap()
}

/// NIST Statistical Reference Datasets, linear regression: Norris.
#[test]
fn slope_and_residual_deviation_are_as_certified() {
    let text = include_str!("../fixtures/statistics/norris.csv");
    let rows = text.lines().skip(1).map(|line| line.split_once(',').unwrap());
    let pairs: Vec<(f64, f64)> =
        rows.map(|(y, x)| (x.trim().parse().unwrap(), y.parse().unwrap())).collect();
    assert_eq!(pairs.len(), 36);
    let paired = Paired::of(&pairs).unwrap();
    let slope = paired.slope().unwrap();
    close(slope, 1.00211681802045, 1e-12);
    close(paired.y.mean - slope * paired.x.mean, -0.262323073774029, 1e-9);
    close(paired.variance_about(slope, 2).unwrap().sqrt(), 0.884796396144373, 1e-6);
}

#[test]
fn quadrats_judged_by_eye_agree_with_general_statistics_packages_and_the_surer_way_is_used() {
    let inputs = inputs();
    for (eye, better) in [("ratio eye", "ratio"), ("line eye", "regression")] {
        let by_eye = &inputs[format!("{} judged", eye.split_once(' ').unwrap().0).as_str()];
        let survey = summary(judged(by_eye, &inputs["weighed"]));
        let MethodSummary::Judged(sums) = &survey.method else { panic!("judged otherwise") };
        let sample =
            DoubleSample { population: 400.0, judged: sums.judged, measured: sums.measured };
        let (ratio, line) = (sample.by_ratio().unwrap(), sample.by_regression().unwrap());
        agrees(ratio, &format!("{eye}, ratio"));
        agrees(line, &format!("{eye}, regression"));
        assert_eq!((ratio.degrees_of_freedom, line.degrees_of_freedom), (11.0, 10.0));
        let used = if better == "ratio" { ratio } else { line };
        assert_eq!(standing_crop(&survey, &ground()), Some(used.scaled(400.0)));
        let said = accounted(&account(&survey, &ground())[0]);
        assert!(said.contains(&format!("by {better}, which fits better")), "{said}");
    }
}

#[test]
fn an_eye_that_could_not_be_fitted_by_a_line_is_put_right_by_the_ratio() {
    let alike = judged(&[20.0, 20.0, 20.0, 30.0], &[10.0, 12.0, 8.0]);
    close(whole(alike, &ground()).best, 400.0 * 22.5 / 2.0, 1e-12);
    let nothing_seen = judged(&[0.0, 0.0, 0.0, 30.0], &[1.0, 0.0, 2.0]);
    assert_eq!(standing_crop(&summary(nothing_seen), &ground()), None);
}

#[test]
fn a_line_through_few_points_is_not_believed() {
    let eye = [30.0, 20.0, 10.0, 40.0, 50.0, 35.0, 5.0, 60.0, 22.0, 14.0];
    let scale = [16.0, 11.0, 6.0, 21.0, 26.0];
    let four = whole(judged(&eye, &scale[..4]), &ground());
    let five = whole(judged(&eye, &scale), &ground());
    assert_eq!(four.degrees_of_freedom, 3.0, "by ratio");
    // Half of what was seen, and 1 g.
    assert_eq!(five.degrees_of_freedom, 3.0, "by regression");
    close(five.best, 400.0 * (28.6 / 2.0 + 1.0), 1e-12);
}

#[test]
fn where_nothing_was_weighed_nothing_stands() {
    assert_eq!(whole(judged(&[20.0, 10.0, 20.0, 30.0], &[0.0, 0.0, 0.0]), &ground()).best, 0.0);
}

/// By the formula: a part of the limit is kept that grows with each quadrat, at last by less than
/// a hundredth.
#[test]
fn one_more_quadrat_pays_until_it_adds_less_than_a_hundredth() {
    let kept = |n: usize| (-1.28 * (1.0 + 1.0 / n as f64).ln().sqrt()).exp();
    let useful = Usefulness { cv: 1.0, z: 1.28, limit_without_doubt: 500.0, smallest_useful: 0.0 };
    for n in [1, 2, 10, 400] {
        close(share_of_best_kept(1.0, n, 1.28), kept(n), 1e-9);
        close(useful.limit(n), 500.0 * kept(n), 1e-9);
    }
    let enough = (1..).find(|&n| kept(n + 1) - kept(n) <= 0.01 * kept(n)).unwrap();
    assert!(enough > 5);
    assert_eq!(useful.enough(), enough);
}

/// No slope at all: two were fitted, so what is left about the line is more than what was about the
/// mean, and the quadrats that were only looked at make it no surer.
#[test]
fn a_line_that_tells_nothing_makes_nothing_surer() {
    let eye = [10.0, 20.0, 30.0, 20.0, 20.0, 10.0, 30.0, 20.0, 20.0, 20.0];
    let survey = summary(judged(&eye, &[5.0, 9.0, 5.0, 1.0, 5.0]));
    let MethodSummary::Judged(sums) = &survey.method else { panic!("judged otherwise") };
    let sample = DoubleSample { population: 400.0, judged: sums.judged, measured: sums.measured };
    let line = sample.by_regression().unwrap();
    close(line.best, 5.0, 1e-12);
    let (about_line, about_mean) = (32.0 / 3.0, 32.0 / 4.0);
    close(line.standard_error.powi(2), about_line / 5.0 - about_mean / 400.0, 1e-9);
}

/// Brute force: the errors stated for samples drawn again and again from one stand are as
/// large as the errors made.
#[test]
fn the_stated_error_of_double_sampling_is_the_error_made() {
    const DRAWS: usize = 4000;
    let mut random = fastrand::Rng::with_seed(7);
    let stand: Vec<(f64, f64)> = (0..400)
        .map(|_| {
            let amount = (0..4).map(|_| -random.f64().ln() * 8.0).sum::<f64>();
            (10.0 + 0.8 * amount + 6.0 * random.f64(), amount)
        })
        .collect();
    let truth = stand.iter().map(|(_, amount)| amount).sum::<f64>();
    let (mut squares, mut stated) = ([0.0; 2], [0.0; 2]);
    for _ in 0..DRAWS {
        let drawn = random.choose_multiple(&stand, 60);
        let by_eye: Vec<f64> = drawn.iter().map(|one| one.0).collect();
        let measured: Vec<f64> = drawn.iter().take(20).map(|one| one.1).collect();
        let MethodSummary::Judged(sums) = summary(judged(&by_eye, &measured)).method else {
            panic!("judged otherwise")
        };
        let sample =
            DoubleSample { population: 400.0, judged: sums.judged, measured: sums.measured };
        for (way, found) in [sample.by_ratio(), sample.by_regression()].into_iter().enumerate() {
            let found = found.unwrap().scaled(400.0);
            squares[way] += (found.best - truth).powi(2);
            stated[way] += found.standard_error.powi(2);
        }
    }
    close(stated[0], squares[0], 0.15);
    close(stated[1], squares[1], 0.15);
}

#[test]
fn counted_units_times_their_weight_agree_with_a_general_statistics_package() {
    let inputs = inputs();
    let weights = &inputs["unit weights"];
    let sampled = units(Counted::Sampled(vec![stratum(&inputs["units"])]), weights);
    agrees(whole(sampled, &ground()), "units");
    let in_all = whole(units(Counted::InAll(140.0), weights), &ground());
    agrees(in_all, "units in all");
    assert_eq!((in_all.degrees_of_freedom, in_all.n), (5.0, 6), "the weighings alone are in doubt");
}

#[test]
fn a_full_count_of_pieces_has_no_sampling_error() {
    let counted = whole(units(Counted::InAll(57.0), &[]), &ground());
    assert_eq!((counted.best, counted.standard_error), (57.0, 0.0));
    let shut = Extent { area: SquareMetres(0.0), ..ground() };
    assert_eq!(whole(units(Counted::InAll(57.0), &[]), &shut).best, 0.0);
}

/// Goodman 1960: the estimator's mean over all samples is the product's true variance. All
/// samples of two out of each of two small populations, with replacement.
#[test]
fn the_variance_of_a_product_is_unbiased_over_all_samples() {
    let (first, second) = ([8.0, 9.0, 10.0, 12.0, 14.0], [29.0, 31.0, 34.0]);
    let estimates = |values: &[f64]| -> Vec<Estimate> {
        let pairs = values.iter().flat_map(|&a| values.iter().map(move |&b| [a, b]));
        let mean = |pair: [f64; 2]| {
            let sample = Sample::of(&pair).unwrap();
            let standard_error = sample.variance_of_mean(None).sqrt();
            Estimate { best: sample.mean, standard_error, degrees_of_freedom: 1.0, n: 2 }
        };
        pairs.map(mean).collect()
    };
    let (first, second) = (estimates(&first), estimates(&second));
    let products: Vec<Estimate> =
        first.iter().flat_map(|&x| second.iter().map(move |&y| product(x, y))).collect();
    assert_eq!(products.len(), 25 * 9);
    let n = products.len() as f64;
    let mean = products.iter().map(|found| found.best).sum::<f64>() / n;
    let truth = products.iter().map(|found| (found.best - mean).powi(2)).sum::<f64>() / n;
    let stated = products.iter().map(|found| found.standard_error.powi(2)).sum::<f64>() / n;
    close(stated, truth, 1e-12);
}

#[test]
fn cover_classes_times_full_cover_agree_with_a_general_statistics_package() {
    let inputs = inputs();
    let limits: Vec<(f64, f64)> =
        inputs["cover low"].iter().copied().zip(inputs["cover high"].iter().copied()).collect();
    let fifty = Extent { area: SquareMetres(50.0), ..ground() };
    agrees(whole(cover(&limits, &inputs["full cover"]), &fifty), "cover");
}

#[test]
fn a_class_leaves_more_doubt_than_its_midpoint_read_directly() {
    let full = [900.0, 1000.0, 1100.0];
    let classes = whole(cover(&[(25.0, 50.0), (50.0, 75.0), (25.0, 50.0)], &full), &ground());
    let direct = whole(cover(&[(37.5, 37.5), (62.5, 62.5), (37.5, 37.5)], &full), &ground());
    close(classes.best, direct.best, 1e-12);
    assert!(classes.standard_error > direct.standard_error);
    let alike = whole(cover(&[(25.0, 50.0); 4], &[1000.0; 4]), &ground());
    // Four quadrats of one class, 25 points wide: 25/√12 of a point each.
    close(alike.standard_error, 100.0 * 1000.0 * 0.25 / 12f64.sqrt() / 2.0, 1e-12);
}

#[test]
fn units_in_lengths_of_a_hedge_and_on_trees_stand_for_all_of_it() {
    let hedge = Extent { length: Some(Metres(90.0)), ..ground() };
    let lengths = |amounts: &[f64]| {
        vec![stintbook::records::Stratum { frame: Frame::Length(Metres(3.0)), ..stratum(amounts) }]
    };
    let heads = units(Counted::Sampled(lengths(&[10.0, 14.0])), &[5.0, 5.0]);
    close(whole(heads.clone(), &hedge).best, 30.0 * 12.0 * 5.0, 1e-12);
    assert_eq!(standing_crop(&summary(heads), &ground()), None, "no hedge");
    let trees = Extent { plants: Some(17), ..ground() };
    let on_trees = vec![stintbook::records::Stratum {
        frame: Frame::Plant,
        ..stratum(&[200.0, 300.0, 250.0])
    }];
    let nuts = whole(units(Counted::Sampled(on_trees), &[1.5, 2.5]), &trees);
    close(nuts.best, 17.0 * 250.0 * 2.0, 1e-12);
    assert_eq!(standing_crop(&summary(quadrats(&[1.0, 2.0])), &trees), None);
    let spread = cover(&[(10.0, 20.0), (30.0, 40.0)], &[900.0, 800.0]);
    assert_eq!(standing_crop(&summary(spread), &trees), None, "cover of counted plants");
}
