//! The ground or the plants that a survey's sample stands for.

use crate::records::{Footprint, Frame};
use crate::units::{Metres, SquareMetres};

/// What of a patch a sample speaks for, in each of the units that frames come in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Harvestable ground.
    pub area: SquareMetres,
    /// Harvestable length of a hedge or verge, `None` for other patches.
    pub length: Option<Metres>,
    /// Plants that may be harvested, where the patch is a count of plants.
    pub plants: Option<u32>,
}

impl Extent {
    /// A strip's length is its harvestable area over its width, so that ground which a zone
    /// takes lengthwise shortens it as much as ground taken across.
    pub fn of(footprint: &Footprint, area: SquareMetres, plants: Option<u32>) -> Self {
        let length = match footprint {
            Footprint::Strip { width, .. } => Some(Metres(area.0 / width.0)),
            _ => None,
        };
        Self { area, length: length.filter(|length| length.0.is_finite()), plants }
    }

    /// How many sampling units the patch holds; `None` where they do not fit it.
    pub fn sampling_units(&self, frame: Frame) -> Option<f64> {
        let units = match (frame, self.plants) {
            (Frame::Area(frame), None) => self.area.0 / frame.0,
            (Frame::Length(frame), None) => self.length?.0 / frame.0,
            (Frame::Plant, Some(plants)) => f64::from(plants),
            _ => return None,
        };
        Some(units).filter(|units| units.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{MultiLineString, Point, line_string};

    #[test]
    fn a_hedge_is_as_long_as_its_harvestable_ground_is_at_its_width() {
        let line = MultiLineString(vec![line_string![(x: 0.0, y: 0.0), (x: 0.0, y: 1.0)]]);
        let hedge = Footprint::Strip { line, width: Metres(1.5) };
        let extent = Extent::of(&hedge, SquareMetres(60.0), None);
        assert_eq!(extent.length, Some(Metres(40.0)));
        assert_eq!(extent.sampling_units(Frame::Length(Metres(2.0))), Some(20.0));
        assert_eq!(extent.sampling_units(Frame::Area(SquareMetres(0.5))), Some(120.0));
        assert_eq!(extent.sampling_units(Frame::Plant), None);
    }

    #[test]
    fn only_a_hedge_has_a_length_and_only_counted_plants_are_sampled_by_the_plant() {
        let trees = Footprint::Plants { centre: Point::new(0.0, 0.0), count: 7 };
        let extent = Extent::of(&trees, SquareMetres(0.0), Some(7));
        assert_eq!(extent.sampling_units(Frame::Plant), Some(7.0));
        assert_eq!(extent.sampling_units(Frame::Length(Metres(2.0))), None);
        assert_eq!(extent.sampling_units(Frame::Area(SquareMetres(0.25))), None);
    }
}
