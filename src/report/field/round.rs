//! The outline of a patch for a phone: whole steps of degrees, each from the one before.

use geo::{CoordsIter, LineString, MultiPolygon, Simplify};

use crate::ground::footprint_outline;
use crate::records::Footprint;

/// Steps to a degree: about a decimetre northward each.
pub(super) const STEPS: f64 = 1e6;
/// Corners that lie so close to a straight line are left out, in degrees: some half a metre, a
/// tenth of what a phone in the open knows of where it is.
const STRAIGHT: f64 = 5e-6;

/// A ring for each part of the ground, its holes left out: who stands in a hole stands on the
/// patch as far as a phone can tell. Each is longitude and latitude of its first corner in steps,
/// then from corner to corner.
pub(super) fn rings(footprint: &Footprint) -> Vec<Vec<i64>> {
    let ground: MultiPolygon = footprint_outline(footprint).into_owned();
    ground.iter().map(|part| ring(&part.exterior().simplify(STRAIGHT))).collect()
}

fn ring(corners: &LineString) -> Vec<i64> {
    let mut last = (0, 0);
    let steps = corners.coords_iter().map(|corner| {
        let here = ((corner.x * STEPS).round() as i64, (corner.y * STEPS).round() as i64);
        let step = [here.0 - last.0, here.1 - last.1];
        last = here;
        step
    });
    steps.flatten().collect()
}

#[cfg(test)]
mod tests {
    use geo::{LineString, MultiPolygon, Polygon};

    use super::*;

    #[test]
    fn steps_lead_round_the_patch() {
        let corners = vec![(-3.21, 54.05), (-3.209, 54.05), (-3.209, 54.051), (-3.21, 54.05)];
        let ground = Polygon::new(LineString::from(corners), Vec::new());
        let rings = rings(&Footprint::Area(MultiPolygon(vec![ground])));
        assert_eq!(rings, [[-3_210_000, 54_050_000, 1000, 0, 0, 1000, -1000, -1000]]);
    }
}
