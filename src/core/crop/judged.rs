//! Double sampling: many quadrats judged by eye, some of them measured too.
//!
//! With n' judged (mean x̄') and n of them measured (means x̄ and ȳ), the mean over all is
//!
//! - by ratio: `(ȳ/x̄)·x̄'`, for an eye that errs in proportion;
//! - by regression: `ȳ + b·(x̄' − x̄)`, b the least-squares slope, for one that errs otherwise.
//!
//! Either has the variance `s_r²·(1/n + lever) + (s_y² − s_r²)/n' − s_y²/N`, where s_r² is the
//! variance of y about the line and N the number of sampling units in the patch. The lever is
//! `(x̄' − x̄)²/Σ(x − x̄)²` for the regression and 0 for the ratio (Cochran 1977, Sampling
//! Techniques, 3rd ed., s. 12.6 and 12.9). The middle term is the first phase's part; where
//! the line fits worse than the mean alone, it is taken as 0 and not as a gain.
//!
//! A survey is one person's of one crop, so each eye is put right by its own measurements.

use super::{Account, Extent};
use crate::estimate::{Estimate, Paired, Sample};
use crate::records::JudgedSummary;

/// Through fewer points a line may pass so closely by luck that its error says nothing. Our own
/// choice, no source.
const FEWEST_FOR_A_LINE: usize = 5;

/// Both phases of a sample, and the number of sampling units there are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubleSample {
    /// How many sampling units the patch has.
    pub population: f64,
    /// By eye, of all that were looked at.
    pub judged: Sample,
    /// Judged (x) and measured (y).
    pub measured: Paired,
}

impl DoubleSample {
    /// The mean of a sampling unit; `None` where all that was measured had been judged to be
    /// nothing, or where only one was measured.
    pub fn by_ratio(&self) -> Option<Estimate> {
        let Paired { x, y, .. } = self.measured;
        let ratio = Some(y.mean / x.mean).filter(|ratio| ratio.is_finite())?;
        self.estimate(ratio * self.judged.mean, self.measured.variance_about(ratio, 1)?, 0.0, 1)
    }

    /// The mean of a sampling unit; `None` where all that was measured had been judged alike,
    /// where fewer than five were measured, or where the line leads under 0.
    pub fn by_regression(&self) -> Option<Estimate> {
        let Paired { x, y, .. } = self.measured;
        let slope = self.measured.slope().filter(|_| x.n >= FEWEST_FOR_A_LINE)?;
        let step = self.judged.mean - x.mean;
        let lever = step.powi(2) / (x.sd.powi(2) * (x.n as f64 - 1.0));
        let about_line = self.measured.variance_about(slope, 2)?;
        self.estimate(y.mean + slope * step, about_line, lever, 2)
    }

    /// Whichever has the smaller standard error.
    pub fn better(&self) -> Option<Estimate> {
        match (self.by_ratio(), self.by_regression()) {
            (Some(ratio), Some(line)) if line.standard_error < ratio.standard_error => Some(line),
            (ratio, line) => ratio.or(line),
        }
    }

    fn estimate(&self, best: f64, about_line: f64, lever: f64, fitted: usize) -> Option<Estimate> {
        let (n, all) = (self.measured.y.n as f64, self.judged.n as f64);
        let in_y = self.measured.y.sd.powi(2);
        let second_phase = about_line * (1.0 / n + lever);
        let first_phase = (in_y - about_line).max(0.0) / all;
        let variance = (second_phase + first_phase - in_y / self.population).max(0.0);
        (best.is_finite() && best >= 0.0).then(|| Estimate {
            best,
            standard_error: variance.sqrt(),
            degrees_of_freedom: n - fitted as f64,
            n: self.judged.n,
        })
    }
}

fn double_sample(survey: &JudgedSummary, extent: &Extent) -> Option<DoubleSample> {
    let population = extent.sampling_units(survey.frame)?;
    Some(DoubleSample { population, judged: survey.judged, measured: survey.measured })
}

pub(super) fn standing_crop(survey: &JudgedSummary, extent: &Extent) -> Option<Estimate> {
    let sample = double_sample(survey, extent)?;
    Some(sample.better()?.scaled(sample.population))
}

/// Both ways of putting the eye right, and which was used.
pub(super) fn account(survey: &JudgedSummary, extent: &Extent) -> Option<Account> {
    let sample = double_sample(survey, extent)?;
    let (ratio, line) = (sample.by_ratio(), sample.by_regression());
    let error = |way: Option<Estimate>| way.map(|found| found.relative_standard_error());
    Some(Account::PutRight {
        judged: survey.judged.n,
        measured: survey.measured.y.n,
        by_ratio: error(ratio),
        by_regression: error(line),
        is_by_ratio: sample.better() == ratio,
    })
}
