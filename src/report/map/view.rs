//! From degrees to the page.

use geo::{BoundingRect, LineString, MapCoords, MultiPolygon, Point, Rect, coord};

use super::ink;
use super::landmark::somewhere_on;
use super::outline::Outlines;
use super::{MapOf, Placing};
use crate::ground::LocalMetres;

/// Right of the page's left edge, down from its top.
pub(super) type Place = (f64, f64);

/// Left for the figures of latitude.
const LEFT: f64 = 24.0;
const RIGHT: f64 = 6.0;
const TOP: f64 = 6.0;
const LOWEST: f64 = 200.0;
const HIGHEST: f64 = 400.0;
const HIGHEST_NARROW: f64 = 260.0;
/// Air around the site, as a part of its longer side.
const AIR: f64 = 0.05;
/// A site is drawn as if it were at least this wide, in metres.
const LEAST_EXTENT: f64 = 20.0;
/// A start or a landmark further off than this many widths of the site is left out.
const FURTHEST_START: f64 = 1.0;

#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    metres: LocalMetres,
    /// The metres that the frame shows.
    shown: Rect,
    pub units_per_metre: f64,
    width: f64,
    height: f64,
    /// Where the walk begins, if that is on the map.
    pub start: Option<Place>,
}

impl View {
    /// `None` where nothing has a position.
    pub(super) fn around(middle: Point, outlines: &Outlines, map: &MapOf) -> Option<Self> {
        let metres = LocalMetres::at(middle);
        let ground = std::iter::once(&outlines.boundary)
            .chain(outlines.patches.iter().map(|patch| &patch.ground))
            .filter_map(|ground| metres.metres(ground).bounding_rect());
        let dots = outlines.patches.iter().filter_map(|patch| patch.middle);
        let dots = dots.map(|dot| dot_at(metres.metres(&dot)));
        let bounds = ground.chain(dots).filter(is_finite).reduce(union)?;
        let landmarks = map.landmarks.iter().filter_map(|landmark| somewhere_on(landmark));
        let landmarks = landmarks.map(|place| dot_at(metres.metres(&place)));
        let near = landmarks.filter(|place| is_finite(place) && is_near(bounds, *place));
        let bounds = near.fold(bounds, union);
        let start = map.start.map(|start| dot_at(metres.metres(&start)));
        let start = start.filter(|start| is_finite(start) && is_near(bounds, *start));
        let bounds = with_air(start.map_or(bounds, |start| union(bounds, start)));
        let begins = map.start.filter(|_| start.is_some());
        let width = ink::width(map.narrow) - LEFT - RIGHT;
        let highest = if map.narrow { HIGHEST_NARROW } else { HIGHEST };
        let height = (width * bounds.height() / bounds.width()).clamp(LOWEST, highest);
        let units_per_metre = (width / bounds.width()).min(height / bounds.height());
        let view = Self { metres, shown: bounds, units_per_metre, width, height, start: None };
        Some(Self { start: begins.map(|begins| view.place(begins)), ..view })
    }

    /// Its upper left corner, its width and height.
    pub(super) fn frame(&self) -> (Place, (f64, f64)) {
        ((LEFT, TOP), (self.width, self.height))
    }

    /// The page's right edge.
    pub(super) fn right(&self) -> f64 {
        LEFT + self.width + RIGHT
    }

    /// The frame's lower edge.
    pub(super) fn bottom(&self) -> f64 {
        TOP + self.height
    }

    pub(super) fn metres(&self, degrees: &MultiPolygon) -> MultiPolygon {
        self.metres.metres(degrees)
    }

    pub(super) fn place(&self, degrees: Point) -> Place {
        let offset = self.metres.metres(&degrees);
        self.on_page(offset.x(), offset.y())
    }

    /// The projection is the same all over the map, so that one place and its scale tell all.
    pub(super) fn placing(&self) -> Placing {
        const STEP: f64 = 0.01;
        let degrees = self.corners().0;
        let units = self.place(degrees);
        let east = self.place((degrees.x() + STEP, degrees.y()).into()).0;
        let north = self.place((degrees.x(), degrees.y() + STEP).into()).1;
        let units_per_degree = ((east - units.0) / STEP, (north - units.1) / STEP);
        Placing { degrees, units, units_per_degree, units_per_metre: self.units_per_metre }
    }

    fn on_page(&self, east: f64, north: f64) -> Place {
        let middle = self.shown.center();
        let (frame_x, frame_y) = (LEFT + self.width / 2.0, TOP + self.height / 2.0);
        (
            frame_x + (east - middle.x) * self.units_per_metre,
            frame_y - (north - middle.y) * self.units_per_metre,
        )
    }

    /// Degrees east and north at the frame's lower left and upper right corners.
    pub(super) fn corners(&self) -> (Point, Point) {
        let middle = self.shown.center();
        let (_, (width, height)) = self.frame();
        let reach = coord! { x: width, y: height } / (2.0 * self.units_per_metre);
        (self.metres.degrees(&Point(middle - reach)), self.metres.degrees(&Point(middle + reach)))
    }

    /// Width and height of a box in degrees, on the page.
    pub(super) fn size(&self, degrees: Rect) -> (f64, f64) {
        let (low, high) = (self.place(degrees.min().into()), self.place(degrees.max().into()));
        ((high.0 - low.0).abs(), (high.1 - low.1).abs())
    }

    /// The same ground in page units.
    pub(super) fn on_paper(&self, ground: &MultiPolygon) -> MultiPolygon {
        ground.map_coords(|corner| self.place(corner.into()).into())
    }

    /// The data of an SVG path; corners that fall together on the page are one.
    pub(super) fn path(&self, ground: &MultiPolygon) -> String {
        let rings = ground
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
        rings.map(|ring| self.ring(ring)).collect()
    }

    fn ring(&self, ring: &LineString) -> String {
        let mut corners: Vec<String> = ring
            .points()
            .map(|corner| self.place(corner))
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|(x, y)| format!("{x:.1} {y:.1}"))
            .collect();
        corners.dedup();
        if corners.is_empty() { String::new() } else { format!("M{}Z", corners.join("L")) }
    }
}

fn dot_at(offset: Point) -> Rect {
    Rect::new(offset, offset)
}

fn is_finite(bounds: &Rect) -> bool {
    let (low, high) = (bounds.min(), bounds.max());
    [low.x, low.y, high.x, high.y].iter().all(|length| length.is_finite())
}

fn union(one: Rect, other: Rect) -> Rect {
    let (a, b, c, d) = (one.min(), one.max(), other.min(), other.max());
    Rect::new(
        coord! { x: a.x.min(c.x), y: a.y.min(c.y) },
        coord! { x: b.x.max(d.x), y: b.y.max(d.y) },
    )
}

fn longer_side(bounds: Rect) -> f64 {
    bounds.width().max(bounds.height()).max(LEAST_EXTENT)
}

fn is_near(bounds: Rect, start: Rect) -> bool {
    let reach = FURTHEST_START * longer_side(bounds);
    let (low, high, place) = (bounds.min(), bounds.max(), start.min());
    (low.x - reach..=high.x + reach).contains(&place.x)
        && (low.y - reach..=high.y + reach).contains(&place.y)
}

/// Never narrower than the least extent, and never without any height.
fn with_air(bounds: Rect) -> Rect {
    let longer = longer_side(bounds);
    let middle = bounds.center();
    let half = |side: f64| side.max(LEAST_EXTENT / 2.0) / 2.0 + AIR * longer;
    let by = coord! { x: half(bounds.width()), y: half(bounds.height()) };
    Rect::new(middle - by, middle + by)
}
