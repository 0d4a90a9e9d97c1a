//! Draws in page units, by way of the plotting library.
//!
//! The library knows whole pixels only, so the canvas is ten times the page.

use plotters::coord::Shift;
use plotters::element::{Circle, DashedPathElement, PathElement, Polygon};
use plotters::prelude::{DrawingArea, IntoDrawingArea, IntoFont, IntoTextStyle, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontStyle, RGBColor, ShapeStyle};

use super::bends::bends;
use super::ink::{PAPER, Stroke, Type};

pub(super) const PIXELS: f64 = 10.0;
/// The library's SVG text comes out smaller than asked for by this factor.
const TEXT_SHRINKAGE: f64 = 1.24;
pub(super) const TYPEFACE: &str = "Helvetica, Arial, sans-serif";

/// A place on the page: right of its left edge, down from its top.
pub(super) type Place = (f64, f64);

pub(super) type Drawn = Result<(), PlotError>;

/// The plotting library could not draw; has what it says.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the plot could not be drawn: {0}")]
pub struct PlotError(String);

pub(super) struct Pen<'a> {
    canvas: DrawingArea<SVGBackend<'a>, Shift>,
}

/// Which end of a text stands at its place. The place is on the text's base line.
#[derive(Clone, Copy, Debug)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl<'a> Pen<'a> {
    pub(super) fn on(drawing: &'a mut String, width: f64, height: f64) -> Result<Self, PlotError> {
        let size = ((width * PIXELS) as u32, (height * PIXELS) as u32);
        let canvas = SVGBackend::with_string(drawing, size).into_drawing_area();
        canvas.fill(&PAPER).map_err(problem)?;
        Ok(Self { canvas })
    }

    pub(super) fn line(&self, places: &[Place], stroke: Stroke) -> Drawn {
        let points: Vec<(i32, i32)> = bends(places).into_iter().map(pixel).collect();
        self.canvas.draw(&PathElement::new(points, style(stroke))).map_err(problem)
    }

    pub(super) fn dashes(
        &self,
        places: &[Place],
        stroke: Stroke,
        (dash, gap): (f64, f64),
    ) -> Drawn {
        let points: Vec<(i32, i32)> = bends(places).into_iter().map(pixel).collect();
        let path = DashedPathElement::new(points, pixels(dash), pixels(gap), style(stroke));
        self.canvas.draw(&path).map_err(problem)
    }

    pub(super) fn fill(&self, outline: &[Place], colour: RGBColor) -> Drawn {
        let points: Vec<(i32, i32)> = bends(outline).into_iter().map(pixel).collect();
        self.canvas.draw(&Polygon::new(points, colour.filled())).map_err(problem)
    }

    pub(super) fn dot(&self, at: Place, radius: f64, colour: RGBColor) -> Drawn {
        let dot = Circle::new(pixel(at), pixels(radius), colour.filled());
        self.canvas.draw(&dot).map_err(problem)
    }

    /// A circle with paper inside.
    pub(super) fn ring(&self, at: Place, radius: f64, stroke: Stroke) -> Drawn {
        self.dot(at, radius, PAPER)?;
        let ring = Circle::new(pixel(at), pixels(radius), style(stroke));
        self.canvas.draw(&ring).map_err(problem)
    }

    /// A square on its corner, with paper inside.
    pub(super) fn diamond(&self, (x, y): Place, radius: f64, stroke: Stroke) -> Drawn {
        let (r, at) = (radius, (x, y - radius));
        let outline = [at, (x + r, y), (x, y + r), (x - r, y), at];
        self.fill(&outline, PAPER)?;
        self.line(&outline, stroke)
    }

    pub(super) fn text(&self, text: &str, at: Place, lettering: Type, anchor: Anchor) -> Drawn {
        let weight = if lettering.bold { FontStyle::Bold } else { FontStyle::Normal };
        let h_pos = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        // The library's lowest anchor lifts a text half an x-height above its place.
        let lift = 0.27 * lettering.size;
        let size = lettering.size * PIXELS * TEXT_SHRINKAGE;
        let font = (TYPEFACE, size).into_font().style(weight);
        let style = font.color(&lettering.colour).pos(Pos::new(h_pos, VPos::Bottom));
        let style = style.into_text_style(&self.canvas);
        self.canvas.draw_text(text, &style, pixel((at.0, at.1 + lift))).map_err(problem)
    }

    pub(super) fn finish(self) -> Drawn {
        self.canvas.present().map_err(problem)
    }
}

fn style(stroke: Stroke) -> ShapeStyle {
    stroke.colour.stroke_width(pixels(stroke.width).unsigned_abs())
}

fn pixel((x, y): Place) -> (i32, i32) {
    (pixels(x), pixels(y))
}

fn pixels(length: f64) -> i32 {
    (length * PIXELS).round() as i32
}

fn problem(error: impl std::fmt::Display) -> PlotError {
    PlotError(error.to_string())
}
