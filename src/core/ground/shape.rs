//! The ground that may be cut, as a shape: where a quadrat can be put.

use geo::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{
    Area, BooleanOps, Buffer, Coord, Intersects, Line, LinesIter, MinimumRotatedRect,
    MultiLineString, MultiPolygon, Point, Simplify, coord,
};

use super::outline::ROUNDING;
use super::projection::{LocalMetres, short_way_round};
use super::remnant::SLIVER;
use crate::records::Footprint;
use crate::units::{Metres, SquareMetres};

/// The harvestable ground of a patch in local metres, slivers left out.
#[derive(Clone, Debug)]
pub struct HarvestableShape {
    metres: LocalMetres,
    /// One after the other along a hedge; a single one for other patches.
    pub stretches: Vec<Stretch>,
}

/// Ground that runs one way.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// In metres.
    pub ground: MultiPolygon,
    /// The way it runs, a vector of length 1.
    pub along: Coord,
}

impl HarvestableShape {
    /// `left` in `metres`: what may be harvested of the footprint. `None` if that is nothing.
    pub(super) fn of(
        footprint: &Footprint,
        metres: LocalMetres,
        left: MultiPolygon,
    ) -> Option<Self> {
        let stretches = match footprint {
            Footprint::Strip { line, width } => along_the_line(&metres.metres(line), *width, left),
            _ => vec![Stretch { along: longest_way(&left)?, ground: left }],
        };
        (!stretches.is_empty()).then_some(Self { metres, stretches })
    }

    /// Of all its stretches together.
    pub fn area(&self) -> SquareMetres {
        SquareMetres(self.stretches.iter().map(|stretch| stretch.ground.unsigned_area()).sum())
    }

    /// Whether a place in degrees lies in the ground or on its edge.
    pub fn holds(&self, place: Point) -> bool {
        let place = self.metres(place);
        self.stretches.iter().any(|stretch| stretch.ground.intersects(&place))
    }

    /// A place in degrees as metres east and north of the patch's middle.
    pub fn metres(&self, place: Point) -> Coord {
        self.metres.metres(&place).into()
    }

    /// The way back.
    pub fn degrees(&self, offset: Coord) -> Point {
        let place = self.metres.degrees(&Point(offset));
        Point::new(short_way_round(place.x()), place.y())
    }
}

/// Cuts the ground of a strip into a stretch for each part of its line, bends included.
///
/// The line is first freed of wiggles narrower than the strip; each part then takes what lies
/// within reach of it and is not taken yet, so that no ground is lost or counted twice.
fn along_the_line(line: &MultiLineString, width: Metres, ground: MultiPolygon) -> Vec<Stretch> {
    let wiggle = width.0 / 2.0;
    let mut rest = ground;
    let mut stretches = Vec::new();
    for part in line.simplify(wiggle).lines_iter() {
        let Some(along) = direction(part) else { continue };
        let reach = within_reach(part, width.0 / 2.0 + wiggle);
        let ground = rest.intersection(&reach);
        if ground.unsigned_area() >= SLIVER.0 {
            rest = rest.difference(&reach);
            stretches.push(Stretch { ground, along });
        }
    }
    if let Some(along) = longest_way(&rest).filter(|_| rest.unsigned_area() >= SLIVER.0) {
        stretches.push(Stretch { ground: rest, along });
    }
    stretches
}

fn within_reach(part: Line, reach: f64) -> MultiPolygon {
    let style = BufferStyle::new(reach)
        .line_cap(LineCap::Round(ROUNDING))
        .line_join(LineJoin::Round(ROUNDING));
    part.buffer_with_style(style)
}

/// The long side of the smallest rectangle around a shape.
fn longest_way(ground: &MultiPolygon) -> Option<Coord> {
    let around = ground.minimum_rotated_rect()?;
    let long = around.lines_iter().max_by(|a, b| length(*a).total_cmp(&length(*b)))?;
    direction(long)
}

fn direction(line: Line) -> Option<Coord> {
    let length = length(line);
    (length > 0.0).then(|| coord! { x: line.dx() / length, y: line.dy() / length })
}

fn length(line: Line) -> f64 {
    line.dx().hypot(line.dy())
}
