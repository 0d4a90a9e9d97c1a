//! A survey without its single quadrats: all that the standing crop needs.

use std::sync::Arc;

use super::{
    Counted, CoverSurvey, Frame, JudgedQuadrat, JudgedSurvey, Placement, Ripe, Stratum, Survey,
    SurveyMethod,
};
use crate::estimate::{Paired, Sample};
use crate::units::{Measure, SquareMetres};

/// A survey as the model reads it: how its places were chosen, and sums of what was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveySummary {
    /// Whether chance chose the places, or a person.
    pub placement: Placement,
    /// How much was ripe of what will ripen, where that alone was measured.
    pub ripe: Option<Ripe>,
    /// What was measured, in sums.
    pub method: MethodSummary,
}

/// The sufficient statistics of a survey; mirrors [`SurveyMethod`].
#[derive(Clone, Debug, PartialEq)]
pub enum MethodSummary {
    /// Quadrats measured out, in one stratum or several.
    Quadrats(Vec<StratumSummary>),
    /// Quadrats judged by eye, some of them measured too.
    Judged(JudgedSummary),
    /// Units counted, some of them weighed.
    Units(UnitSummary),
    /// Cover read, and weighed where it is full.
    Cover(CoverSummary),
}

/// The sufficient statistics of one stratum's quadrats.
#[derive(Clone, Debug, PartialEq)]
pub struct StratumSummary {
    /// Empty for a patch that was sampled as one.
    pub name: Arc<str>,
    /// How much of the patch it covers; `None` for a patch sampled as one.
    pub area: Option<SquareMetres>,
    /// What was measured out at each place.
    pub frame: Frame,
    /// Of the amounts per sampling unit.
    pub sample: Sample,
}

/// The sums of a survey by eye with some of it measured.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedSummary {
    /// What was measured out at each place.
    pub frame: Frame,
    /// What the eye saw in all sampling units.
    pub judged: Sample,
    /// What the eye saw (x) and the scale said (y) in those that were measured too.
    pub measured: Paired,
}

/// The sums of a survey by counted units.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitSummary {
    /// How many units there are.
    pub counted: CountedSummary,
    /// Of one unit, in grams; `None` where the crop is reckoned in the units counted.
    pub weight: Option<Sample>,
}

/// How many units a patch has.
#[derive(Clone, Debug, PartialEq)]
pub enum CountedSummary {
    /// Every one of them was counted.
    InAll(f64),
    /// Counted in quadrats, in one stratum or several.
    Sampled(Vec<StratumSummary>),
}

/// The sums of a survey by cover.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverSummary {
    /// Of the part of the ground covered, 0 to 1. Its deviation holds the spread between
    /// quadrats and the width of their classes alike.
    pub cover: Sample,
    /// Grams a square metre at full cover.
    pub full_cover: Sample,
}

/// What two findings must be measured by to be comparable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Yardstick {
    Of(Measure),
    SquareMetre,
    Metre,
    Plant,
    /// As a whole.
    InAll,
    Days,
}

impl MethodSummary {
    /// What the survey found, without its doubt, on the sampling unit's scale: enough to tell
    /// which of two surveys found less. `None` where that cannot be said.
    pub(super) fn found(&self) -> Option<(Yardstick, f64)> {
        let (of, found) = match self {
            Self::Quadrats(strata) => mean_of(strata)?,
            Self::Judged(judged) => {
                let eye = judged.measured.y.mean / judged.measured.x.mean;
                per(judged.frame, judged.judged.mean * eye)
            }
            Self::Units(UnitSummary { counted, weight }) => {
                let (of, units) = match counted {
                    CountedSummary::InAll(units) => (Yardstick::InAll, *units),
                    CountedSummary::Sampled(strata) => mean_of(strata)?,
                };
                (of, units * weight.map_or(1.0, |weight| weight.mean))
            }
            Self::Cover(cover) => {
                (Yardstick::SquareMetre, cover.cover.mean * cover.full_cover.mean)
            }
        };
        found.is_finite().then_some((of, found))
    }
}

/// Strata weigh by their ground, or alike where none has any.
fn mean_of(strata: &[StratumSummary]) -> Option<(Yardstick, f64)> {
    let (of, _) = per(strata.first()?.frame, 0.0);
    let (mut sum, mut ground) = (0.0, 0.0);
    for stratum in strata {
        let (scale, found) = per(stratum.frame, stratum.sample.mean);
        let weight = stratum.area.map_or(1.0, |area| area.0);
        if scale != of {
            return None;
        }
        sum += found * weight;
        ground += weight;
    }
    Some((of, sum / ground))
}

fn per(frame: Frame, amount: f64) -> (Yardstick, f64) {
    match frame {
        Frame::Area(area) => (Yardstick::SquareMetre, amount / area.0),
        Frame::Length(length) => (Yardstick::Metre, amount / length.0),
        Frame::Plant => (Yardstick::Plant, amount),
    }
}

impl Survey {
    /// Strata without a quadrat are left out. `None` for a survey that lacks a part
    /// altogether; intake and book refuse such surveys earlier.
    pub fn summary(&self) -> Option<SurveySummary> {
        let method = self.method.summary()?;
        Some(SurveySummary { placement: self.placement.clone(), ripe: self.ripe, method })
    }
}

impl SurveyMethod {
    /// As [`Survey::summary`].
    pub fn summary(&self) -> Option<MethodSummary> {
        Some(match self {
            Self::Quadrats(strata) => MethodSummary::Quadrats(summaries(strata)?),
            Self::Judged(survey) => MethodSummary::Judged(survey.summary()?),
            Self::Units(survey) => MethodSummary::Units(UnitSummary {
                counted: match &survey.counted {
                    Counted::InAll(units) => CountedSummary::InAll(*units),
                    Counted::Sampled(strata) => CountedSummary::Sampled(summaries(strata)?),
                },
                weight: Sample::of(&survey.weighings),
            }),
            Self::Cover(survey) => MethodSummary::Cover(survey.summary()?),
        })
    }
}

fn summaries(strata: &[Stratum]) -> Option<Vec<StratumSummary>> {
    let summaries: Vec<_> = strata.iter().filter_map(Stratum::summary).collect();
    (!summaries.is_empty()).then_some(summaries)
}

impl Stratum {
    fn summary(&self) -> Option<StratumSummary> {
        let amounts: Vec<f64> = self.quadrats.iter().map(|quadrat| quadrat.amount).collect();
        Some(StratumSummary {
            name: self.name.clone(),
            area: self.area,
            frame: self.frame,
            sample: Sample::of(&amounts)?,
        })
    }
}

impl JudgedSurvey {
    fn summary(&self) -> Option<JudgedSummary> {
        let judged: Vec<f64> = self.quadrats.iter().map(|quadrat| quadrat.judged).collect();
        let both = |quadrat: &JudgedQuadrat| Some((quadrat.judged, quadrat.measured?));
        let measured: Vec<(f64, f64)> = self.quadrats.iter().filter_map(both).collect();
        Some(JudgedSummary {
            frame: self.frame,
            judged: Sample::of(&judged)?,
            measured: Paired::of(&measured)?,
        })
    }
}

impl CoverSurvey {
    fn summary(&self) -> Option<CoverSummary> {
        let covers = self.quadrats.iter().map(|quadrat| &quadrat.cover);
        let parts: Vec<f64> = covers.clone().map(|cover| cover.midpoint() / 100.0).collect();
        let mut cover = Sample::of(&parts)?;
        let within = covers.map(|cover| cover.variance() / 1e4).sum::<f64>() / cover.n as f64;
        cover.sd = (cover.sd.powi(2) + within).sqrt();
        Some(CoverSummary { cover, full_cover: Sample::of(&self.full_cover)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Metres;

    #[test]
    fn what_was_found_along_a_hedge_is_told_by_the_metre_whatever_frame_was_laid() {
        let found = |length, mean| {
            let frame = Frame::Length(Metres(length));
            let sample = Sample { n: 5, mean, sd: 1.0 };
            let stratum = StratumSummary { name: "".into(), area: None, frame, sample };
            MethodSummary::Quadrats(vec![stratum]).found()
        };
        assert_eq!(found(0.5, 10.0), Some((Yardstick::Metre, 20.0)));
        assert_eq!(found(2.0, 30.0), Some((Yardstick::Metre, 15.0)));
    }
}
