//! The strip of a site: a row a patch, a column a week, shaded by pressure.

mod head;
mod row;
mod shade;
mod sheet;

use std::fmt::Write as _;

use jiff::civil::Date;

use super::dress::{self, Dress, Words};
use super::layout::in_crop_order;
use super::pen::{Pen, PlotError};
use crate::assess::PatchSeason;
use crate::records::SiteName;
use crate::units::{Season, counted, percent};
use sheet::{ROWS_ON_SHEET, Sheet};

/// An SVG of the site's patches over the season's weeks, in crop order: how much of the full
/// crop was missing at each week's end, cuts as marks, and in a thin row below the feet of the
/// 365 days before. `on` is marked; what comes after it is left blank. It stands by itself or
/// inside a page.
///
/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn week_strip_svg(
    site: &SiteName,
    seasons: &[PatchSeason],
    season: Season,
    on: Date,
) -> Result<String, PlotError> {
    let patches: Vec<&PatchSeason> =
        seasons.iter().filter(|patch| patch.patch.site() == site).collect();
    drawn(&patches, &words(site, &patches, season), season, on)
}

/// The same in pictures that each fit a printed page, fit for one HTML page. `first` is the number
/// of the first on it.
///
/// # Errors
/// As [`week_strip_svg`].
pub(in crate::report) fn week_strip_sheets(
    site: &SiteName,
    seasons: &[PatchSeason],
    season: Season,
    on: Date,
    first: usize,
) -> Result<Vec<String>, PlotError> {
    let ordered = in_crop_order(&seasons.iter().collect::<Vec<_>>());
    let sheets = ordered.chunks(ROWS_ON_SHEET).zip(first..);
    let drawn = sheets.map(|(patches, number)| {
        let words = words(site, patches, season).on_sheet(number);
        drawn(patches, &words, season, on)
    });
    drawn.collect()
}

fn drawn(
    patches: &[&PatchSeason],
    words: &Words,
    season: Season,
    on: Date,
) -> Result<String, PlotError> {
    let sheet = Sheet::of(patches, season);
    let mut drawing = String::new();
    {
        let pen = Pen::on(&mut drawing, sheet.width, sheet.height)?;
        head::draw(&pen, words)?;
        if !sheet.rows.is_empty() {
            for row in &sheet.rows {
                row::draw_shades(&pen, &sheet, row)?;
            }
            head::draw_months(&pen, &sheet, season)?;
            for row in &sheet.rows {
                row::draw_words(&pen, &sheet, row)?;
                row::draw_cuts(&pen, &sheet, row)?;
            }
            head::draw_day(&pen, &sheet, season, on)?;
        }
        pen.finish()?;
    }
    let (width, height) = (sheet.width, sheet.height);
    Ok(dress::accessible(&drawing, &Dress { words, width, height }))
}

fn words(site: &SiteName, patches: &[&PatchSeason], season: Season) -> Words {
    let id = "weeks".to_owned();
    let title = format!("{site}: pressure week by week in {season}");
    if patches.is_empty() {
        let lead = "No patches are recorded for this site.".to_owned();
        return Words { id, title, description: lead.clone(), lead, on_page: false };
    }
    let lead = "How much of the full crop was missing at the end of each week; in the thin row \
                below, the feet of a year."
        .to_owned();
    let mut description = lead.clone();
    for patch in patches {
        let (name, crop) = (patch.patch.patch(), &patch.crop.common_name);
        let (missing, feet) = now(patch);
        let weeks = patch.series.weeks().filter(|week| week.cuts().next().is_some()).count();
        let cut = match weeks as u32 {
            0 => "nothing cut".to_owned(),
            n => format!("cut in {}", counted(n, "week")),
        };
        let _ = write!(description, " {name} ({crop}): {missing}; {feet}; {cut}.");
    }
    Words { id, title, lead, description, on_page: false }
}

/// Where a patch stands on its last known day: its crop, and its ground.
fn now(patch: &PatchSeason) -> (String, String) {
    let missing = match patch.series.latest() {
        Some((_, crop)) => format!("{} missing", percent(crop.depletion)),
        None => "no survey".to_owned(),
    };
    let feet = match patch.series.feet().part_of_limit {
        Some(part) => format!("feet {}", percent(part)),
        None if patch.ground.is_some() => "feet wear nothing".to_owned(),
        None => "feet not counted".to_owned(),
    };
    (missing, feet)
}
