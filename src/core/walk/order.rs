//! From place to place: the shortest way round, or along a way that is given.

use geo::{ClosestPoint, Coord, Distance, Euclidean, Line, LineString, Point};

use crate::ground::{LocalMetres, geodesic_distance, walking_order};
use crate::units::Metres;

/// Places in the order in which they are walked.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Positions in the list of places.
    pub order: Vec<usize>,
    /// As the crow flies, to each place from the one before; to the first from the start, or
    /// nothing if the walk begins there.
    pub legs: Vec<Metres>,
}

/// A place that a route passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passed {
    /// Its position in the list of places.
    pub place: usize,
    /// From the beginning of the route.
    pub along: Metres,
    /// From the route to the place.
    pub off: Metres,
}

impl Way {
    /// From the start, or the first place, to the last.
    pub fn length(&self) -> Metres {
        Metres(self.legs.iter().map(|leg| leg.0).sum())
    }
}

/// A short way from the start, or from the southernmost place, to all places, in degrees: the
/// shortest one for up to ten of them.
pub fn way(places: &[Point], start: Option<Point>) -> Way {
    let Some(anchor) = start.or(places.first().copied()) else {
        return Way { order: Vec::new(), legs: Vec::new() };
    };
    let metres = LocalMetres::at(anchor);
    let flat: Vec<Coord> = places.iter().map(|place| metres.metres(place).0).collect();
    let order = walking_order(&flat, start.map(|start| metres.metres(&start).0));
    let stops = order.iter().map(|&n| places[n]);
    let before = start.or(stops.clone().next()).into_iter().chain(stops.clone());
    let leg = |(from, to)| geodesic_distance(from, to).unwrap_or_default();
    let legs = before.zip(stops).map(leg).collect();
    Way { order, legs }
}

/// The places within `corridor` of a route, both sides, as one comes by them; each where the
/// route is nearest to it, the first time if it is so more than once.
pub fn along(route: &LineString, corridor: Metres, places: &[Point]) -> Vec<Passed> {
    let before = lengths_before(route);
    let passed = |(n, place): (usize, &Point)| {
        let (along, off) = nearest(route, &before, *place)?;
        (off <= corridor).then_some(Passed { place: n, along, off })
    };
    let mut passed: Vec<Passed> = places.iter().enumerate().filter_map(passed).collect();
    passed.sort_by(|a, b| a.along.0.total_cmp(&b.along.0).then(a.off.0.total_cmp(&b.off.0)));
    passed
}

/// How long the route is up to each of its edges.
fn lengths_before(route: &LineString) -> Vec<Metres> {
    let mut length = 0.0;
    let before = |edge: Line| {
        let here = Metres(length);
        length += edge_length(edge).0;
        here
    };
    route.lines().map(before).collect()
}

fn edge_length(edge: Line) -> Metres {
    geodesic_distance(edge.start_point(), edge.end_point()).unwrap_or_default()
}

/// Where a route is nearest to a place: how far along, and how far off.
fn nearest(route: &LineString, before: &[Metres], place: Point) -> Option<(Metres, Metres)> {
    let metres = LocalMetres::at(place);
    let off = |edge: &Line| {
        let edge = metres.metres(edge);
        let origin = Point::new(0.0, 0.0);
        let at = match edge.closest_point(&origin) {
            geo::Closest::Intersection(at) | geo::Closest::SinglePoint(at) => at,
            geo::Closest::Indeterminate => edge.start_point(),
        };
        let whole = Euclidean.distance(edge.start, edge.end);
        let part = Euclidean.distance(edge.start_point(), at);
        let part = if whole > 0.0 { part / whole } else { 0.0 };
        (part, Euclidean.distance(at, origin))
    };
    let edges = route.lines().zip(before).map(|(edge, before)| (edge, before, off(&edge)));
    let edges = edges.filter(|(_, _, (part, off))| part.is_finite() && off.is_finite());
    let (edge, before, (part, off)) = edges.min_by(|a, b| a.2.1.total_cmp(&b.2.1))?;
    Some((Metres(before.0 + part * edge_length(edge).0), Metres(off)))
}
