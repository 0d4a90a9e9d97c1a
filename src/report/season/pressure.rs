//! How hard each patch was used through the season, as plots.
//!
//! A plot of another kind is one more drawing in the list.

use super::patches;
use crate::assess::PatchSeason;
use crate::assess::season_report::SeasonReport;
use crate::report::page::{Block, Drawing, Section};
use crate::report::plot::{PlotError, pressure_sheets, week_strip_sheets};

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
    let sheets = week_strip_sheets(report.site_name(), seasons, span.season, span.to)?;
    Ok(drawings(sheets, QUIET))
}

/// What stood on each patch that was pressed, what was cut, and what the share allowed.
fn courses(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = pressure_sheets(report.site_name(), seasons, span.season, span.to)?;
    Ok(drawings(sheets, TOLD))
}

const QUIET: &str = "The other patches, a row each, a column a week. The fuller the blue, the more of \
    the full crop was missing; the fuller the brown below it, the nearer a year's feet came to what \
    the ground bears.";
const TOLD: &str = "The patches that were pressed hardest, or move: the crop through the season with its likely \
    range, and below the line what was cut beside the most that the share allowed. A figure beside a \
    cut is the part of the day's limit that it took.";

fn drawings(sheets: Vec<String>, caption: &str) -> Vec<Drawing> {
    let drawing = |svg| Drawing {
        svg,
        caption: caption.to_owned(),
        wide: true,
        on_paper: true,
        key: Vec::new(),
    };
    sheets.into_iter().map(drawing).collect()
}
