//! The ground that is trodden where a patch is picked.

use super::Resistance;
use crate::crop::Extent;
use crate::records::{Footprint, Patch, Underfoot};
use crate::units::SquareMetres;

/// People stand beside a hedge or verge, on a margin of this width in metres along one side.
/// Common practice, no source.
const BESIDE_STRIP: f64 = 1.0;
/// The ground that one person covers, a step and an arm's length each way, in square metres: the
/// room to give each, so that none treads on what the next one picks, and what is trodden around
/// one counted plant. Common practice, no source.
const REACH: f64 = 8.0;

/// The ground on which feet are counted: where it is, and what grows on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TroddenGround {
    /// How much of it there is.
    pub area: SquareMetres,
    /// What grows underfoot; `None` where nobody said.
    pub underfoot: Option<Underfoot>,
    /// How the area was come by.
    pub measured_on: MeasuredOn,
}

/// What the area is counted on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredOn {
    /// As far as a person reaches, around each plant.
    AroundPlants,
    /// A margin along a hedge or verge.
    Margin,
    /// The harvestable ground.
    Harvestable,
}

impl TroddenGround {
    /// Of a patch whose sample speaks for `extent`.
    pub fn of(patch: &Patch, extent: &Extent) -> Self {
        let plants = extent.plants.map(f64::from);
        let (area, measured_on) = match (&patch.footprint, extent.length, plants) {
            (Footprint::Plants { .. }, _, plants) => {
                (plants.unwrap_or(0.0) * REACH, MeasuredOn::AroundPlants)
            }
            (Footprint::Strip { .. }, Some(length), _) => {
                (length.0 * BESIDE_STRIP, MeasuredOn::Margin)
            }
            _ => (extent.area.0, MeasuredOn::Harvestable),
        };
        Self { area: SquareMetres(area), underfoot: patch.underfoot, measured_on }
    }

    /// How many passes it bears.
    pub fn resistance(&self) -> Resistance {
        Resistance::of(self.underfoot)
    }

    /// Whether there is any ground to count feet on.
    pub fn is_some(&self) -> bool {
        self.area.0 > 0.0 && self.area.0.is_finite()
    }

    /// How many people it has room for at once, one at least; `None` where feet wear nothing
    /// away, or where there is no ground.
    pub fn room(&self) -> Option<u32> {
        self.resistance().passes.filter(|_| self.is_some())?;
        Some((self.area.0 / REACH).floor().clamp(1.0, f64::from(u32::MAX)) as u32)
    }
}
