//! How hard each patch was used through the season, as plots.
//!
//! A plot of another kind is one more drawing in the list.

use crate::assess::PatchSeason;
use crate::assess::season_report::SeasonReport;
use crate::report::page::{Block, Drawing, Section};
use crate::report::plot::{PlotError, pressure_sheets, week_strip_sheets};

pub(super) fn section(report: &SeasonReport) -> Result<Section, PlotError> {
    let seasons: Vec<PatchSeason> =
        report.patches.iter().map(|patch| patch.season.clone()).collect();
    let anything = seasons.iter().any(|patch| patch.visits > 0 || patch.series.latest().is_some());
    let blocks = if anything {
        let drawings = weeks(report, &seasons)?.into_iter().chain(courses(report, &seasons)?);
        drawings.map(Block::Drawing).collect()
    } else {
        let text = "Nothing was measured or cut by then, so there is no course to draw.";
        vec![Block::Paragraph(text.to_owned())]
    };
    Ok(Section { id: "pressure", heading: "Through the season".to_owned(), blocks })
}

/// The overview: how worn each patch was in each week, and by how many feet.
fn weeks(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = week_strip_sheets(report.site_name(), seasons, span.season, span.to)?;
    Ok(drawings(
        sheets,
        "The season at a glance: a row for each patch, a column for each week. The fuller the blue, \
         the more of the full crop was missing; the fuller the brown below it, the nearer a year's \
         feet came to what the ground bears.",
    ))
}

/// What stood on each patch, what was cut, and what the share allowed.
fn courses(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = pressure_sheets(report.site_name(), seasons, span.season, span.to)?;
    Ok(drawings(
        sheets,
        "The crop of each patch through the season, with its likely range, and below the line what \
         was cut beside the most that the share allowed. Other rules may have allowed less: a figure \
         beside a cut is the part of what all of them together allowed.",
    ))
}

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
