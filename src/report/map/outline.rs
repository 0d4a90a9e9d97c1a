//! What is drawn, as polygons: boundary, zones, patches.

use geo::{BoundingRect, CoordsIter, InteriorPoint, MultiPolygon, Point};
use maud::{Markup, html};

use super::ink::Fill;
use super::view::{Place, View};
use super::{MapOf, Shade, at};
use crate::ground::{centre, footprint_outline, zone_outline};

/// A patch smaller than this on the page, in units, gets a dot.
const SMALLEST: f64 = 7.0;
const DOT: f64 = 4.5;

/// Polygons in degrees.
#[derive(Debug)]
pub(super) struct Outlines {
    pub boundary: MultiPolygon,
    pub zones: Vec<MultiPolygon>,
    pub patches: Vec<PatchOutline>,
}

#[derive(Debug)]
pub(super) struct PatchOutline {
    /// Empty for counted plants.
    pub ground: MultiPolygon,
    /// `None` for a footprint without any position.
    pub middle: Option<Point>,
}

/// A patch on the page.
pub(super) struct Shape {
    path: String,
    pub middle: Place,
    pub size: (f64, f64),
}

impl Outlines {
    pub(super) fn of(map: &MapOf) -> Self {
        let boundary = if on_earth(&map.site.boundary) {
            map.site.boundary.clone()
        } else {
            MultiPolygon::empty()
        };
        let zones = map.zones.iter().map(|zone| zone_outline(zone));
        let patches = map.patches.iter().map(|patch| {
            let footprint = &patch.patch.footprint;
            let ground = footprint_outline(footprint).into_owned();
            let middle = ground.interior_point().or_else(|| centre(footprint));
            PatchOutline { ground, middle }
        });
        Self { boundary, zones: zones.collect(), patches: patches.collect() }
    }

    /// Some place on the map, where the site has no middle of its own.
    pub(super) fn somewhere(&self) -> Option<Point> {
        self.patches.iter().find_map(|patch| patch.middle)
    }

    /// The patches on the page, in their order. Those without a position lie outside it.
    pub(super) fn on(&self, view: &View) -> Vec<Shape> {
        let shape = |patch: &PatchOutline| Shape {
            path: view.path(&patch.ground),
            middle: patch.middle.map_or((-1.0, -1.0), |middle| view.place(middle)),
            size: patch.ground.bounding_rect().map_or((0.0, 0.0), |bounds| view.size(bounds)),
        };
        self.patches.iter().map(shape).collect()
    }
}

fn on_earth(ground: &MultiPolygon) -> bool {
    ground.coords_iter().all(|place| place.x.is_finite() && place.y.is_finite())
}

impl Shape {
    pub(super) fn drawn(&self, shade: Shade) -> Markup {
        let Fill { class, fill, stroke, stroke_width, dashes } = Fill::of(shade);
        let (x, y) = self.middle;
        let is_small = self.size.0.max(self.size.1) < SMALLEST;
        html! {
            @if !self.path.is_empty() {
                path class=(class) fill=(fill) stroke=(stroke) stroke-width=(stroke_width)
                    stroke-dasharray=[dashes] stroke-linejoin="round" fill-rule="evenodd"
                    d=(self.path) {}
            }
            @if is_small {
                circle class=(class) fill=(fill) stroke=(stroke) stroke-width=(stroke_width)
                    stroke-dasharray=[dashes] cx=(at(x)) cy=(at(y)) r=(DOT) {}
            }
        }
    }
}
