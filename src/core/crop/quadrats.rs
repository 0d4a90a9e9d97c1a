//! Quadrats: a simple random sample, or one in each stratum.
//!
//! A sampling unit is a frame on the ground, a stretch of a hedge (grams a metre over sampled
//! lengths, extended to the length that may be harvested), or a plant out of those counted.
//!
//! The total of a population of `N` sampling units is `N·mean`; its variance is
//! `N²·s²/n·(1 − n/N)`, and strata add up (Cochran 1977, Sampling Techniques, ch. 2 and 5).

use super::{Account, Extent};
use crate::estimate::{Estimate, Sample};
use crate::records::StratumSummary;

/// Plants never stand more evenly than this: quadrats that all weigh the same, or nearly so,
/// tell of a coarse scale or of too few, not of certainty. Our own choice, no source; the
/// coefficient of variation between quadrats is commonly 0.5 and more.
const LEAST_VARIATION: f64 = 0.2;

/// The sample from one stratum and the number of sampling units in the whole of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StratumSample {
    /// How many sampling units the stratum has.
    pub population: f64,
    /// What was measured in some of them.
    pub sample: Sample,
}

pub(super) fn standing_crop(strata: &[StratumSummary], extent: &Extent) -> Option<Estimate> {
    let measured_area: f64 =
        strata.iter().filter_map(|stratum| stratum.area).map(|area| area.0).sum();
    let samples: Option<Vec<_>> = strata
        .iter()
        .map(|stratum| {
            let weight = match stratum.area {
                Some(area) => area.0 / measured_area,
                None => 1.0,
            };
            let population = weight * extent.sampling_units(stratum.frame)?;
            Some(StratumSample { population, sample: at_least_varied(stratum.sample) })
        })
        .collect();
    stratified_total(&samples?)
}

fn at_least_varied(sample: Sample) -> Sample {
    Sample { sd: sample.sd.max(LEAST_VARIATION * sample.mean), ..sample }
}

/// What was taken for the spread where the quadrats showed hardly any.
pub(super) fn account(strata: &[StratumSummary]) -> Option<Account> {
    let is_too_even = |stratum: &StratumSummary| at_least_varied(stratum.sample) != stratum.sample;
    strata.iter().any(is_too_even).then_some(Account::TooAlike)
}

/// The total over all strata, with n − (number of strata) degrees of freedom.
///
/// `None` without strata, or where no stratum has a spread to judge doubt by.
///
/// ```
/// use stintbook_core::crop::{StratumSample, stratified_total};
/// use stintbook_core::estimate::Sample;
///
/// // Ten of a hundred square metres gave 40 g each on average, give or take 10 g.
/// let sample = Sample { n: 10, mean: 40.0, sd: 10.0 };
/// let total = stratified_total(&[StratumSample { population: 100.0, sample }]).unwrap();
/// assert_eq!(total.best, 4000.0);
/// assert!((total.standard_error - 300.0).abs() < 1e-9);
/// ```
pub fn stratified_total(strata: &[StratumSample]) -> Option<Estimate> {
    let n: usize = strata.iter().map(|stratum| stratum.sample.n).sum();
    let degrees_of_freedom = n.checked_sub(strata.len()).filter(|&df| df > 0)? as f64;
    let best = strata.iter().map(|stratum| stratum.population * stratum.sample.mean).sum();
    let variance: f64 = strata
        .iter()
        .map(|stratum| {
            let population = stratum.population;
            population.powi(2) * stratum.sample.variance_of_mean(Some(population))
        })
        .sum();
    Some(Estimate { best, standard_error: variance.sqrt(), degrees_of_freedom, n })
}

/// The mean over all strata, each weighted by its population.
pub fn stratified_mean(strata: &[StratumSample]) -> Option<Estimate> {
    let population: f64 = strata.iter().map(|stratum| stratum.population).sum();
    stratified_total(strata).map(|total| total.scaled(1.0 / population))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Frame;
    use crate::units::{Metres, SquareMetres};

    fn ground(area_m2: f64) -> Extent {
        Extent { area: SquareMetres(area_m2), length: None, plants: None }
    }

    fn quadrats(stratum: &str, area_m2: Option<f64>, amounts: &[f64]) -> StratumSummary {
        StratumSummary {
            name: stratum.into(),
            area: area_m2.map(SquareMetres),
            frame: Frame::Area(SquareMetres(0.25)),
            sample: Sample::of(amounts).unwrap(),
        }
    }

    #[test]
    fn twenty_grams_in_a_quarter_metre_are_eighty_a_square_metre() {
        let extent = ground(50.0);
        let standing = standing_crop(&[quadrats("", None, &[10.0, 30.0])], &extent).unwrap();
        assert_eq!(standing.best, 4000.0);
    }

    #[test]
    fn strata_share_the_harvestable_ground_by_their_areas() {
        let extent = ground(40.0);
        let strata = [
            quadrats("dense", Some(20.0), &[20.0, 20.0]),
            quadrats("thin", Some(60.0), &[4.0, 4.0]),
        ];
        let standing = standing_crop(&strata, &extent).unwrap();
        // A quarter of 40 m² at 80 g/m² and three quarters at 16 g/m².
        assert!((standing.best - (10.0 * 80.0 + 30.0 * 16.0)).abs() < 1e-9);
        assert_eq!(standing.degrees_of_freedom, 2.0);
    }

    #[test]
    fn quadrats_that_are_all_alike_are_not_taken_for_certainty() {
        let extent = Extent { area: SquareMetres(5000.0), length: None, plants: None };
        let alike = [quadrats("", None, &[30.0, 30.0, 30.0, 30.0])];
        let error = standing_crop(&alike, &extent).unwrap().relative_standard_error();
        // A fifth over the root of four, but for the finite population.
        assert!((error - 0.1).abs() < 1e-4, "{error}");
        assert!(account(&alike).is_some());
        assert_eq!(account(&[quadrats("", None, &[20.0, 30.0, 40.0])]), None);
    }

    #[test]
    fn a_frame_on_counted_plants_measures_nothing() {
        let extent = Extent { plants: Some(12), ..ground(0.0) };
        assert_eq!(standing_crop(&[quadrats("", None, &[10.0, 30.0])], &extent), None);
    }

    #[test]
    fn sampled_lengths_stand_for_the_whole_hedge() {
        let hedge = Extent { length: Some(Metres(120.0)), ..ground(180.0) };
        let frame = Frame::Length(Metres(2.0));
        let lengths = StratumSummary { frame, ..quadrats("", None, &[50.0, 70.0]) };
        let standing = standing_crop(std::slice::from_ref(&lengths), &hedge).unwrap();
        assert_eq!(standing.best, 60.0 * 60.0); // 30 g a metre over 120 m
        assert_eq!(standing_crop(&[lengths], &ground(180.0)), None, "no hedge");
    }
}
