//! Ground with its edges indexed, so that most questions about it need no overlay.

use geo::{Intersects, Line, LinesIter, MultiPolygon, Point, Rect};
use rstar::RTree;

use super::bounds::envelope;
use super::centre::is_on_earth;

/// Polygons in degrees, and an R-tree of their edges.
#[derive(Clone, Debug)]
pub(super) struct Region {
    ground: MultiPolygon,
    edges: RTree<Line>,
}

/// How a box lies to a region.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lie {
    Inside,
    Outside,
    /// Some edge of the region runs through the box, or touches it.
    Across,
}

impl Region {
    pub(super) fn new(ground: MultiPolygon) -> Self {
        let ground = if is_on_earth(&ground) { ground } else { MultiPolygon::empty() };
        let edges = RTree::bulk_load(ground.lines_iter().collect());
        Self { ground, edges }
    }

    pub(super) fn ground(&self) -> &MultiPolygon {
        &self.ground
    }

    /// An edge counts as covered.
    pub(super) fn covers(&self, point: Point) -> bool {
        self.ground.intersects(&point)
    }

    pub(super) fn lie_of(&self, bounds: Rect) -> Lie {
        let mut near = self.edges.locate_in_envelope_intersecting(&envelope(bounds));
        if near.any(|edge| bounds.intersects(edge)) {
            Lie::Across
        } else if self.covers(bounds.min().into()) {
            Lie::Inside
        } else {
            Lie::Outside
        }
    }
}
