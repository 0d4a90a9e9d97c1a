//! The head of the strip: title, what the shades mean, and the months; and the day at its foot.

use jiff::civil::Date;
use plotters::style::RGBColor;

use super::row::draw_cut;
use super::shade::{FEET_WORDS, MISSING_WORDS};
use super::sheet::Sheet;
use crate::report::plot::dress::Words;
use crate::report::plot::ink;
use crate::report::plot::layout::{MARGIN, head_line};
use crate::report::plot::pen::{Anchor, Drawn, Pen, Place};
use crate::units::{Season, spoken_day};

const TITLE_LINE: f64 = 24.0;
const LEAD_LINE: f64 = 42.0;
const MISSING_LINE: f64 = 64.0;
const FEET_LINE: f64 = 80.0;
/// The key's columns: the five shades, then the marks.
const SHADES: f64 = MARGIN + 128.0;
const SHADE_WIDTH: f64 = 78.0;
const MARKS: f64 = SHADES + 5.0 * SHADE_WIDTH + 8.0;
const SAMPLE: f64 = 14.0;
const SAMPLE_HEIGHT: f64 = 8.0;
const WORDS_GAP: f64 = 4.0;
/// Over the first row: the months' names, and the years'.
const MONTHS_RISE: f64 = 8.0;
const YEARS_RISE: f64 = 18.0;
const NOTCH: f64 = 5.0;
const DAY_DROP: f64 = 14.0;

pub(super) fn draw(pen: &Pen, words: &Words) -> Drawn {
    if !words.on_page {
        pen.text(&words.title, head_line(TITLE_LINE), ink::TITLE, Anchor::Start)?;
        pen.text(&words.lead, head_line(LEAD_LINE), ink::LEAD, Anchor::Start)?;
    }
    draw_shades(pen, "crop missing", MISSING_LINE, &ink::MISSING, &MISSING_WORDS)?;
    draw_shades(pen, "feet, of the year's limit", FEET_LINE, &ink::FEET, &FEET_WORDS)?;
    draw_marks(pen)
}

fn draw_shades(
    pen: &Pen,
    what: &str,
    line: f64,
    shades: &[RGBColor; 5],
    words: &[&str; 5],
) -> Drawn {
    pen.text(what, (MARGIN, line), ink::KEY, Anchor::Start)?;
    for (n, (shade, words)) in shades.iter().zip(words).enumerate() {
        let x = SHADES + n as f64 * SHADE_WIDTH;
        pen.fill(&sample(x, line, SAMPLE_HEIGHT), *shade)?;
        pen.text(words, (x + SAMPLE + WORDS_GAP, line), ink::KEY, Anchor::Start)?;
    }
    Ok(())
}

/// A box of this height, level with a line of text.
fn sample(x: f64, line: f64, height: f64) -> [Place; 4] {
    let middle = line - 3.5;
    let (top, bottom, right) = (middle - height / 2.0, middle + height / 2.0, x + SAMPLE);
    [(x, top), (right, top), (right, bottom), (x, bottom)]
}

fn draw_marks(pen: &Pen) -> Drawn {
    let words = |text: &str, x: f64, line: f64| {
        pen.text(text, (x + SAMPLE + WORDS_GAP, line), ink::KEY, Anchor::Start)
    };
    let middle = |x: f64| (x + SAMPLE / 2.0, MISSING_LINE - 3.5);
    let second = MARKS + 50.0;
    draw_cut(pen, middle(MARKS), false)?;
    words("a cut", MARKS, MISSING_LINE)?;
    draw_cut(pen, middle(second), true)?;
    words("over its limit", second, MISSING_LINE)?;
    pen.fill(&sample(MARKS, FEET_LINE, SAMPLE_HEIGHT / 2.0), ink::MISSING[2])?;
    words("survey too old by then", MARKS, FEET_LINE)
}

/// The months over the first row, the year where one begins, and a thin gap in the rows.
pub(super) fn draw_months(pen: &Pen, sheet: &Sheet, season: Season) -> Drawn {
    for first in season.days().filter(|day| day.day() == 1) {
        let x = sheet.across(first);
        if first == season.first_day() || first.month() == 1 {
            let year = first.strftime("%Y").to_string();
            pen.text(&year, (x, sheet.top - YEARS_RISE), ink::TICK, Anchor::Start)?;
        }
        let name = first.strftime("%b").to_string();
        pen.line(&[(x, sheet.top), (x, sheet.bottom)], ink::MONTH_LINE)?;
        pen.line(&[(x, sheet.top - NOTCH), (x, sheet.top - 1.0)], ink::AXIS_LINE)?;
        pen.text(&name, (x, sheet.top - MONTHS_RISE), ink::TICK, Anchor::Start)?;
    }
    Ok(())
}

/// The day up to which the strip is drawn, named at its foot.
pub(super) fn draw_day(pen: &Pen, sheet: &Sheet, season: Season, on: Date) -> Drawn {
    if !season.contains(on) {
        return Ok(());
    }
    let x = sheet.across(on);
    pen.line(&[(x, sheet.top - 1.0), (x, sheet.bottom + 4.0)], ink::TODAY_LINE)?;
    pen.text(&spoken_day(on), (x, sheet.bottom + DAY_DROP), ink::TICK, Anchor::Middle)
}
