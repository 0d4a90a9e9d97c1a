//! Landmarks: paths and other lines as they run, places as a dot, what is dangerous as a triangle.

use geo::{BoundingRect, Coord, CoordsIter, Geometry, InteriorPoint, LineString, Point};
use maud::{Markup, html};

use super::view::{Place, View};
use super::{at, ink};
use crate::records::{Landmark, LandmarkKind};

/// A landmark on the page.
pub(super) struct Mark {
    pub middle: Place,
    what: LandmarkKind,
    /// The data of a path, where it is more than a place.
    line: String,
}

/// In their order; those without a position lie outside the page.
pub(super) fn on(landmarks: &[&Landmark], view: &View) -> Vec<Mark> {
    landmarks.iter().map(|landmark| Mark::of(landmark, view)).collect()
}

/// Where a landmark is, in degrees: a place on it.
pub fn somewhere_on(landmark: &Landmark) -> Option<Point> {
    let on_it = match &landmark.shape {
        Geometry::LineString(line) => middle_of(line),
        other => other.interior_point(),
    };
    let first = || landmark.shape.coords_iter().next().map(Point);
    on_it.or_else(first).filter(|place| place.x().is_finite() && place.y().is_finite())
}

/// A corner of it, so that its sign stands on it.
fn middle_of(line: &LineString) -> Option<Point> {
    line.0.get(line.0.len() / 2).copied().map(Point)
}

impl Mark {
    fn of(landmark: &Landmark, view: &View) -> Self {
        const NOWHERE: Place = (f64::NAN, f64::NAN);
        let has_extent = landmark.shape.bounding_rect().is_some_and(|bounds| {
            let (width, height) = view.size(bounds);
            width.max(height) > 1.0
        });
        Self {
            middle: somewhere_on(landmark).map_or(NOWHERE, |place| view.place(place)),
            what: landmark.what,
            line: if has_extent { lines(&landmark.shape, view) } else { String::new() },
        }
    }

    pub(super) fn drawn(&self) -> Markup {
        html! {
            @if !self.line.is_empty() {
                path class="map-way" fill="none" stroke=(ink::WAY) stroke-width="2.2"
                    stroke-linejoin="round" stroke-linecap="round" d=(self.line) {}
            }
            @if self.middle.0.is_finite() { (sign(self.what, self.middle)) }
        }
    }
}

/// What stands at a landmark's place, by its kind.
pub(super) fn sign(what: LandmarkKind, (x, y): Place) -> Markup {
    match what {
        LandmarkKind::Hazard => html! {
            path class="map-landmark" fill=(ink::PAPER) stroke=(ink::INK) stroke-width="1.4"
                stroke-linejoin="round" d={ "M" (at(x)) " " (at(y - 6.0)) "l6 10.5h-12z" } {}
            path class="map-edge" fill="none" stroke=(ink::INK) stroke-width="1.4" stroke-linecap="round"
                d={ "M" (at(x)) " " (at(y - 2.5)) "v3.4m0 2v0.1" } {}
        },
        LandmarkKind::Path => html! {
            circle class="map-landmark" fill=(ink::PAPER) stroke=(ink::WAY) stroke-width="1.2" cx=(at(x)) cy=(at(y)) r="2" {}
        },
        _ => html! {
            circle class="map-landmark" fill=(ink::PAPER) stroke=(ink::INK) stroke-width="1.4" cx=(at(x)) cy=(at(y)) r="4" {}
        },
    }
}

/// Every line and ring of the shape.
fn lines(shape: &Geometry, view: &View) -> String {
    match shape {
        Geometry::LineString(line) => run(line.coords(), view),
        Geometry::MultiLineString(all) => all.iter().map(|line| run(line.coords(), view)).collect(),
        Geometry::Polygon(one) => run(one.exterior().coords(), view),
        Geometry::MultiPolygon(all) => {
            all.iter().map(|one| run(one.exterior().coords(), view)).collect()
        }
        Geometry::GeometryCollection(all) => all.iter().map(|one| lines(one, view)).collect(),
        _ => String::new(),
    }
}

fn run<'a>(corners: impl Iterator<Item = &'a Coord>, view: &View) -> String {
    let places = corners.map(|corner| view.place((*corner).into()));
    let finite = places.filter(|(x, y)| x.is_finite() && y.is_finite());
    let mut places: Vec<String> = finite.map(|(x, y)| format!("{x:.1} {y:.1}")).collect();
    places.dedup();
    if places.len() < 2 { String::new() } else { format!("M{}", places.join("L")) }
}
