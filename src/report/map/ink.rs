//! Colours and patterns of the map, each with what it becomes where the reader wants it dark.
//!
//! The palette is that of the plots. Each colour stands as an attribute too, for readers that
//! know no style sheets. Shades differ in lightness, so that they stay apart in a grey print.

use maud::{Markup, PreEscaped, html};

use super::view::View;
use super::{STEPS, Shade};

/// Page units. 600 of them fill a printed page; a phone shows them at their own size in a frame
/// that scrolls.
const WIDE: f64 = 600.0;
/// As many fill a phone, or the half of a printed page beside a key.
const NARROW: f64 = 350.0;
/// Of all lettering: 7.5 pt in print and 11 px on a phone are the least that people read.
pub(super) const LETTERING: f64 = 11.0;

pub(super) fn width(narrow: bool) -> f64 {
    if narrow { NARROW } else { WIDE }
}

pub(super) const TYPEFACE: &str = "Helvetica, Arial, sans-serif";
pub(super) const PAPER: &str = "#ffffff";
pub(super) const INK: &str = "#1a1a1a";
pub(super) const QUIET: &str = "#545454";
pub(super) const LAND: &str = "#f1f2ec";
pub(super) const ACCENT: &str = "#0b4f76";
/// Paths, ditches and other landmarks that run along.
pub(super) const WAY: &str = "#7a4a12";
const OVER: &str = "#a80034";
const STEP: [&str; STEPS] = ["#ffffff", "#d4e4ef", "#6fa3c4", "#0b4f76"];

/// In a dark page light takes the place of dark: the last step stands out most in both.
const STYLE: &str = ".site-map{--map-paper:#ffffff;--map-ink:#1a1a1a;--map-quiet:#545454;\
--map-land:#f1f2ec;--map-accent:#0b4f76;--map-over:#a80034;--map-way:#7a4a12;--map-0:#ffffff;--map-1:#d4e4ef;\
--map-2:#6fa3c4;--map-3:#0b4f76}\
@media screen and (prefers-color-scheme:dark){.site-map{--map-paper:#15191c;--map-ink:#ebe8e1;\
--map-quiet:#b4b6b4;--map-land:#20262a;--map-accent:#8cc4e8;--map-over:#ff8fa8;--map-way:#e0b070;--map-0:#15191c;\
--map-1:#24455a;--map-2:#4a8ab3;--map-3:#b5dcf5}}\
.map-paper{fill:var(--map-paper)}.map-land{fill:var(--map-land)}\
.map-edge,.map-leader,.map-hatch,.map-zone{stroke:var(--map-ink)}\
.map-label,.map-zone-label{fill:var(--map-paper);stroke:var(--map-ink)}\
.map-text{fill:var(--map-ink)}.map-quiet{fill:var(--map-quiet)}\
.map-rule{stroke:var(--map-quiet)}.map-route{stroke:var(--map-accent)}\
.map-start{fill:var(--map-accent);stroke:var(--map-paper)}\
.map-solid{fill:var(--map-ink)}.map-way{stroke:var(--map-way)}\
.map-landmark{fill:var(--map-paper);stroke:var(--map-ink)}\
.map-patch{fill:var(--fill);stroke:var(--line)}.map-casing{stroke:var(--line)}\
.map-band{fill:var(--fill);stroke:var(--fill)}\
.map-0{--fill:var(--map-0);--line:var(--map-ink)}.map-1{--fill:var(--map-1);--line:var(--map-ink)}\
.map-2{--fill:var(--map-2);--line:var(--map-ink)}.map-3{--fill:var(--map-3);--line:var(--map-over)}";

pub(super) fn style() -> Markup {
    html! { style { (PreEscaped(STYLE)) } }
}

/// The style sheet, the hatching of no-take ground, and the frame that nothing leaves.
pub(super) fn definitions(hatch: &str, clip: &str, view: &View) -> Markup {
    let ((left, top), (width, height)) = view.frame();
    html! {
        (style())
        defs {
            pattern id=(hatch) width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                line class="map-hatch" stroke=(INK) stroke-width="1" x1="0" y1="0" x2="0" y2="5" {}
            }
            clipPath id=(clip) { rect x=(left) y=(top) width=(width) height=(super::at(height)) {} }
        }
    }
}

/// How a patch of a shade is filled and outlined.
#[derive(Clone, Copy)]
pub(super) struct Fill {
    pub class: &'static str,
    pub fill: &'static str,
    pub line: &'static str,
    /// In page units.
    pub line_width: f64,
    pub dashes: Option<&'static str>,
}

impl Fill {
    pub(super) fn of(shade: Shade) -> Self {
        const LAST: usize = STEPS - 1;
        match shade {
            Shade::Plain => Self::step(1),
            Shade::Unknown => Self { dashes: Some("3 2"), ..Self::step(0) },
            Shade::Step(step) if step >= LAST => {
                Self { line: OVER, line_width: 3.0, ..Self::step(LAST) }
            }
            Shade::Step(step) => Self::step(step),
        }
    }

    fn step(step: usize) -> Self {
        const CLASSES: [&str; STEPS] = ["map-0", "map-1", "map-2", "map-3"];
        Self { class: CLASSES[step], fill: STEP[step], line: INK, line_width: 1.2, dashes: None }
    }
}
