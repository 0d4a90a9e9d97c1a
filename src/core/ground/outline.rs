//! Footprints as polygons, and shapes with a margin around them.

use std::borrow::Cow;

use geo::buffer::{BufferStyle, LineCap, LineJoin};
use geo::orient::{Direction, Orient};
use geo::{
    BoundingRect, Buffer, Geometry, MultiLineString, MultiPolygon, Point, Polygon, unary_union,
};

use super::centre::{is_on_earth, metres_around};
use crate::records::{Footprint, Zone};
use crate::units::Metres;

/// The angle between two corners of a rounded edge, in radians: it cuts 0.1 % off the radius.
pub(super) const ROUNDING: f64 = 0.1;

/// A reach beyond these, in metres, is a slip of the pen, and is left out.
const LEAST_REACH: f64 = 0.001;
const LARGEST_REACH: f64 = 100_000.0;

/// A shape so much longer than its reach has no width on the grid that the overlay lays
/// over it: a strip of 10 cm may be 100 km long.
const LONGEST_FOR_ITS_REACH: f64 = 1e6;

/// How a line that has been given a width stops.
enum Ends {
    Flat,
    Round,
}

/// The polygons a footprint covers, in degrees; none for counted plants.
///
/// A strip has flat ends and round bends, a disc some sixty sides.
pub fn footprint_outline(footprint: &Footprint) -> Cow<'_, MultiPolygon> {
    match footprint {
        Footprint::Area(polygons) if is_on_earth(polygons) => Cow::Borrowed(polygons),
        Footprint::Strip { line, width } => Cow::Owned(strip(line, *width)),
        Footprint::Disc { centre, radius } => Cow::Owned(disc(*centre, *radius)),
        Footprint::Area(_) | Footprint::Plants { .. } => Cow::Owned(MultiPolygon::empty()),
    }
}

/// The polygons a no-take zone covers, its margin included, in degrees.
pub fn zone_outline(zone: &Zone) -> MultiPolygon {
    with_margin(&zone.shape, zone.buffer)
}

/// The polygons a shape covers, with a margin around it, in degrees. Points and lines
/// without a margin cover none.
pub(super) fn with_margin(shape: &Geometry, margin: Metres) -> MultiPolygon {
    spread(shape, margin.0, Ends::Round).unwrap_or_else(|| without_margin(shape))
}

fn without_margin(shape: &Geometry) -> MultiPolygon {
    if is_on_earth(shape) { unary_union(&polygons_of(shape)) } else { MultiPolygon::empty() }
}

fn strip(line: &MultiLineString, width: Metres) -> MultiPolygon {
    spread(&Geometry::MultiLineString(line.clone()), width.0 / 2.0, Ends::Flat)
        .unwrap_or_else(MultiPolygon::empty)
}

fn disc(centre: Point, radius: Metres) -> MultiPolygon {
    spread(&Geometry::Point(centre), radius.0, Ends::Round).unwrap_or_else(MultiPolygon::empty)
}

/// A shape spread out by `reach` metres, around its own middle; `None` where it cannot be.
fn spread(shape: &Geometry, reach: f64, ends: Ends) -> Option<MultiPolygon> {
    let metres = metres_around(shape)?;
    let shape = metres.metres(shape);
    if !can_spread(&shape, reach) {
        return None;
    }
    let ends = match ends {
        Ends::Flat => LineCap::Butt,
        Ends::Round => LineCap::Round(ROUNDING),
    };
    let style = BufferStyle::new(reach).line_cap(ends).line_join(LineJoin::Round(ROUNDING));
    Some(metres.degrees(&shape.buffer_with_style(style)))
}

fn can_spread(shape: &Geometry, reach: f64) -> bool {
    let longest = shape.bounding_rect().map_or(0.0, |bounds| bounds.width().max(bounds.height()));
    (LEAST_REACH..=LARGEST_REACH).contains(&reach) && longest <= LONGEST_FOR_ITS_REACH * reach
}

/// The polygons in a shape, all turned one way, since parts that overlap must be merged.
fn polygons_of(shape: &Geometry) -> Vec<Polygon> {
    let turned = |polygon: &Polygon| polygon.orient(Direction::Default);
    match shape {
        Geometry::Polygon(polygon) => vec![turned(polygon)],
        Geometry::MultiPolygon(polygons) => polygons.iter().map(turned).collect(),
        Geometry::Rect(rect) => vec![turned(&rect.to_polygon())],
        Geometry::Triangle(triangle) => vec![turned(&triangle.to_polygon())],
        Geometry::GeometryCollection(shapes) => shapes.iter().flat_map(polygons_of).collect(),
        Geometry::Point(_)
        | Geometry::MultiPoint(_)
        | Geometry::Line(_)
        | Geometry::LineString(_)
        | Geometry::MultiLineString(_) => Vec::new(),
    }
}
