//! A visit that measured a patch.

use std::sync::Arc;

use super::PatchName;
use crate::estimate::Sample;
use crate::units::{Metres, SquareMetres};

/// One survey of one patch on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    pub patch: PatchName,
    pub method: SurveyMethod,
    pub note: Option<Arc<str>>,
}

/// How a stand was measured; one variant for each file in `crop/`.
#[derive(Clone, Debug, PartialEq)]
pub enum SurveyMethod {
    Quadrats(Vec<QuadratSurvey>),
}

/// The quadrats of one stratum; a simple random sample is a single stratum without a name.
#[derive(Clone, Debug, PartialEq)]
pub struct QuadratSurvey {
    /// Empty for a patch that was sampled as one.
    pub stratum: Arc<str>,
    /// How much of the patch the stratum covers; `None` for a patch sampled as one.
    pub stratum_area: Option<SquareMetres>,
    pub frame: Frame,
    pub quadrats: Vec<Quadrat>,
}

/// What one sampling unit is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Frame {
    /// A frame laid on the ground, of this area.
    Area(SquareMetres),
    /// One plant or tree of a patch whose plants are counted.
    Plant,
}

/// One sampling unit and what stood in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quadrat {
    pub at: Option<GpsPoint>,
    /// Grams or pieces, as the crop is reckoned.
    pub amount: f64,
}

/// A position as a phone gives it, WGS84 degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GpsPoint {
    pub lon: f64,
    pub lat: f64,
    pub accuracy: Metres,
}

/// A survey without its single quadrats: all that the standing crop needs.
#[derive(Clone, Debug, PartialEq)]
pub enum SurveySummary {
    Quadrats(Vec<QuadratSummary>),
}

/// The sufficient statistics of one stratum's quadrats.
#[derive(Clone, Debug, PartialEq)]
pub struct QuadratSummary {
    pub stratum: Arc<str>,
    pub stratum_area: Option<SquareMetres>,
    pub frame: Frame,
    /// Of the amounts per sampling unit.
    pub sample: Sample,
}

impl Survey {
    /// Parts of a survey without a quadrat are left out; intake refuses them earlier.
    pub fn summary(&self) -> SurveySummary {
        match &self.method {
            SurveyMethod::Quadrats(strata) => {
                SurveySummary::Quadrats(strata.iter().filter_map(QuadratSurvey::summary).collect())
            }
        }
    }
}

impl QuadratSurvey {
    fn summary(&self) -> Option<QuadratSummary> {
        let amounts: Vec<f64> = self.quadrats.iter().map(|quadrat| quadrat.amount).collect();
        Some(QuadratSummary {
            stratum: self.stratum.clone(),
            stratum_area: self.stratum_area,
            frame: self.frame,
            sample: Sample::of(&amounts)?,
        })
    }
}
