//! Rings that enclose ground.

use geo::algorithm::validation::{InvalidMultiPolygon, InvalidPolygon};
use geo::orient::{Direction, Orient};
use geo::{
    ConvexHull, GeodesicArea, LineString, MultiPolygon, Polygon, RemoveRepeatedPoints, Validation,
};
use serde_json::Value;

use super::positions::{on_one_side, positions};
use super::problem::Finding;

/// A ring needs three corners and the first again.
const FEWEST_POSITIONS: usize = 4;
/// Each hole is compared with every other.
const MOST_RINGS: usize = 200;
/// A ring that encloses less is a slip of the pen, in square metres.
const LEAST_AREA: f64 = 0.01;

/// A polygon of checked rings, the outer one anticlockwise, holes clockwise.
pub(super) fn polygon(value: &Value) -> Result<Polygon, Finding> {
    let rings = value.as_array().map(Vec::as_slice).unwrap_or_default();
    if rings.len() > MOST_RINGS {
        let found = format!("the polygon has {} rings", rings.len());
        return Err(Finding::new(found, format!("{MOST_RINGS} at most; simplify the shape")));
    }
    let mut rings = rings.iter().map(ring).collect::<Result<Vec<_>, _>>()?.into_iter();
    let Some(outer) = rings.next() else {
        return Err(Finding::new(
            "the polygon has no ring",
            "a list of rings, the outer one first",
        ));
    };
    let polygon = Polygon::new(outer, rings.collect());
    polygon.check_validation().map_err(|fault| told(&fault))?;
    Ok(polygon.orient(Direction::Default))
}

fn ring(value: &Value) -> Result<LineString, Finding> {
    let positions = positions(value)?;
    let (Some(first), Some(last)) = (positions.first(), positions.last()) else {
        return Err(Finding::new("a ring is empty", "4 positions or more"));
    };
    if positions.len() < FEWEST_POSITIONS {
        let found = format!("a ring has {} position{}", positions.len(), plural(positions.len()));
        return Err(Finding::new(found, "4 positions or more, the last the same as the first"));
    }
    if first != last {
        return Err(Finding::new(
            format!(
                "a ring is not closed: it starts at `{},{}` and ends at `{},{}`",
                first.x, first.y, last.x, last.y
            ),
            "the first position again at its end",
        ));
    }
    let ring = LineString(positions).remove_repeated_points();
    on_one_side(&ring)?;
    encloses_ground(&ring)?;
    Ok(ring)
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}

/// Goes by the hull, since the two halves of a figure of eight may cancel each other.
fn encloses_ground(ring: &LineString) -> Result<(), Finding> {
    let hull = ring.convex_hull();
    if ring.0.len() < FEWEST_POSITIONS || hull.geodesic_area_unsigned() < LEAST_AREA {
        return Err(Finding::new(
            "a ring encloses no ground",
            "3 different corners or more, not all on one line",
        ));
    }
    Ok(())
}

/// Refuses parts that lie over each other.
pub(super) fn apart(polygons: &MultiPolygon) -> Result<(), Finding> {
    match polygons.check_validation() {
        Ok(()) => Ok(()),
        Err(InvalidMultiPolygon::InvalidPolygon(_, fault)) => Err(told(&fault)),
        Err(_) => Err(Finding::new(
            "two of its parts lie over each other",
            "parts that touch at points only; join those that share ground or an edge",
        )),
    }
}

fn told(fault: &InvalidPolygon) -> Finding {
    match fault {
        InvalidPolygon::SelfIntersection(_) => Finding::new(
            "a ring crosses or touches itself, like a bow tie",
            "a ring whose edges meet at their ends only",
        ),
        InvalidPolygon::InteriorRingNotContainedInExteriorRing(_) => {
            Finding::new("a hole lies outside the ring round it", "holes inside the first ring")
        }
        InvalidPolygon::IntersectingRingsOnALine(..)
        | InvalidPolygon::IntersectingRingsOnAnArea(..) => {
            Finding::new("two rings lie over each other", "holes that touch no other ring's edge")
        }
        InvalidPolygon::TooFewPointsInRing(_) => {
            Finding::new("a ring encloses no ground", "3 different corners or more")
        }
        InvalidPolygon::NonFiniteCoord(..) => {
            Finding::new("a position is not finite", "degrees of longitude and latitude")
        }
    }
}
