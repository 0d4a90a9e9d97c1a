//! A survey drawn by chance: quadrats on the hidden stand, put through the book's own method.

use super::Draws;
use crate::crop::{Extent, standing_crop};
use crate::estimate::{Estimate, Sample};
use crate::records::{Frame, MethodSummary, Placement, StratumSummary, SurveySummary};
use crate::units::{Metres, SquareMetres};

/// The sampling unit where the patch is ground, or a length.
const QUADRAT: Frame = Frame::Area(SquareMetres(0.25));
const STRETCH: Frame = Frame::Length(Metres(2.0));

/// Two show a spread; more than so many would not be drawn in the time there is.
const FEWEST: usize = 2;
const MOST: usize = 100;

/// How a patch is sampled, and how unevenly it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quadrats {
    /// How many quadrats.
    pub n: usize,
    /// Coefficient of variation from quadrat to quadrat.
    pub cv: f64,
    /// What the truth is multiplied by: over 1 for quadrats put where the plants are good.
    pub factor: f64,
}

impl Quadrats {
    /// What a survey of `standing` finds; `None` where the extent holds nothing to sample.
    pub fn survey(&self, standing: f64, extent: &Extent, draws: &mut Draws) -> Option<Estimate> {
        let frame = match extent {
            Extent { plants: Some(_), .. } => Frame::Plant,
            Extent { length: Some(_), .. } => STRETCH,
            _ => QUADRAT,
        };
        let units = extent.sampling_units(frame).filter(|units| *units > 0.0)?;
        let in_each = self.factor * standing / units;
        let amounts: Vec<f64> =
            (0..self.n.clamp(FEWEST, MOST)).map(|_| in_each * self.draw(draws)).collect();
        let sample = Sample::of(&amounts)?;
        let stratum = StratumSummary { name: "".into(), area: None, frame, sample };
        let method = MethodSummary::Quadrats(vec![stratum]);
        standing_crop(&SurveySummary { placement: Placement::NotSaid, ripe: None, method }, extent)
    }

    fn draw(&self, draws: &mut Draws) -> f64 {
        if self.cv > 0.0 { draws.gamma(self.cv) } else { 1.0 }
    }
}
