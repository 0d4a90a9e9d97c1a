//! Patches by place.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::OnceLock;

use geo::{
    BoundingRect, Closest, ClosestPoint, Distance, Geodesic, Intersects, MultiPolygon, Point, Rect,
};
use rstar::RTree;

use super::bounds::{Boxed, boxed, envelope, point_box, turned, widened};
use super::outline::footprint_outline;
use super::projection::{LocalMetres, short_way_round};
use super::remnant::shared_ground;
use crate::records::{Footprint, Patch};
use crate::units::{Metres, SquareMetres};

/// A place this close to a patch is in it: no edge is drawn finer, in metres.
const ON_THE_EDGE: f64 = 0.001;

/// An R-tree over patches. They are named by their position in what it was made from.
#[derive(Debug)]
pub struct PatchIndex<'a> {
    patches: Vec<Indexed<'a>>,
    /// A box for each polygon or line of each patch.
    boxes: RTree<Boxed>,
}

#[derive(Debug)]
struct Indexed<'a> {
    patch: &'a Patch,
    /// Made when a question first comes near.
    outline: OnceLock<Cow<'a, MultiPolygon>>,
}

impl<'a> PatchIndex<'a> {
    /// Of patches by their positions in the order given.
    pub fn new(patches: impl IntoIterator<Item = &'a Patch>) -> Self {
        Self::of_boxed(patches.into_iter().map(|patch| (patch, boxes_of(&patch.footprint))))
    }

    /// The same, of patches each with a box for each of its parts.
    pub(crate) fn of_boxed(boxed_patches: impl Iterator<Item = (&'a Patch, Vec<Rect>)>) -> Self {
        let (mut patches, mut boxes) = (Vec::new(), Vec::new());
        for (n, (patch, parts)) in boxed_patches.enumerate() {
            patches.push(Indexed::new(patch));
            boxes.extend(parts.into_iter().filter_map(|part| boxed(part, n)));
        }
        Self { patches, boxes: RTree::bulk_load(boxes) }
    }

    /// The patch at a position that this index has given.
    ///
    /// # Panics
    /// With a position from elsewhere.
    pub fn patch(&self, position: usize) -> &'a Patch {
        self.patches[position].patch
    }

    /// Patches within a distance of a place in degrees, nearest first: geodesic metres to
    /// the nearest place on each, 0 inside it. Those equally far keep their own order.
    pub fn near(&self, lon: f64, lat: f64, within: Metres) -> Vec<(usize, Metres)> {
        self.near_where(Point::new(lon, lat), within, |_| true)
    }

    /// As [`PatchIndex::near`], of the patches that are wanted.
    pub(super) fn near_where(
        &self,
        place: Point,
        within: Metres,
        wanted: impl Fn(&Patch) -> bool,
    ) -> Vec<(usize, Metres)> {
        let window = widened(point_box(place), within);
        let metres = LocalMetres::at(place);
        let mut near: Vec<(usize, Metres)> = self
            .boxed_with(window)
            .into_iter()
            .filter(|&n| wanted(self.patch(n)))
            .filter_map(|n| Some((n, self.patches[n].distance(place, &metres)?)))
            .filter(|(_, distance)| *distance <= within)
            .collect();
        near.sort_by(|(_, a), (_, b)| a.0.total_cmp(&b.0));
        near
    }

    /// Every pair of patches of one crop that share ground, and how much; the first of a
    /// pair is the earlier one. Pieces under [`SLIVER`](super::SLIVER) are not shared ground.
    pub fn overlaps(&self) -> Vec<(usize, usize, SquareMetres)> {
        let meeting = self.boxes.intersection_candidates_with_other_tree(&self.boxes);
        let meeting = meeting.map(|(one, other)| (one.data, other.data));
        let is_same_crop =
            |(one, other): &(usize, usize)| self.patch(*one).crop == self.patch(*other).crop;
        let pairs = meeting.chain(self.over_the_antimeridian()).filter(|(one, other)| one < other);
        let pairs: BTreeSet<(usize, usize)> = pairs.filter(is_same_crop).collect();
        let shared = pairs.into_iter().map(|(one, other)| (one, other, self.shared(one, other)));
        shared.filter(|(.., shared)| shared.0 > 0.0).collect()
    }

    /// Pairs of which one was written down from the other side of the antimeridian.
    fn over_the_antimeridian(&self) -> impl Iterator<Item = (usize, usize)> {
        self.boxes.iter().flat_map(|boxed| {
            let (lower, upper) = (boxed.geom().lower(), boxed.geom().upper());
            let turned = turned(Rect::new(lower, upper)).skip(1);
            let others = turned
                .flat_map(|bounds| self.boxes.locate_in_envelope_intersecting(&envelope(bounds)));
            others.map(|other| (boxed.data, other.data))
        })
    }

    /// The other patches of the same crop that share ground with one, and how much.
    pub fn overlaps_of(&self, position: usize) -> Vec<(usize, SquareMetres)> {
        self.shared_with(position, |other| other != position)
    }

    fn shared_with(
        &self,
        position: usize,
        wanted: impl Fn(usize) -> bool,
    ) -> Vec<(usize, SquareMetres)> {
        let one = &self.patches[position];
        let boxes = boxes_of(&one.patch.footprint);
        let beside: BTreeSet<usize> =
            boxes.into_iter().flat_map(|part| self.boxed_with(part)).collect();
        beside
            .into_iter()
            .filter(|&other| wanted(other) && self.patch(other).crop == one.patch.crop)
            .map(|other| (other, self.shared(position, other)))
            .filter(|(_, shared)| shared.0 > 0.0)
            .collect()
    }

    fn shared(&self, one: usize, other: usize) -> SquareMetres {
        shared_ground(self.patches[one].outline(), self.patches[other].outline())
    }

    /// Positions of the patches whose boxes meet one, each once, in order.
    fn boxed_with(&self, bounds: Rect) -> Vec<usize> {
        let mut positions: Vec<usize> = turned(bounds)
            .flat_map(|bounds| self.boxes.locate_in_envelope_intersecting(&envelope(bounds)))
            .map(|boxed| boxed.data)
            .collect();
        positions.sort_unstable();
        positions.dedup();
        positions
    }
}

/// The ground that two patches share; slivers are none.
pub fn shared_area(one: &Footprint, other: &Footprint) -> SquareMetres {
    shared_ground(&footprint_outline(one), &footprint_outline(other))
}

/// Whether a place in degrees lies on the ground of a patch.
pub fn footprint_holds(ground: &Footprint, lon: f64, lat: f64) -> bool {
    let place = Point::new(lon, lat);
    let metres = LocalMetres::at(place);
    metres.metres(footprint_outline(ground).as_ref()).intersects(&Point::new(0.0, 0.0))
}

impl<'a> Indexed<'a> {
    fn new(patch: &'a Patch) -> Self {
        Self { patch, outline: OnceLock::new() }
    }

    fn outline(&self) -> &MultiPolygon {
        self.outline.get_or_init(|| footprint_outline(&self.patch.footprint))
    }

    /// The nearest place on the patch is sought in metres around the asker, and its distance
    /// taken on the ellipsoid.
    fn distance(&self, place: Point, metres: &LocalMetres) -> Option<Metres> {
        let here = Point::new(0.0, 0.0);
        let nearest = match &self.patch.footprint {
            Footprint::Plants { centre, .. } => *centre,
            _ => match metres.metres(self.outline()).closest_point(&here) {
                Closest::Intersection(_) => return Some(Metres(0.0)),
                Closest::SinglePoint(offset) => metres.degrees(&offset),
                Closest::Indeterminate => return None,
            },
        };
        let nearest = Point::new(short_way_round(nearest.x()), nearest.y());
        let distance = Geodesic.distance(place, nearest);
        Some(Metres(if distance < ON_THE_EDGE { 0.0 } else { distance }))
    }
}

/// A box in degrees for each polygon or line, width and radius included.
pub(crate) fn boxes_of(footprint: &Footprint) -> Vec<Rect> {
    match footprint {
        Footprint::Area(polygons) => {
            polygons.iter().filter_map(BoundingRect::bounding_rect).collect()
        }
        Footprint::Strip { line, width } => line
            .iter()
            .filter_map(BoundingRect::bounding_rect)
            .map(|bounds| widened(bounds, Metres(width.0 / 2.0)))
            .collect(),
        Footprint::Disc { centre, radius } => vec![widened(point_box(*centre), *radius)],
        Footprint::Plants { centre, .. } => vec![point_box(*centre)],
    }
}
