//! How hard each patch was used through the season, as plots.
//!
//! A plot of another kind is one more drawing in the list.

use jiff::civil::Date;

use super::patches;
use crate::assess::PatchSeason;
use crate::assess::season_report::SeasonReport;
use crate::records::SiteName;
use crate::report::page::{Block, Drawing, Section};
use crate::report::plot::{PlotError, pressure_sheets, week_strip_sheets};
use crate::units::Season;

pub(super) fn section(report: &SeasonReport) -> Result<Section, PlotError> {
    let of = |pressed: bool| {
        let patches = report.patches.iter().filter(|patch| patches::is_pressed(patch) == pressed);
        let known = patches
            .filter(|patch| patch.season.visits > 0 || patch.season.series.latest().is_some());
        known.map(|patch| patch.season.clone()).collect::<Vec<PatchSeason>>()
    };
    let drawings = courses(report, &of(true))?.into_iter().chain(weeks(report, &of(false))?);
    let mut blocks: Vec<Block> = drawings.map(Block::Drawing).collect();
    if blocks.is_empty() {
        let text = "Nothing was measured or cut by then, so there is no course to draw.";
        blocks.push(Block::Paragraph(text.to_owned()));
    }
    Ok(Section { id: "pressure", heading: "Through the season".to_owned(), blocks })
}

/// The other patches, a row each: how worn each was in each week, and by how many feet.
fn weeks(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = week_strip_sheets(report.site_name(), seasons, span.season, span.to, 1)?;
    Ok(drawings(sheets, QUIET))
}

/// What stood on each patch that was pressed, what was cut, and what the share allowed.
fn courses(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = pressure_sheets(report.site_name(), seasons, span.season, span.to, 1)?;
    Ok(drawings(sheets, &format!("{PRESSED}: {COURSE}")))
}

/// The patches that somebody cut by their courses, the others a row each; `first` is the number of
/// the first picture of its kind on the page.
///
/// # Errors
/// Those of drawing the plots, which drawing into memory has no cause for.
pub(in crate::report) fn drawn_through(
    site: &SiteName,
    seasons: &[PatchSeason],
    season: Season,
    on: Date,
    first: usize,
) -> Result<Vec<Drawing>, PlotError> {
    let (used, quiet): (Vec<_>, Vec<_>) =
        seasons.iter().cloned().partition(|patch| patch.visits > 0);
    let mut all = match used.is_empty() {
        true => Vec::new(),
        false => {
            let sheets = pressure_sheets(site, &used, season, on, first)?;
            drawings(sheets, &format!("{USED}: {COURSE}"))
        }
    };
    if !quiet.is_empty() {
        all.extend(drawings(week_strip_sheets(site, &quiet, season, on, first)?, QUIET));
    }
    Ok(all)
}

const QUIET: &str = "The other patches, a row each, a column a week. The fuller the blue, the more of \
    the full crop was missing; the fuller the brown below it, the nearer a year's feet came to what \
    the ground bears.";
const PRESSED: &str = "The patches that were pressed hardest, or move";
const USED: &str = "The patches that were cut";
const COURSE: &str = "the crop through the season with its likely range, and below the line what was \
    cut beside the most that the share allowed. A figure beside a cut is the part of the day's limit \
    that it took.";

fn drawings(sheets: Vec<String>, caption: &str) -> Vec<Drawing> {
    let sheets_in_all = sheets.len();
    // Each is a landmark of its own on a page, by its caption.
    let named = |n: usize| match sheets_in_all {
        1 => caption.to_owned(),
        all => format!("{caption} Part {n} of {all}."),
    };
    let drawing =
        |(n, svg)| Drawing { svg, caption: named(n), wide: true, on_paper: true, key: Vec::new() };
    (1..).zip(sheets).map(drawing).collect()
}
