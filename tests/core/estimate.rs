//! Survey statistics against published values.

use stintbook_core::crop::{StratumSample, stratified_mean, stratified_total};
use stintbook_core::estimate::{
    Estimate, Point, Sample, line_through_origin, log_variance, lower_bound, parallel_lines,
    t_quantile,
};

fn close(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "found {found}, expected {expected}"
    );
}

fn check_sample(values: &[f64], mean: f64, sd: f64) {
    let sample = Sample::of(values).unwrap();
    close(sample.mean, mean, 1e-14);
    close(sample.sd, sd, 1e-9);
}

/// NIST Statistical Reference Datasets, univariate summary statistics: Michelso.
#[test]
fn mean_and_deviation_of_the_speed_of_light_are_as_certified() {
    let text = include_str!("../fixtures/statistics/michelso.txt");
    let values: Vec<f64> = text.lines().map(|line| line.trim().parse().unwrap()).collect();
    assert_eq!(values.len(), 100);
    check_sample(&values, 299.852400000000, 0.0790105478190518);
}

/// NIST Statistical Reference Datasets: NumAcc1, NumAcc2, NumAcc3.
#[test]
fn mean_and_deviation_keep_their_digits_on_badly_scaled_data() {
    let pairs = |first: f64, low: f64, high: f64| {
        let mut values = vec![first];
        values.extend([low, high].repeat(500));
        values
    };
    check_sample(&[10_000_001.0, 10_000_003.0, 10_000_002.0], 10_000_002.0, 1.0);
    check_sample(&pairs(1.2, 1.1, 1.3), 1.2, 0.1);
    check_sample(&pairs(1_000_000.2, 1_000_000.1, 1_000_000.3), 1_000_000.2, 0.1);
}

/// Freese 1962, Elementary Forest Sampling (USDA Agriculture Handbook 232): simple random
/// sampling, 20 of 100 units.
#[test]
fn a_simple_random_sample_gives_the_handbooks_errors() {
    let values = [
        10.0, 9.0, 10.0, 9.0, 11.0, 16.0, 11.0, 7.0, 12.0, 12.0, 11.0, 3.0, 5.0, 11.0, 14.0, 8.0,
        13.0, 12.0, 20.0, 10.0,
    ];
    let sample = Sample::of(&values).unwrap();
    close(sample.sd.powi(2), 13.4842, 1e-5);
    let stratum = StratumSample { population: 100.0, sample };
    let mean = stratified_mean(&[stratum]).unwrap();
    let total = stratified_total(&[stratum]).unwrap();
    close(mean.best, 10.7, 1e-12);
    close(mean.standard_error, 0.734, 1e-3);
    close(total.best, 1070.0, 1e-12);
    close(total.standard_error, 73.4, 1e-3);
    assert_eq!(total.degrees_of_freedom, 19.0);
}

/// SAS/STAT User's Guide, PROC SURVEYMEANS, stratified sampling of ice-cream spending:
/// (grade, dollars) of 40 students; 1824, 1025 and 1151 students in grades 7, 8 and 9.
/// Data as published; mean and errors worked anew from them, and as remembered.
#[test]
fn a_stratified_sample_gives_the_published_mean_and_error() {
    let data = "7 7 7 7 8 12 9 10 7 1 7 10 7 3 8 20 8 19 7 2 7 2 9 15 8 16 7 6 7 6 7 6 9 15 8 17 \
                8 14 9 8 9 8 9 7 7 3 7 12 7 4 9 14 8 18 9 9 7 2 7 1 7 4 7 11 9 8 8 10 8 13 7 2 9 \
                6 9 11 7 2 7 9";
    let numbers: Vec<f64> = data.split_whitespace().map(|n| n.parse().unwrap()).collect();
    assert_eq!(numbers.len(), 80);
    let stratum = |grade: f64, population: f64| {
        let pairs = numbers.chunks(2).filter(|pair| pair[0] == grade);
        let values: Vec<f64> = pairs.map(|pair| pair[1]).collect();
        StratumSample { population, sample: Sample::of(&values).unwrap() }
    };
    let strata = [stratum(7.0, 1824.0), stratum(8.0, 1025.0), stratum(9.0, 1151.0)];
    let mean = stratified_mean(&strata).unwrap();
    close(mean.best, 9.141298, 1e-6);
    close(mean.standard_error, 0.531799, 1e-5);
    assert_eq!((mean.n, mean.degrees_of_freedom), (40, 37.0));
    let (low, high) = mean.interval(0.95).unwrap();
    close(low, 8.063771, 1e-5);
    close(high, 10.218825, 1e-5);
}

/// NIST Technical Note 1297 (1994), table B.1: two-sided 90, 95 and 99 %.
#[test]
fn students_t_has_its_tabled_quantiles() {
    let table = [
        (1.0, [6.31, 12.71, 63.66]),
        (4.0, [2.13, 2.78, 4.60]),
        (9.0, [1.83, 2.26, 3.25]),
        (19.0, [1.73, 2.09, 2.86]),
        (30.0, [1.70, 2.04, 2.75]),
        (1e7, [1.645, 1.960, 2.576]),
    ];
    for (degrees_of_freedom, quantiles) in table {
        for (p, expected) in [0.95, 0.975, 0.995].into_iter().zip(quantiles) {
            let t = t_quantile(p, degrees_of_freedom).unwrap();
            assert!((t - expected).abs() < 0.0051, "df {degrees_of_freedom}, p {p}: {t}");
        }
    }
    assert_eq!(t_quantile(1.0, 5.0), None);
    assert_eq!(t_quantile(0.9, 0.0), None);
}

/// Minimum population estimates, the 20th percentile of a log-normal (z 0.842), of 14 stocks:
/// Carretta et al. 2023 and Hayes et al. 2023, as named in each row; the formula is that of
/// NMFS Procedure 02-204-01 (2023), section 3.2.1.
#[test]
fn the_lower_bound_gives_the_published_minimum_estimates() {
    let text = include_str!("../fixtures/statistics/lower_bounds.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let number = |column: usize| row[column].parse::<f64>().unwrap();
        let (best, cv, published) = (number(1), number(2), number(3));
        let minimum = lower_bound(best, log_variance(cv), 0.842);
        close(minimum, published, 1e-3);
        let removal = minimum * 0.5 * number(4) * number(5);
        let digits = row[6].split_once('.').map_or(0, |(_, decimals)| decimals.len());
        assert_eq!(format!("{removal:.digits$}"), row[6], "{}", &row[0]);
        rows += 1;
    }
    assert_eq!(rows, 14);
}

fn point(x: f64, y: f64) -> Point {
    Point { x, y, variance: 0.0 }
}

fn check_estimate(found: Estimate, best: f64, standard_error: f64) {
    close(found.best, best, 1e-11);
    close(found.standard_error, standard_error, 1e-11);
}

/// NIST Statistical Reference Datasets, linear regression: Norris.
#[test]
fn a_line_through_the_ozone_monitors_is_as_certified() {
    let text = include_str!("../fixtures/statistics/norris.csv");
    let rows = text.lines().skip(1).map(|line| line.split_once(',').unwrap());
    let points: Vec<Point> =
        rows.map(|(y, x)| point(x.parse().unwrap(), y.parse().unwrap())).collect();
    assert_eq!(points.len(), 36);
    let line = parallel_lines(&[points]).unwrap();
    check_estimate(line.intercepts[0], -0.262323073774029, 0.232818234301152);
    check_estimate(line.slope, 1.00211681802045, 0.429796848199937e-3);
    close(line.residual_sd, 0.884796396144373, 1e-11);
    assert_eq!(line.slope.degrees_of_freedom, 34.0);
}

/// NIST Statistical Reference Datasets, linear regression: NoInt1.
#[test]
fn a_line_through_the_origin_is_as_certified() {
    let points: Vec<Point> = (60..=70).map(|x| point(f64::from(x), f64::from(x) + 70.0)).collect();
    let slope = line_through_origin(&points).unwrap();
    check_estimate(slope, 2.07438016528926, 0.0165289256198347);
    assert_eq!(slope.degrees_of_freedom, 10.0);
}

/// Ordinary least squares with a dummy variable a group, by statsmodels (the script lies
/// beside the fixture).
#[test]
fn lines_of_one_slope_agree_with_a_regression_on_dummy_variables() {
    let text = include_str!("../fixtures/statistics/parallel_lines.csv");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    let cases: Vec<&[Vec<f64>]> = rows.chunk_by(|a, b| a[0] == b[0]).collect();
    assert_eq!(cases.len(), 4);
    for case in cases {
        let groups = case.chunk_by(|a, b| a[1] == b[1]);
        let points: Vec<Vec<Point>> =
            groups.map(|group| group.iter().map(|row| point(row[2], row[3])).collect()).collect();
        let lines = parallel_lines(&points).unwrap();
        let [.., slope, slope_sd, residual_sd, low, high] = case[0][..] else { unreachable!() };
        check_estimate(lines.slope, slope, slope_sd);
        close(lines.residual_sd, residual_sd, 1e-11);
        let interval = lines.slope.interval(0.9).unwrap();
        close(interval.0, low, 1e-9);
        close(interval.1, high, 1e-9);
    }
}

#[test]
fn points_that_make_no_line_give_none() {
    assert_eq!(parallel_lines(&[]), None);
    assert_eq!(
        parallel_lines(&[vec![point(0.0, 1.0), point(1.0, 2.0)]]),
        None,
        "no doubt to judge"
    );
    assert_eq!(parallel_lines(&[vec![point(2.0, 1.0), point(2.0, 2.0), point(2.0, 3.0)]]), None);
    assert_eq!(parallel_lines(&[vec![point(f64::NAN, 1.0); 4]]), None);
    assert_eq!(line_through_origin(&[point(1.0, 1.0)]), None);
}

/// A slope is a sum of the ys, each times (x − mean)/Sxx, so independent errors add up:
/// here (−½, 0, ½) and equal variances v make v/2.
#[test]
fn the_points_own_errors_go_into_the_slope() {
    let points = [0.0, 1.0, 2.0].map(|x| Point { x, y: 5.0, variance: 0.08 });
    let line = parallel_lines(&[points.to_vec()]).unwrap();
    assert_eq!(line.slope.standard_error, 0.0);
    close(line.slope_error_of_points, 0.2, 1e-12);
}
