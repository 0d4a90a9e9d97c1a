//! Boxes in degrees, widened by metres: what the R-trees hold and are asked for.

use geo::{Point, Rect, coord};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree, RTreeObject};

use crate::units::Metres;

/// A box with the place in a list of what it stands for.
pub(super) type Boxed = GeomWithData<Rectangle<Point>, usize>;

/// The shortest degrees on WGS84: of latitude and of longitude, both at the equator.
const LEAST_METRES_PER_DEGREE_NORTH: f64 = 110_574.0;
const LEAST_METRES_PER_DEGREE_EAST: f64 = 111_319.0;

const POLE: f64 = 90.0;
const HALF_TURN: f64 = 180.0;
const FULL_TURN: f64 = 360.0;

/// A shape further east or west than this may reach over the antimeridian, in degrees.
const NEAR_ANTIMERIDIAN: f64 = 170.0;

pub(super) fn envelope(bounds: Rect) -> AABB<Point> {
    AABB::from_corners(bounds.min().into(), bounds.max().into())
}

/// `None` for a box that an R-tree could not sort.
pub(super) fn boxed(bounds: Rect, stands_for: usize) -> Option<Boxed> {
    let corners = [bounds.min().x, bounds.min().y, bounds.max().x, bounds.max().y];
    let rectangle = || Rectangle::from_corners(bounds.min().into(), bounds.max().into());
    corners.iter().all(|c| c.is_finite()).then(|| GeomWithData::new(rectangle(), stands_for))
}

/// For each box, whether it meets another.
pub(crate) fn boxes_that_meet(boxes: &[Option<Rect>]) -> Vec<bool> {
    let of_box = |(n, bounds): (usize, &Option<Rect>)| boxed((*bounds)?, n);
    let tree = RTree::bulk_load(boxes.iter().enumerate().filter_map(of_box).collect());
    let meets = |(n, bounds): (usize, &Option<Rect>)| {
        let Some(own) = of_box((n, bounds)) else { return false };
        tree.locate_in_envelope_intersecting(&own.geom().envelope()).any(|other| other.data != n)
    };
    boxes.iter().enumerate().map(meets).collect()
}

/// A box that holds every place within `reach` of the given one. It is never too small; it
/// holds every longitude where the reach includes a pole.
pub(super) fn widened(bounds: Rect, reach: Metres) -> Rect {
    let reach = reach.0.max(0.0);
    let north = reach / LEAST_METRES_PER_DEGREE_NORTH;
    let furthest = bounds.min().y.abs().max(bounds.max().y.abs()) + north;
    let east = if furthest < POLE {
        (reach / (LEAST_METRES_PER_DEGREE_EAST * furthest.to_radians().cos())).min(HALF_TURN)
    } else {
        HALF_TURN
    };
    let by = coord! { x: east, y: north };
    Rect::new(bounds.min() - by, bounds.max() + by)
}

/// A box at its place and, close to the antimeridian, a turn to the west and to the east of
/// it: what is near may have been written down from either side.
pub(super) fn turned(bounds: Rect) -> impl Iterator<Item = Rect> {
    let furthest = bounds.min().x.abs().max(bounds.max().x.abs());
    let turns: &[f64] =
        if furthest < NEAR_ANTIMERIDIAN { &[0.0] } else { &[0.0, -FULL_TURN, FULL_TURN] };
    turns.iter().map(move |&turn| {
        let by = coord! { x: turn, y: 0.0 };
        Rect::new(bounds.min() + by, bounds.max() + by)
    })
}

pub(super) fn point_box(point: Point) -> Rect {
    Rect::new(point, point)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Destination, Geodesic};

    #[test]
    fn a_wide_box_is_turned_if_either_end_of_it_comes_near_the_antimeridian() {
        let turns = |west: f64, east: f64| turned(Rect::new((west, 0.0), (east, 1.0))).count();
        assert_eq!([turns(100.0, 179.9), turns(-179.9, -100.0), turns(-10.0, 10.0)], [3, 3, 1]);
    }

    #[test]
    fn a_widened_box_holds_every_place_within_reach() {
        for lat in [-89.0, -60.0, 0.0, 54.0, 75.0, 88.9] {
            for reach in [5.0, 800.0, 50_000.0] {
                let middle = Point::new(10.0, lat);
                let wide = widened(point_box(middle), Metres(reach));
                for bearing in (0..360).step_by(5) {
                    let rim = Geodesic.destination(middle, f64::from(bearing), reach);
                    assert!(
                        (wide.min().x..=wide.max().x).contains(&rim.x())
                            && (wide.min().y..=wide.max().y).contains(&rim.y()),
                        "{reach} m at {lat}, bearing {bearing}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_reach_over_the_pole_holds_every_longitude() {
        let wide = widened(point_box(Point::new(10.0, 89.999)), Metres(800.0));
        assert_eq!((wide.min().x, wide.max().x), (-170.0, 190.0));
    }
}
