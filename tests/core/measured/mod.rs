//! The curve of regrowth held against plants that were measured as they grew.
//!
//! Onions: NIST StRD Rat43 (Ratkowsky 1983, Nonlinear Regression Modeling, pp. 62 and 88), 15 dry
//! weights, the unit of time not given, with the certified fit of
//! `y = b1/(1 + e^(b2 − b3·x))^(1/b4)`. Soybeans: leaf weight a plant of 48 plots, 1988 to 1990
//! (Davidian and Giltinan 1995, Nonlinear Models for Repeated Measurement Data, 1.1.3; the data set
//! `Soybean` of the R package nlme, Pinheiro and Bates 2000). Both grew from seed; of regrowth after
//! a cut only the pasture of `tests/core/recovery.rs` was found.

use stintbook_core::regrowth::regrow;

const SOYBEAN: &str = include_str!("../../fixtures/growth/soybean.csv");
const ONION: [f64; 15] = [
    16.08, 33.83, 65.80, 97.20, 191.55, 326.20, 386.87, 520.53, 590.03, 651.92, 724.93, 699.56,
    689.96, 637.56, 717.41,
];

/// A day, and what was weighed on it.
type Weighings = Vec<(f64, f64)>;

/// The least-squares fit of a logistic.
struct Fit {
    rate: f64,
    /// Root mean square of the residuals, as a part of the full crop.
    error: f64,
}

impl Fit {
    /// Sought on ever finer grids of the rate and of the day on which half of the full crop stands.
    fn of(weighed: &[(f64, f64)]) -> Self {
        const STEPS: usize = 24;
        let (first, last) = (weighed[0].0, weighed[weighed.len() - 1].0);
        let (mut rates, mut middles) = ((0.005_f64.ln(), 3.0_f64.ln()), (first, last));
        let mut best = (f64::INFINITY, 0.0, 0.0, 0.0);
        let step = |(low, high): (f64, f64), n: usize| low + (high - low) * n as f64 / STEPS as f64;
        let about = |(low, high): (f64, f64), at: f64| {
            let half = (high - low) / 12.0;
            (at - half, at + half)
        };
        for _ in 0..6 {
            for (i, j) in (0..=STEPS).flat_map(|i| (0..=STEPS).map(move |j| (i, j))) {
                let (log_rate, middle) = (step(rates, i), step(middles, j));
                let (full, squares) = residuals(weighed, log_rate.exp(), middle);
                if squares < best.0 {
                    best = (squares, log_rate, middle, full);
                }
            }
            (rates, middles) = (about(rates, best.1), about(middles, best.2));
        }
        let (squares, log_rate, _, full) = best;
        Self { rate: log_rate.exp(), error: (squares / weighed.len() as f64).sqrt() / full }
    }

    /// From two thirds of the full crop to 95 %: x/(1 − x) grows by e^(r·t), from 2 to 19.
    fn last_stretch(&self) -> f64 {
        9.5_f64.ln() / self.rate
    }
}

/// The full crop that fits best, and the sum of squares that it leaves.
fn residuals(weighed: &[(f64, f64)], rate: f64, middle: f64) -> (f64, f64) {
    // A stand of a half on the middle day; before it, by the curve's symmetry.
    let part = |day: f64| {
        let after = regrow(0.5, 1.0, rate * (day - middle).abs());
        if day < middle { 1.0 - after } else { after }
    };
    let (above, below) = weighed.iter().fold((0.0, 0.0), |(above, below), (day, found)| {
        (above + part(*day) * found, below + part(*day).powi(2))
    });
    let full = above / below;
    (full, weighed.iter().map(|(day, found)| (found - full * part(*day)).powi(2)).sum())
}

#[test]
fn onions_grow_by_the_curve_as_nearly_as_by_the_certified_one_of_a_parameter_more() {
    // Certified: b1 to b4, and the residual sum of squares.
    let [b1, b2, b3, b4] = [699.641_512_70, 5.277_125_302_5, 0.759_629_383_29, 1.279_248_385_9];
    let weighed: Weighings = (1..).map(f64::from).zip(ONION).collect();
    let certified: f64 = weighed
        .iter()
        .map(|(x, y)| (y - b1 / (1.0 + (b2 - b3 * x).exp()).powf(1.0 / b4)).powi(2))
        .sum();
    assert!((certified - 8_786.404_908).abs() < 1e-3, "{certified}");
    let error = (certified / 15.0).sqrt() / b1;
    let fit = Fit::of(&weighed);
    assert!((error - 0.0346).abs() < 1e-4, "{error}");
    assert!((fit.error - 0.0347).abs() < 1e-4, "{}", fit.error);
    assert!((fit.last_stretch() - 3.27).abs() < 0.01, "{}", fit.last_stretch());
}

/// Rates of 48 plots differ by a log-sd of 0.34, under the 0.40 by which those of the proof do.
#[test]
fn soybean_leaf_grows_by_the_curve_to_three_parts_in_a_hundred() {
    let mut plots: Vec<(&str, Weighings)> = Vec::new();
    for row in SOYBEAN.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let weighing = (cells[1].parse().unwrap(), cells[2].parse().unwrap());
        match plots.last_mut() {
            Some((plot, weighed)) if *plot == cells[0] => weighed.push(weighing),
            _ => plots.push((cells[0], vec![weighing])),
        }
    }
    assert_eq!(plots.len(), 48);
    let fits: Vec<Fit> = plots.iter().map(|(_, weighed)| Fit::of(weighed)).collect();
    let mut errors: Vec<f64> = fits.iter().map(|fit| fit.error).collect();
    errors.sort_by(f64::total_cmp);
    assert!((errors[24] - 0.0314).abs() < 2e-4 && errors[47] < 0.085, "{errors:?}");
    let mut stretches: Vec<f64> = fits.iter().map(Fit::last_stretch).collect();
    stretches.sort_by(f64::total_cmp);
    assert!((stretches[23] - 18.9).abs() < 0.3, "{stretches:?}");
    let logs: Vec<f64> = fits.iter().map(|fit| fit.rate.ln()).collect();
    let mean = logs.iter().sum::<f64>() / 48.0;
    let spread = (logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / 47.0).sqrt();
    assert!((spread - 0.34).abs() < 0.01, "{spread}");
}
