//! Twelve months as one picture: a row a patch, a column a month.

use std::fmt::Write as _;

use jiff::ToSpan;
use jiff::civil::Date;

use super::dress::{self, Dress, Words};
use super::ink;
use super::layout::{MARGIN, PAGE_WIDTH, head_line};
use super::pen::{Anchor, Drawn, Pen, Place, PlotError};
use super::whole::bound;
use crate::assess::{Ahead, Calendar, Expected, PatchYear};
use crate::report::calendar::{TAKEN_FOR_GRANTED, said, short, title};
use crate::units::{Measure, spoken_day};

const TITLE_LINE: f64 = 24.0;
const LEAD_LINE: f64 = 42.0;
const KEY_LINE: f64 = 64.0;
const HEAD_HEIGHT: f64 = 104.0;
const FOOT_HEIGHT: f64 = 24.0;
const SITE_HEIGHT: f64 = 22.0;
const ROW_HEIGHT: f64 = 31.0;
const BAR_HEIGHT: f64 = 13.0;
const NAMES: f64 = 176.0;
const FIRST_LINE: f64 = 10.0;
const SECOND_LINE: f64 = 23.5;
const CUT_RADIUS: f64 = 2.6;
const TEXT_GAP: f64 = 6.0;
const SAMPLE: f64 = 18.0;
const MONTHS_RISE: f64 = 8.0;
const YEARS_RISE: f64 = 20.0;
const NOTCH: f64 = 5.0;

/// Where rows and months stand.
struct Sheet {
    height: f64,
    left: f64,
    right: f64,
    bottom: f64,
    first: Date,
    days: f64,
}

impl Sheet {
    fn of(calendar: &Calendar) -> Self {
        let sites = calendar.patches.chunk_by(|a, b| a.patch.site() == b.patch.site()).count();
        let rows = calendar.patches.len() as f64;
        let bottom = HEAD_HEIGHT + rows * ROW_HEIGHT + sites as f64 * SITE_HEIGHT;
        let [first, .., last] = calendar.months;
        let days = f64::from((last.last_of_month() - first).get_days()) + 1.0;
        Self {
            height: bottom + FOOT_HEIGHT,
            left: MARGIN + NAMES,
            right: PAGE_WIDTH - MARGIN,
            bottom,
            first,
            days,
        }
    }

    /// Where a day begins.
    fn across(&self, day: Date) -> f64 {
        let days = f64::from((day - self.first).get_days());
        self.left + days / self.days * (self.right - self.left)
    }

    /// A bar over these days.
    fn bar(&self, from: Date, to: Date, top: f64, height: f64) -> [Place; 4] {
        let (left, right) = (self.across(from), self.across(to.saturating_add(1.day())));
        [(left, top), (right, top), (right, top + height), (left, top + height)]
    }
}

/// An SVG of all patches of the calendar, by site: their seasons, what is expected to open and
/// how much that allows, and the months in which they were cut in earlier years.
///
/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn calendar_svg(calendar: &Calendar) -> Result<String, PlotError> {
    drawn(calendar, words(calendar))
}

/// The same for an HTML page that says its title beside it.
///
/// # Errors
/// As [`calendar_svg`].
pub(in crate::report) fn calendar_figure(calendar: &Calendar) -> Result<String, PlotError> {
    drawn(calendar, Words { on_page: true, ..words(calendar) })
}

fn drawn(calendar: &Calendar, words: Words) -> Result<String, PlotError> {
    let sheet = Sheet::of(calendar);
    let mut drawing = String::new();
    {
        let pen = Pen::on(&mut drawing, PAGE_WIDTH, sheet.height)?;
        if !words.on_page {
            pen.text(&words.title, head_line(TITLE_LINE), ink::TITLE, Anchor::Start)?;
            pen.text(&words.lead, head_line(LEAD_LINE), ink::LEAD, Anchor::Start)?;
        }
        draw_key(&pen)?;
        draw_months(&pen, &sheet, calendar)?;
        let mut top = HEAD_HEIGHT;
        for of_site in calendar.patches.chunk_by(|a, b| a.patch.site() == b.patch.site()) {
            let site = of_site[0].patch.site().as_str();
            pen.text(site, (MARGIN, top + SITE_HEIGHT - 7.0), ink::HEADING, Anchor::Start)?;
            top += SITE_HEIGHT;
            for patch in of_site {
                draw_row(&pen, &sheet, patch, top)?;
                draw_day_on(&pen, &sheet, calendar, top)?;
                top += ROW_HEIGHT;
            }
        }
        draw_day(&pen, &sheet, calendar)?;
        pen.finish()?;
    }
    Ok(dress::accessible(
        &drawing,
        &Dress { words: &words, width: PAGE_WIDTH, height: sheet.height },
    ))
}

fn words(calendar: &Calendar) -> Words {
    let lead = "The pale band is the season; the dark one the days on which a patch is expected \
                to open, and the figure the most for one visit."
        .to_owned();
    let mut description = format!("{lead} {TAKEN_FOR_GRANTED}");
    for patch in &calendar.patches {
        let _ = write!(description, " {} ({}):", patch.patch, patch.crop.common_name);
        let opens = calendar.months.iter().zip(&patch.months).filter_map(|(first, month)| {
            let Some(Ahead::Opens(expected)) = &month.ahead else { return None };
            Some(format!(" {}{}", short(*first), said(&patch.crop, expected)))
        });
        let opens: Vec<String> = opens.collect();
        let said = if opens.is_empty() { " nothing expected".to_owned() } else { opens.join(";") };
        let _ = write!(description, "{said}.");
    }
    Words { id: "calendar".to_owned(), title: title(calendar), lead, description, on_page: false }
}

fn draw_key(pen: &Pen) -> Drawn {
    let middle = KEY_LINE - 3.5;
    let sample = |x: f64, height: f64| {
        let (top, bottom) = (middle - height / 2.0, middle + height / 2.0);
        [(x, top), (x + SAMPLE, top), (x + SAMPLE, bottom), (x, bottom)]
    };
    let words =
        |text: &str, x: f64| pen.text(text, (x + SAMPLE + 4.0, KEY_LINE), ink::KEY, Anchor::Start);
    let [season, open, hoped, cut] = [0.0, 92.0, 240.0, 458.0].map(|x| MARGIN + x);
    pen.fill(&sample(season, BAR_HEIGHT), ink::MISSING[0])?;
    words("in season", season)?;
    pen.fill(&sample(open, BAR_HEIGHT), ink::MISSING[3])?;
    words("expected to open", open)?;
    pen.fill(&sample(hoped, BAR_HEIGHT / 2.0), ink::MISSING[2])?;
    words("only if surveyed or permitted first", hoped)?;
    pen.ring((cut + SAMPLE / 2.0, middle), CUT_RADIUS, ink::MARK)?;
    words("cut in that month of an earlier year", cut)
}

fn draw_months(pen: &Pen, sheet: &Sheet, calendar: &Calendar) -> Drawn {
    for (n, first) in calendar.months.iter().enumerate() {
        let x = sheet.across(*first);
        if n == 0 || first.month() == 1 {
            let year = first.strftime("%Y").to_string();
            pen.text(&year, (x, HEAD_HEIGHT - YEARS_RISE), ink::TICK, Anchor::Start)?;
        }
        pen.line(&[(x, HEAD_HEIGHT), (x, sheet.bottom)], ink::GRID_LINE)?;
        pen.line(&[(x, HEAD_HEIGHT - NOTCH), (x, HEAD_HEIGHT - 1.0)], ink::AXIS_LINE)?;
        let at = (x + 2.0, HEAD_HEIGHT - MONTHS_RISE);
        pen.text(&short(*first), at, ink::TICK, Anchor::Start)?;
    }
    Ok(())
}

fn draw_row(pen: &Pen, sheet: &Sheet, patch: &PatchYear, top: f64) -> Drawn {
    let room = NAMES - TEXT_GAP;
    for (text, drop, lettering) in [
        (patch.patch.patch(), FIRST_LINE, ink::PATCH),
        (&*patch.crop.common_name, SECOND_LINE, ink::FIGURES),
    ] {
        let text = bound(text, room, lettering);
        pen.text(&text, (MARGIN, top + drop), lettering, Anchor::Start)?;
    }
    for (from, to) in patch.months.iter().filter_map(|month| month.in_season) {
        pen.fill(&sheet.bar(from, to, top, BAR_HEIGHT), ink::MISSING[0])?;
    }
    for month in &patch.months {
        if let Some(Ahead::Opens(expected)) = &month.ahead {
            draw_open(pen, sheet, patch, expected, top)?;
        }
        if month.cut_in_years > 0
            && let Some((from, to)) = month.in_season
        {
            let x = (sheet.across(from) + sheet.across(to.saturating_add(1.day()))) / 2.0;
            pen.ring((x, top + BAR_HEIGHT / 2.0), CUT_RADIUS, ink::MARK)?;
        }
    }
    Ok(())
}

/// The bar of the days, and the figure under it.
fn draw_open(pen: &Pen, sheet: &Sheet, patch: &PatchYear, expected: &Expected, top: f64) -> Drawn {
    let (colour, drop, height) = match expected.is_firm() {
        true => (ink::MISSING[3], 0.0, BAR_HEIGHT),
        false => (ink::MISSING[2], BAR_HEIGHT / 4.0, BAR_HEIGHT / 2.0),
    };
    pen.fill(&sheet.bar(expected.from, expected.to, top + drop, height), colour)?;
    let figure = match expected.most {
        // The pieces are named beside the crop; a column has no room for them.
        Some(most) if patch.crop.measure == Measure::Count => format!("{:.0}", most.floor()),
        Some(most) => patch.crop.show(most),
        None if expected.standing.is_some() => "any".to_owned(),
        None => "?".to_owned(),
    };
    // By itself in its column, so that no two figures run into each other.
    let first = expected.from.first_of_month();
    let at = (sheet.across(first) + 2.0, top + SECOND_LINE);
    pen.text(&figure, at, ink::FIGURES, Anchor::Start)
}

/// Where the day lies, if it is one of the months'.
fn across_today(sheet: &Sheet, calendar: &Calendar) -> Option<f64> {
    let [first, .., last] = calendar.months;
    let days = first..=last.last_of_month();
    days.contains(&calendar.on).then(|| sheet.across(calendar.on))
}

/// Over the bar of a row only, so that it strikes through no figure.
fn draw_day_on(pen: &Pen, sheet: &Sheet, calendar: &Calendar, top: f64) -> Drawn {
    let Some(x) = across_today(sheet, calendar) else { return Ok(()) };
    pen.line(&[(x, top - 2.0), (x, top + BAR_HEIGHT + 2.0)], ink::TODAY_LINE)
}

fn draw_day(pen: &Pen, sheet: &Sheet, calendar: &Calendar) -> Drawn {
    let Some(x) = across_today(sheet, calendar) else { return Ok(()) };
    pen.line(&[(x, sheet.bottom), (x, sheet.bottom + 4.0)], ink::TODAY_LINE)?;
    pen.text(&spoken_day(calendar.on), (x, sheet.bottom + 14.0), ink::TICK, Anchor::Start)
}
