//! The frame with its degrees, and where the walk begins.

use maud::{Markup, html};

use super::at;
use super::ink;
use super::legend::round_at_most;
use super::view::{Place, View};
use crate::ground::short_way_round;

const NOTCH: f64 = 4.0;
/// A figure of degrees needs so many page units along its side, and at the very least so many a
/// letter.
const FIGURE: f64 = 90.0;
const LETTER: f64 = 6.0;

/// The frame, notched at round degrees; its figures stand outside it.
pub(super) fn frame(view: &View) -> Markup {
    let ((left, top), (width, height)) = view.frame();
    let (south_west, north_east) = view.corners();
    let longitudes = round_between(south_west.x(), north_east.x(), width, ["E", "W"]);
    let latitudes = round_between(south_west.y(), north_east.y(), height, ["N", "S"]);
    let bottom = view.bottom();
    html! {
        rect class="map-rule" fill="none" stroke=(ink::QUIET) stroke-width="0.8"
            x=(left) y=(top) width=(width) height=(at(height)) {}
        @for (degrees, shown) in longitudes {
            @let x = view.place((degrees, south_west.y()).into()).0;
            line class="map-rule" stroke=(ink::QUIET) stroke-width="0.8"
                x1=(at(x)) y1=(at(bottom)) x2=(at(x)) y2=(at(bottom - NOTCH)) {}
            text class="map-quiet" fill=(ink::QUIET) font-size=(ink::LETTERING) text-anchor="middle"
                x=(at(x)) y=(at(bottom + 12.0)) { (shown) }
        }
        @for (degrees, shown) in latitudes {
            @let y = view.place((south_west.x(), degrees).into()).1;
            line class="map-rule" stroke=(ink::QUIET) stroke-width="0.8"
                x1=(at(left)) y1=(at(y)) x2=(at(left + NOTCH)) y2=(at(y)) {}
            text class="map-quiet" fill=(ink::QUIET) font-size=(ink::LETTERING) text-anchor="middle"
                transform={ "translate(" (at(left - 6.0)) " " (at(y)) ") rotate(-90)" } {
                (shown)
            }
        }
    }
}

pub(super) fn start((x, y): Place) -> Markup {
    html! {
        path class="map-start" fill=(ink::ACCENT) stroke=(ink::PAPER) stroke-width="1.5"
            d={ "M" (at(x)) " " (at(y)) "l-7 -14h14z" } {}
    }
}

/// About as many figures as have room along a side.
fn ticks(length: f64) -> f64 {
    (length / FIGURE).clamp(1.0, 3.0)
}

/// Round numbers well inside a span that is drawn so long, as many as have room, with their figures;
/// a place near a corner is left out, since its figure would stick out.
fn round_between(low: f64, high: f64, length: f64, sides: [&str; 2]) -> Vec<(f64, String)> {
    let span = high - low;
    if !(span > 0.0 && span.is_finite()) {
        return Vec::new();
    }
    let mut step = round_at_most(span / ticks(length));
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    let letters = figure(low, decimals, sides).chars().count() as f64;
    if length * step / span < letters * LETTER {
        step *= 2.0;
    }
    let inset = 0.08 * span;
    let first = ((low + inset) / step).ceil();
    let ticks = (0_u8..10).map(|n| (first + f64::from(n)) * step);
    let inside = ticks.take_while(|degrees| *degrees <= high - inset);
    inside.map(|degrees| (degrees, figure(degrees, decimals, sides))).collect()
}

/// `3.21° W`.
fn figure(degrees: f64, decimals: usize, [positive, negative]: [&str; 2]) -> String {
    let degrees = short_way_round(degrees);
    let side = if degrees < 0.0 { negative } else { positive };
    format!("{:.decimals$}° {side}", degrees.abs())
}
