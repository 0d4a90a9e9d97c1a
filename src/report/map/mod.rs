//! A site as one picture: its boundary, its no-take ground, its patches in their true shape.
//!
//! The numbers on it belong to a key that the caller prints beside it, as text.

mod furniture;
mod ink;
mod label;
mod landmark;
mod legend;
mod outline;
mod view;

use geo::Point;
use maud::{Markup, html};

use crate::ground::site_centre;
use crate::records::{Landmark, Patch, Site, Zone};
use crate::units::counted;
use label::{Label, Of};
use outline::Outlines;
use view::View;

pub use label::sign as landmark_letter;
pub use landmark::somewhere_on as landmark_place;

/// What a map is drawn of.
#[derive(Clone, Copy, Debug)]
pub struct MapOf<'a> {
    /// Whose boundary is drawn.
    pub site: &'a Site,
    /// Ground where nothing is cut.
    pub zones: &'a [&'a Zone],
    /// In the order of their numbers, or of the walk.
    pub patches: &'a [MapPatch<'a>],
    /// On the site or by it.
    pub landmarks: &'a [&'a Landmark],
    /// What the shades mean, for a legend under the map; `None` where all patches are plain.
    pub shading: Option<&'a Shading>,
    /// Where the walk begins, longitude and latitude in degrees; left out where it is far from
    /// the site.
    pub start: Option<Point>,
    /// Whether the patches are walked in the order given; a line then joins them.
    pub walked: bool,
    /// Whether the patches' names stand under the map, where no key is printed beside it.
    pub keyed: bool,
    /// Whether it stands beside its key or on a phone, and has fewer page units.
    pub narrow: bool,
    /// Begins the map's ids, so that a page may hold several; letters and `-`.
    pub id: &'a str,
}

/// One patch on the map.
#[derive(Clone, Debug)]
pub struct MapPatch<'a> {
    /// Its number in the key.
    pub number: usize,
    /// Its shape and its name.
    pub patch: &'a Patch,
    /// How it is filled.
    pub shade: Shade,
    /// What the shade says, for those who do not see it: `48 % of the limit`.
    pub said: String,
}

/// How a patch on a map is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shade {
    /// No value is shown.
    Plain,
    /// The value is not known.
    Unknown,
    /// A step of the shading, lightest first; those past the last count as the last.
    Step(usize),
}

/// What the shades stand for.
#[derive(Clone, Debug)]
pub struct Shading {
    /// `Hardest cut, as a part of what was allowed that day`.
    pub title: String,
    /// A word or two for each step, lightest first; the last is outlined as a warning.
    pub steps: [&'static str; STEPS],
    /// What a patch without a value is said to be; left out where there is none.
    pub unknown: Option<&'static str>,
}

/// How many steps a shading has.
pub const STEPS: usize = 4;

/// Where a place lies on a drawn map: page units from its upper left corner, right and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placing {
    /// Longitude and latitude in degrees of some place on the map.
    pub degrees: Point,
    /// The same place in page units.
    pub units: (f64, f64),
    /// Page units for a degree east, and for a degree north.
    pub units_per_degree: (f64, f64),
    /// Page units for a metre on the ground.
    pub units_per_metre: f64,
}

/// The map as an SVG that stands alone or inside a page; dark where the reader wants it dark.
pub fn site_map(map: &MapOf) -> String {
    placed_site_map(map).0
}

/// The same, with what it takes to put another place on it; `None` where no ground is drawn.
pub fn placed_site_map(map: &MapOf) -> (String, Option<Placing>) {
    let outlines = Outlines::of(map);
    let middle = site_centre(map.site).or_else(|| outlines.somewhere());
    let view = middle.and_then(|middle| View::around(middle, &outlines, map));
    match view {
        Some(view) => (drawn(map, &outlines, &view).into_string(), Some(view.placing())),
        None => (without_ground(map).into_string(), None),
    }
}

fn drawn(map: &MapOf, outlines: &Outlines, view: &View) -> Markup {
    let shapes = outlines.on(view);
    let marks = landmark::on(map.landmarks, view);
    let places: Vec<view::Place> = marks.iter().map(|mark| mark.middle).collect();
    let labels = label::placed(map, &shapes, &outlines.zones_on(view), &places, view);
    let clip = format!("{}-frame", map.id);
    let hatch = format!("{}-no-take", map.id);
    let legend = legend::Legend::of(map, view);
    let height = view.bottom() + legend.height();
    let body = html! {
        (ink::definitions(&hatch, &clip, view))
        rect class="map-paper" fill=(ink::PAPER) width=(ink::width(map.narrow)) height=(height) {}
        g clip-path={ "url(#" (clip) ")" } {
            path class="map-land" fill=(ink::LAND) fill-rule="evenodd" d=(view.path(&outlines.boundary)) {}
            @for (patch, shape) in map.patches.iter().zip(&shapes) { (shape.drawn(patch.shade)) }
            @for zone in &outlines.zones {
                path class="map-zone" fill={ "url(#" (hatch) ")" } stroke=(ink::INK)
                    stroke-width="0.7" stroke-dasharray="2 2" fill-rule="evenodd" d=(view.path(&zone.ground)) {}
            }
            path class="map-edge" fill="none" stroke=(ink::INK) stroke-width="1.6"
                stroke-linejoin="round" d=(view.path(&outlines.boundary)) {}
            @for mark in &marks { (mark.drawn()) }
            @if map.walked { (route(&shapes, view)) }
            @if let Some(start) = view.start { (furniture::start(start)) }
            @for label in &labels { (label.drawn()) }
        }
        (furniture::frame(view))
        (legend.drawn(view, &hatch))
    };
    dressed(map, height, &described(map, outlines.zones.len()), body)
}

/// The way from the start through the patches, under the numbers.
fn route(shapes: &[outline::Shape], view: &View) -> Markup {
    let stops = view.start.into_iter().chain(shapes.iter().map(|shape| shape.middle));
    let points: Vec<String> = stops.map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    html! {
        polyline class="map-route" fill="none" stroke=(ink::ACCENT) stroke-width="1.5"
            stroke-dasharray="6 3" points=(points.join(" ")) {}
    }
}

fn without_ground(map: &MapOf) -> Markup {
    const HEIGHT: f64 = 48.0;
    const WORDS: &str = "No ground is drawn for this site.";
    let body = html! {
        (ink::style())
        rect class="map-paper" fill=(ink::PAPER) width=(ink::width(map.narrow)) height=(HEIGHT) {}
        text class="map-text" fill=(ink::INK) x="10" y="28" font-size="13" { (WORDS) }
    };
    dressed(map, HEIGHT, WORDS, body)
}

fn dressed(map: &MapOf, height: f64, description: &str, body: Markup) -> Markup {
    let (title, desc) = (format!("{}-title", map.id), format!("{}-desc", map.id));
    html! {
        svg class={ "site-map " (if map.narrow { "narrow" } else { "wide" }) } xmlns="http://www.w3.org/2000/svg" role="img"
            aria-labelledby={ (title) " " (desc) } preserveAspectRatio="xMinYMin" width=(ink::width(map.narrow)) height=(rounded(height))
            viewBox={ "0 0 " (ink::width(map.narrow)) " " (rounded(height)) } font-family=(ink::TYPEFACE) {
            title id=(title) { "Map of " (map.site.name) }
            desc id=(desc) { (description) }
            (body)
        }
    }
}

fn described(map: &MapOf, zones: usize) -> String {
    let patches = counted(map.patches.len(), "patch");
    let mut text = format!(
        "The boundary of the site, {} and {patches}{}.",
        counted(zones, "piece") + " of no-take ground",
        if map.walked { ", joined in walking order" } else { "" }
    );
    for (letter, zone) in (1..).map(label::letter).zip(map.zones) {
        text += &format!(" {letter}, no-take ground: {}.", zone.name);
    }
    for (sign, landmark) in (1..).map(label::sign).zip(map.landmarks) {
        text += &format!(" {sign}, {}: {}.", landmark.what.told(), landmark.name);
    }
    for patch in map.patches {
        let said = if patch.said.is_empty() { String::new() } else { format!(": {}", patch.said) };
        text += &format!(" {}, {}{said}.", patch.number, patch.patch.name.patch());
    }
    text
}

fn rounded(length: f64) -> String {
    format!("{length:.0}")
}

impl Label {
    fn drawn(&self) -> Markup {
        let (x, y) = self.middle;
        let (width, height) = self.size;
        html! {
            @for (x1, y1) in &self.leaders {
                line class="map-leader" stroke=(ink::INK) stroke-width="0.8"
                    x1=(at(*x1)) y1=(at(*y1)) x2=(at(x)) y2=(at(y)) {}
            }
            rect class=(if self.of == Of::Zone { "map-zone-label" } else { "map-label" }) fill=(ink::PAPER)
                stroke=(ink::INK) stroke-width="0.8" stroke-dasharray=[(self.of == Of::Zone).then_some("2 2")]
                rx=(if self.of == Of::Landmark { "8" } else { "3" }) x=(at(x - width / 2.0)) y=(at(y - height / 2.0)) width=(at(width)) height=(at(height)) {}
            text class="map-text" fill=(ink::INK) text-anchor="middle" font-size="12" font-weight="bold"
                x=(at(x)) y=(at(y + 4.3)) { (self.text) }
        }
    }
}

/// A length or place on the page, to a tenth of a unit.
fn at(length: f64) -> String {
    format!("{length:.1}")
}
