//! The row of one patch: its name, its shaded weeks, its cuts, and where it stands now.

use jiff::ToSpan;
use jiff::civil::Date;

use super::now;
use super::shade::{self, Shade};
use super::sheet::{Band, Sheet, StripRow};
use crate::pressure::PressureWeek;
use crate::report::plot::ink::{self, Type};
use crate::report::plot::layout::MARGIN;
use crate::report::plot::pen::{Anchor, Drawn, Pen, Place};
use crate::report::plot::whole::bound;

/// From the top of the row down to the base lines of its two lines of text.
const FIRST_LINE: f64 = 9.0;
const SECOND_LINE: f64 = 20.0;
const TEXT_GAP: f64 = 6.0;
const CUT_RADIUS: f64 = 2.0;
const OVER_RADIUS: f64 = 3.4;
/// A text stands this far over the line that leads to the figures.
const LEVEL: f64 = 2.0;

/// Weeks of one look, from the first day of the first to the day after the last.
struct Run {
    from: Date,
    to: Date,
    shade: Shade,
}

pub(super) fn draw_shades(pen: &Pen, sheet: &Sheet, row: &StripRow) -> Drawn {
    let middle = row.crop.middle();
    pen.line(&[(sheet.left, middle), (sheet.right, middle)], ink::GRID_LINE)?;
    draw_runs(pen, sheet, row.crop, &runs(row, shade::of_crop))?;
    draw_runs(pen, sheet, row.feet, &runs(row, shade::of_feet))
}

pub(super) fn draw_words(pen: &Pen, sheet: &Sheet, row: &StripRow) -> Drawn {
    if row.patch.series.latest().is_none() {
        pen.text(
            "no survey yet",
            (sheet.left, row.crop.middle() - LEVEL),
            ink::TICK,
            Anchor::Start,
        )?;
    }
    let names = sheet.left - TEXT_GAP - MARGIN;
    let (missing, feet) = now(row.patch);
    let figures = sheet.right + TEXT_GAP;
    let lines: [(&str, f64, f64, Type, f64); 4] = [
        (row.patch.patch.patch(), MARGIN, FIRST_LINE, ink::PATCH, names),
        (&row.patch.crop.common_name, MARGIN, SECOND_LINE, ink::FIGURES, names),
        (&missing, figures, FIRST_LINE, ink::KEY, sheet.width - figures),
        (&feet, figures, SECOND_LINE, ink::FIGURES, sheet.width - figures),
    ];
    for (text, x, drop, lettering, room) in lines {
        let text = bound(text, room, lettering);
        pen.text(&text, (x, row.crop.top + drop), lettering, Anchor::Start)?;
    }
    Ok(())
}

fn runs(row: &StripRow, shade: fn(&PressureWeek) -> Option<Shade>) -> Vec<Run> {
    let weeks: Vec<(Date, Option<Shade>)> =
        row.patch.series.weeks().map(|week| (week.week.first_day(), shade(&week))).collect();
    let alike = weeks.chunk_by(|a, b| a.1 == b.1);
    let run = |weeks: &[(Date, Option<Shade>)]| {
        let [(from, shade), ..] = weeks else { return None };
        let (last, _) = weeks.last()?;
        Some(Run { from: *from, to: last.saturating_add(7.days()), shade: (*shade)? })
    };
    alike.filter_map(run).collect()
}

fn draw_runs(pen: &Pen, sheet: &Sheet, band: Band, runs: &[Run]) -> Drawn {
    for run in runs {
        let Band { top, bottom } = if run.shade.full_height { band } else { band.half() };
        let (left, right) = (sheet.across(run.from), sheet.across(run.to));
        let cell: [Place; 4] = [(left, top), (right, top), (right, bottom), (left, bottom)];
        pen.fill(&cell, run.shade.colour)?;
    }
    Ok(())
}

/// A mark on the day of each cut, one over what was allowed in another shape.
pub(super) fn draw_cuts(pen: &Pen, sheet: &Sheet, row: &StripRow) -> Drawn {
    for day in row.patch.series.cuts() {
        draw_cut(pen, (sheet.across(day.day), row.crop.middle()), day.is_over())?;
    }
    Ok(())
}

pub(super) fn draw_cut(pen: &Pen, at: Place, is_over: bool) -> Drawn {
    if is_over {
        pen.diamond(at, OVER_RADIUS, ink::OVER_STEM)
    } else {
        pen.ring(at, CUT_RADIUS, ink::MARK)
    }
}
