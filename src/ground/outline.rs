//! Footprints as polygons, and shapes with a margin around them.

use std::borrow::Cow;

use geo::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{Buffer, Geometry, MultiLineString, MultiPolygon, Point, unary_union};

use super::centre::{is_on_earth, metres_around};
use crate::records::Footprint;
use crate::units::Metres;

/// The angle between two corners of a rounded edge, in radians: it cuts 0.1 % off the radius.
const ROUNDING: f64 = 0.1;

/// A reach beyond these, in metres, is a slip of the pen, and covers no ground here.
const LEAST_REACH: f64 = 0.001;
const LARGEST_REACH: f64 = 100_000.0;

/// How a line that has been given a width stops.
enum Ends {
    Flat,
    Round,
}

/// The polygons a footprint covers, in degrees; none for counted plants.
///
/// A strip has flat ends and round bends, a disc some sixty sides.
pub(super) fn outline(footprint: &Footprint) -> Cow<'_, MultiPolygon> {
    match footprint {
        Footprint::Area(polygons) if is_on_earth(polygons) => Cow::Borrowed(polygons),
        Footprint::Strip { line, width } => Cow::Owned(strip(line, *width)),
        Footprint::Disc { centre, radius } => Cow::Owned(disc(*centre, *radius)),
        Footprint::Area(_) | Footprint::Plants { .. } => Cow::Owned(MultiPolygon::empty()),
    }
}

/// The polygons a shape covers, with a margin around it, in degrees. Points and lines
/// without a margin cover none.
pub(super) fn with_margin(shape: &Geometry, margin: Metres) -> MultiPolygon {
    if margin.0 >= LEAST_REACH {
        spread(shape, margin.0, Ends::Round)
    } else if is_on_earth(shape) {
        polygons_of(shape)
    } else {
        MultiPolygon::empty()
    }
}

fn strip(line: &MultiLineString, width: Metres) -> MultiPolygon {
    spread(&Geometry::MultiLineString(line.clone()), width.0 / 2.0, Ends::Flat)
}

fn disc(centre: Point, radius: Metres) -> MultiPolygon {
    spread(&Geometry::Point(centre), radius.0, Ends::Round)
}

/// A shape spread out by `reach` metres, around its own middle.
fn spread(shape: &Geometry, reach: f64, ends: Ends) -> MultiPolygon {
    let possible = (LEAST_REACH..=LARGEST_REACH).contains(&reach);
    let Some(metres) = metres_around(shape).filter(|_| possible) else {
        return MultiPolygon::empty();
    };
    let ends = match ends {
        Ends::Flat => LineCap::Butt,
        Ends::Round => LineCap::Round(ROUNDING),
    };
    let style = BufferStyle::new(reach).line_cap(ends).line_join(LineJoin::Round(ROUNDING));
    metres.degrees(&metres.metres(shape).buffer_with_style(style))
}

/// The polygons in a shape; those of a collection may overlap, so they are merged.
fn polygons_of(shape: &Geometry) -> MultiPolygon {
    match shape {
        Geometry::Polygon(polygon) => polygon.clone().into(),
        Geometry::MultiPolygon(polygons) => polygons.clone(),
        Geometry::Rect(rect) => rect.to_polygon().into(),
        Geometry::Triangle(triangle) => triangle.to_polygon().into(),
        Geometry::GeometryCollection(shapes) => {
            unary_union(&shapes.iter().map(polygons_of).collect::<Vec<_>>())
        }
        Geometry::Point(_)
        | Geometry::MultiPoint(_)
        | Geometry::Line(_)
        | Geometry::LineString(_)
        | Geometry::MultiLineString(_) => MultiPolygon::empty(),
    }
}
