//! Yield against risk, a line a rule: what is better lies lower and further right.

use super::dress::{Dress, Words, accessible};
use super::ink::{self, Stroke};
use super::layout::{HEAD_HEIGHT, MARGIN, PAGE_WIDTH, head_line, key_place};
use super::pen::{Anchor, Drawn, Pen, Place, PlotError};
use crate::rehearsal::proof::{Curve, HabitProof, Proof, Score};
use crate::report::proof_names::of_curve;

const HEIGHT: f64 = 400.0;
const PANELS: usize = 3;
const GUTTER: f64 = 36.0;
const PANEL_GAP: f64 = 14.0;
const TITLE_LINE: f64 = 24.0;
const LEAD_LINE: f64 = 42.0;
const KEY_LINE: f64 = 66.0;
/// What stands on the left, which has no room for it beside its figures.
const RISK: &str = "up: dips, the part of all patch-seasons in which a cut left less than half of \
    what would stand undisturbed; a logarithmic scale";
const RISK_LINE: f64 = 98.0;
const SAMPLE: f64 = 20.0;
const WORDS: f64 = 26.0;
const TOP: f64 = HEAD_HEIGHT + 22.0;
const FLOOR: f64 = HEIGHT - 44.0;
const DOT: f64 = 2.4;
/// The scale of risk is logarithmic between these; what is less lies on the floor.
const LEAST_DIPS: f64 = 0.0005;
const MOST_DIPS: f64 = 1.0;
const RISKS: [(f64, &str); 5] =
    [(0.0005, "≤ 0.05 %"), (0.001, "0.1 %"), (0.01, "1 %"), (0.1, "10 %"), (1.0, "100 %")];
const MOST_YIELD: f64 = 0.9;
const YIELDS: [(f64, &str); 4] = [(0.0, "0"), (0.3, "0.3"), (0.6, "0.6"), (0.9, "0.9")];

/// An SVG with a panel a habit.
///
/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn proof_svg(proof: &Proof) -> Result<String, PlotError> {
    let habits: Vec<&HabitProof> =
        proof.habits.iter().filter(|habit| !habit.curves.is_empty()).collect();
    let words = words(&habits);
    let mut drawing = String::new();
    {
        let pen = Pen::on(&mut drawing, PAGE_WIDTH, HEIGHT)?;
        draw_head(&pen, &words, &habits)?;
        pen.text(RISK, (MARGIN, RISK_LINE), ink::TICK, Anchor::Start)?;
        for (slot, habit) in habits.iter().enumerate() {
            Panel::at(slot).draw(&pen, habit)?;
        }
        pen.finish()?;
    }
    Ok(accessible(&drawing, &Dress { words: &words, width: PAGE_WIDTH, height: HEIGHT }))
}

fn words(habits: &[&HabitProof]) -> Words {
    let lead = "Each rule from strict to loose, by an ordinary eye; what is better lies lower and \
                further right."
        .to_owned();
    let each = habits.iter().flat_map(|habit| habit.curves.iter().map(move |curve| (habit, curve)));
    let each = each.map(|(habit, curve)| {
        let points = curve.points.iter().map(|score| {
            format!("{:.2} at {:.2} %", score.yielded.value, 100.0 * score.dips.value)
        });
        let points = points.collect::<Vec<_>>().join(", ");
        format!(" {}, {}: {points}.", habit.habit.name(), of_curve(curve.practice))
    });
    let description = lead.clone() + &each.collect::<String>();
    let (id, title) = ("proof".to_owned(), "Yield against risk".to_owned());
    Words { id, title, lead, description, on_page: false }
}

fn draw_head(pen: &Pen, words: &Words, habits: &[&HabitProof]) -> Drawn {
    pen.text(&words.title, head_line(TITLE_LINE), ink::TITLE, Anchor::Start)?;
    pen.text(&words.lead, head_line(LEAD_LINE), ink::LEAD, Anchor::Start)?;
    let Some(habit) = habits.first() else { return Ok(()) };
    for (n, curve) in habit.curves.iter().enumerate() {
        let (x, y) = key_place(n, KEY_LINE);
        draw_line(pen, n, &[(x, y - 3.0), (x + SAMPLE, y - 3.0)])?;
        draw_mark(pen, n, (x + SAMPLE / 2.0, y - 3.0))?;
        pen.text(&of_curve(curve.practice), (x + WORDS, y), ink::KEY, Anchor::Start)?;
    }
    Ok(())
}

/// Each rule has its own colour, dash and mark.
fn draw_line(pen: &Pen, n: usize, places: &[Place]) -> Drawn {
    match n {
        0 => pen.line(places, ink::CROP_LINE),
        1 => pen.dashes(places, ink::CROP_LINE, (2.0, 2.0)),
        2 => pen.line(places, ink::OVER_STEM),
        _ => pen.dashes(places, ink::LIMIT_LINE, ink::LIMIT_DASH),
    }
}

fn draw_mark(pen: &Pen, n: usize, at: Place) -> Drawn {
    const RING: Stroke = ink::CROP_LINE;
    match n {
        0 => pen.dot(at, DOT, ink::CROP),
        1 => pen.ring(at, DOT, RING),
        2 => pen.diamond(at, 3.0, ink::OVER_STEM),
        _ => pen.dot(at, DOT, ink::LIMIT),
    }
}

struct Panel {
    left: f64,
    right: f64,
}

impl Panel {
    fn at(slot: usize) -> Self {
        let width = (PAGE_WIDTH - 2.0 * MARGIN - GUTTER) / PANELS as f64;
        let left = MARGIN + GUTTER + slot as f64 * width;
        Self { left, right: left + width - PANEL_GAP }
    }

    fn draw(&self, pen: &Pen, habit: &HabitProof) -> Drawn {
        let title = (self.left, TOP - 10.0);
        pen.text(habit.habit.name(), title, ink::HEADING, Anchor::Start)?;
        self.draw_grid(pen)?;
        for (n, curve) in habit.curves.iter().enumerate() {
            self.draw_curve(pen, n, curve)?;
        }
        let middle = (f64::midpoint(self.left, self.right), FLOOR + 28.0);
        pen.text("yield, of the best possible", middle, ink::TICK, Anchor::Middle)
    }

    fn draw_grid(&self, pen: &Pen) -> Drawn {
        for (risk, figure) in RISKS {
            let y = up(risk);
            pen.line(&[(self.left, y), (self.right, y)], ink::GRID_LINE)?;
            if self.left < MARGIN + GUTTER + 1.0 {
                pen.text(figure, (self.left - 5.0, y + 3.0), ink::TICK, Anchor::End)?;
            }
        }
        for (yielded, figure) in YIELDS {
            let at = (self.across(yielded), FLOOR + 13.0);
            pen.text(figure, at, ink::TICK, Anchor::Middle)?;
        }
        pen.line(&[(self.left, FLOOR), (self.right, FLOOR)], ink::AXIS_LINE)
    }

    fn draw_curve(&self, pen: &Pen, n: usize, curve: &Curve) -> Drawn {
        let place = |score: &Score| (self.across(score.yielded.value), up(score.dips.value));
        let places: Vec<Place> = curve.points.iter().map(place).collect();
        draw_line(pen, n, &places)?;
        places.into_iter().try_for_each(|at| draw_mark(pen, n, at))
    }

    fn across(&self, yielded: f64) -> f64 {
        self.left + (yielded / MOST_YIELD).clamp(0.0, 1.0) * (self.right - self.left)
    }
}

fn up(dips: f64) -> f64 {
    let part = (dips.max(LEAST_DIPS) / LEAST_DIPS).ln() / (MOST_DIPS / LEAST_DIPS).ln();
    FLOOR - part.min(1.0) * (FLOOR - TOP)
}
