//! What is drawn, as polygons: boundary, zones, patches.

use geo::{
    Area, BoundingRect, CoordsIter, InteriorPoint, Intersects, LinesIter, MultiPolygon, Point, Rect,
};
use maud::{Markup, html};

use super::ink::Fill;
use super::view::{Place, View};
use super::{MapOf, Shade, at};
use crate::ground::{centre, footprint_outline, zone_outline};

/// A patch smaller than this on the page, in units, gets a dot.
const SMALLEST: f64 = 7.0;
const DOT: f64 = 4.5;
/// One narrower than this, in units, is drawn as a band of this width, so that its shade shows.
const NARROWEST: f64 = 5.0;

/// Polygons in degrees.
#[derive(Debug)]
pub(super) struct Outlines {
    pub boundary: MultiPolygon,
    pub zones: Vec<PatchOutline>,
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
    /// The middle and size of its box.
    pub around: (Place, (f64, f64)),
    /// A place inside each of its parts; none for counted plants.
    pub parts: Vec<Place>,
    /// How wide its parts are, about.
    pub breadth: f64,
    outline: MultiPolygon,
}

impl Outlines {
    pub(super) fn of(map: &MapOf) -> Self {
        let boundary = if on_earth(&map.site.boundary) {
            map.site.boundary.clone()
        } else {
            MultiPolygon::empty()
        };
        let zones = map.zones.iter().map(|zone| {
            let ground = zone_outline(zone);
            PatchOutline { middle: ground.interior_point(), ground }
        });
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
        self.patches.iter().map(|patch| Shape::of(patch, view)).collect()
    }

    pub(super) fn zones_on(&self, view: &View) -> Vec<Shape> {
        self.zones.iter().map(|zone| Shape::of(zone, view)).collect()
    }
}

impl Shape {
    /// A place without extent.
    pub(super) fn of_place(middle: Place) -> Self {
        Self {
            path: String::new(),
            middle,
            around: (middle, (0.0, 0.0)),
            parts: Vec::new(),
            breadth: 0.0,
            outline: MultiPolygon::empty(),
        }
    }

    fn of(patch: &PatchOutline, view: &View) -> Self {
        let middle = patch.middle.map_or((-1.0, -1.0), |middle| view.place(middle));
        let parts = patch.ground.iter().filter_map(|part| part.interior_point());
        Self {
            path: view.path(&patch.ground),
            middle,
            parts: parts.map(|part| view.place(part)).collect(),
            around: patch.ground.bounding_rect().map_or((middle, (0.0, 0.0)), |bounds| {
                (view.place(bounds.center().into()), view.size(bounds))
            }),
            breadth: breadth(&view.metres(&patch.ground)) * view.units_per_metre,
            outline: view.on_paper(&patch.ground),
        }
    }

    /// Whether a box would hide some of it.
    pub(super) fn meets(&self, field: &Rect) -> bool {
        self.outline.intersects(field)
    }
}

fn on_earth(ground: &MultiPolygon) -> bool {
    ground.coords_iter().all(|place| place.x.is_finite() && place.y.is_finite())
}

/// About how wide the parts of a shape in metres are: exact for a long strip.
fn breadth(ground: &MultiPolygon) -> f64 {
    let edges: f64 = ground.lines_iter().map(|edge| edge.dx().hypot(edge.dy())).sum();
    if edges > 0.0 { 2.0 * ground.unsigned_area() / edges } else { 0.0 }
}

impl Shape {
    pub(super) fn drawn(&self, shade: Shade) -> Markup {
        let fill = Fill::of(shade);
        let (_, size) = self.around;
        let is_small = size.0.max(size.1) < SMALLEST;
        html! {
            @if is_small || self.path.is_empty() {
                (self.dot(fill))
            } @else if self.breadth < NARROWEST {
                (self.band(fill))
            } @else {
                path class={ "map-patch " (fill.class) } fill=(fill.fill) stroke=(fill.line)
                    stroke-width=(fill.line_width) stroke-dasharray=[fill.dashes]
                    stroke-linejoin="round" fill-rule="evenodd" d=(self.path) {}
            }
        }
    }

    fn dot(&self, fill: Fill) -> Markup {
        let (x, y) = self.middle;
        html! {
            circle class={ "map-patch " (fill.class) } fill=(fill.fill) stroke=(fill.line)
                stroke-width=(fill.line_width) stroke-dasharray=[fill.dashes]
                cx=(at(x)) cy=(at(y)) r=(DOT) {}
        }
    }

    /// A narrow patch: a band of its fill upon a wider one of its line.
    fn band(&self, fill: Fill) -> Markup {
        let width = NARROWEST - self.breadth;
        let casing = width + 2.0 * fill.line_width;
        html! {
            path class={ "map-casing " (fill.class) } fill="none" stroke=(fill.line)
                stroke-width=(at(casing)) stroke-dasharray=[fill.dashes]
                stroke-linejoin="round" d=(self.path) {}
            path class={ "map-band " (fill.class) } fill=(fill.fill) stroke=(fill.fill)
                stroke-width=(at(width)) stroke-linejoin="round" d=(self.path) {}
        }
    }
}
