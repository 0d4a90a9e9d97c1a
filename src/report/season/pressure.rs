//! How hard each patch was used through the season, as plots.
//!
//! A plot of another kind is one more drawing in the list.

use crate::assess::PatchSeason;
use crate::assess::season_report::SeasonReport;
use crate::report::page::{Block, Drawing, Section};
use crate::report::plot::{PlotError, pressure_sheets};

pub(super) fn section(report: &SeasonReport) -> Result<Section, PlotError> {
    let seasons: Vec<PatchSeason> =
        report.patches.iter().map(|patch| patch.season.clone()).collect();
    let known = seasons.iter().any(|patch| patch.series.latest().is_some());
    let blocks = if known {
        courses(report, &seasons)?.into_iter().map(Block::Drawing).collect()
    } else {
        let text = "No patch was measured by then, so there is no course to draw.";
        vec![Block::Paragraph(text.to_owned())]
    };
    Ok(Section { id: "pressure", heading: "Through the season".to_owned(), blocks })
}

/// What stood on each patch, what was cut, and what the share allowed.
fn courses(report: &SeasonReport, seasons: &[PatchSeason]) -> Result<Vec<Drawing>, PlotError> {
    let span = report.span;
    let sheets = pressure_sheets(report.site_name(), seasons, span.season, span.to)?;
    let drawing = |svg| Drawing {
        svg,
        caption: "The crop of each patch through the season, with its likely range, and below the \
                  line what was cut beside the most that the share allowed; other rules may have \
                  allowed less."
            .to_owned(),
        wide: true,
        on_paper: true,
        key: Vec::new(),
    };
    Ok(sheets.into_iter().map(drawing).collect())
}
