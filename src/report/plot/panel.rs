//! The panel of one patch: its words, its frame, and the grid it shares.

use jiff::civil::Date;
use unicode_width::UnicodeWidthStr;

use super::course::part_of;
use super::ink;
use super::layout::{Frame, Run};
use super::pen::{Anchor, Drawn, Pen, Place};
use super::whole::bound;
use crate::assess::PatchSeason;
use crate::report::crops::plain_name;
use crate::units::{Amount, Season};

const RULE_RISE: f64 = 46.0;
const HEADING_RISE: f64 = 35.0;
pub(super) const PATCH_RISE: f64 = 21.0;
pub(super) const FIGURES_RISE: f64 = 9.0;
const MONTHS_DROP: f64 = 11.0;
const NOTCH: f64 = 2.5;
const FIGURE_GAP: f64 = 5.0;
/// A figure of the scale stands this far under the line it names, to be level with it.
const LEVEL: f64 = 3.0;

/// The crop over a run of its panels.
pub(super) fn draw_heading(pen: &Pen, run: &Run) -> Drawn {
    let ([(first, patch), ..], Some((last, _))) = (&run.panels[..], run.panels.last()) else {
        return Ok(());
    };
    let rule = first.top - RULE_RISE;
    pen.line(&[(first.edge, rule), (last.right, rule)], ink::RULE)?;
    let room = ink::HEADING.columns_in(last.right - first.edge);
    let crop = &patch.crop;
    let name = if crop.common_name.width() > room { plain_name(crop) } else { &crop.common_name };
    let heading = bound(name, last.right - first.edge, ink::HEADING);
    pen.text(&heading, (first.edge, first.top - HEADING_RISE), ink::HEADING, Anchor::Start)
}

/// The grid of the crop's scales, through all panels of a run, with its figures on the left.
pub(super) fn draw_grid(pen: &Pen, run: &Run) -> Drawn {
    let ([(first, patch), ..], Some((last, _))) = (&run.panels[..], run.panels.last()) else {
        return Ok(());
    };
    let scale = &run.scale;
    let above = scale.crop.ticks().map(|value| (value, first.up(scale.crop.part(value))));
    let below = scale.cut.ticks().map(|value| (value, first.down(scale.cut.part(value))));
    for (value, y) in above.chain(below) {
        pen.line(&[(first.left, y), (last.right, y)], ink::GRID_LINE)?;
        let figure = Amount { value, measure: patch.crop.measure }.to_string();
        pen.text(&figure, (first.left - FIGURE_GAP, y + LEVEL), ink::TICK, Anchor::End)?;
    }
    let zero = (first.left - FIGURE_GAP, first.floor + LEVEL);
    pen.text("0", zero, ink::TICK, Anchor::End)
}

/// All of a panel but the course of its patch.
pub(super) fn draw(
    pen: &Pen,
    frame: &Frame,
    patch: &PatchSeason,
    season: Season,
    on: Date,
) -> Drawn {
    draw_titles(pen, frame, patch)?;
    draw_months(pen, frame, season)?;
    if let Some(why) = why_empty(patch) {
        let middle = (frame.across(0.5), frame.up(0.5));
        return pen.text(why, middle, ink::EMPTY, Anchor::Middle);
    }
    if season.contains(on) {
        let x = frame.across(part_of(season, on));
        pen.line(&[(x, frame.top), (x, frame.bottom)], ink::TODAY_LINE)?;
    }
    Ok(())
}

fn why_empty(patch: &PatchSeason) -> Option<&'static str> {
    match patch.series.latest() {
        Some(_) => None,
        None if patch.series.days.is_empty() => Some("not begun yet"),
        None => Some("no survey yet"),
    }
}

fn draw_titles(pen: &Pen, frame: &Frame, patch: &PatchSeason) -> Drawn {
    let line = |text: &str, rise: f64, lettering: ink::Type| {
        let text = bound(text, frame.right - frame.edge, lettering);
        pen.text(&text, (frame.edge, frame.top - rise), lettering, Anchor::Start)
    };
    line(patch.patch.patch(), PATCH_RISE, ink::PATCH)?;
    line(&figures_in_short(patch), FIGURES_RISE, ink::FIGURES)
}

/// `stands 9.8 kg; took 26 kg, 1 over`, for who cannot see the panel.
pub(super) fn figures(patch: &PatchSeason) -> String {
    let over = match patch.overruns().count() {
        0 => String::new(),
        n => format!(", {n} over"),
    };
    figures_in_short(patch) + &over
}

/// Without what is drawn below: `stands 9.8 kg; took 26 kg`.
fn figures_in_short(patch: &PatchSeason) -> String {
    let stands = match patch.series.latest() {
        Some((_, crop)) => format!("stands {}; ", patch.crop.show(crop.standing)),
        None => String::new(),
    };
    match patch.visits {
        0 => format!("{stands}nothing cut"),
        _ => format!("{stands}took {}", patch.crop.show(patch.series.total_cut())),
    }
}

/// The floor, notched where a month begins, and the months' letters at the foot.
pub(super) fn draw_months(pen: &Pen, frame: &Frame, season: Season) -> Drawn {
    let mut floor: Vec<Place> = Vec::new();
    for first in season.days().filter(|day| day.day() == 1) {
        let x = frame.across(part_of(season, first));
        floor.extend([(x, frame.floor), (x, frame.floor + NOTCH), (x, frame.floor)]);
        let end = frame.across(part_of(season, first.last_of_month()));
        let letter = &first.strftime("%b").to_string()[..1];
        let at = ((x + end) / 2.0, frame.bottom + MONTHS_DROP);
        pen.text(letter, at, ink::TICK, Anchor::Middle)?;
    }
    floor.push((frame.right, frame.floor));
    pen.line(&floor, ink::AXIS_LINE)
}
