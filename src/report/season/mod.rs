//! A season on one site, told to those who own the land: one page, and its tables.

mod agreed;
mod basis;
mod before;
mod condition;
mod data;
mod figures;
mod granted;
mod ground;
mod next;
mod patches;
mod pressure;
mod records;
mod short;
mod visits;
mod words;
mod years;

use super::PlotError;
use super::page::{Document, Section};
use crate::assess::season_report::SeasonReport;
use crate::units::spoken_day;

pub(super) use before::span_named;
pub(super) use data::declared;
pub use data::{SEASON_SCHEMA, season_geojson, season_patches_csv, season_visits_csv};
pub(super) use pressure::drawn_through;
pub(super) use words::sum_of;

/// The report as a document, which lays itself out as HTML or as Markdown.
///
/// # Errors
/// Those of drawing the plots, which drawing into memory has no cause for.
pub fn season_document(report: &SeasonReport) -> Result<Document, PlotError> {
    let span = report.span;
    let always = |section: Section| Some(section);
    let sections = [
        always(short::section(report)),
        always(agreed::section(report)),
        always(patches::section(report)),
        visits::section(report),
        records::section(report),
        condition::section(report),
        next::section(report),
        always(basis::how_sure(report)),
        always(basis::cautions(report)),
        always(pressure::section(report)?),
        always(figures::section(report)),
    ];
    let sections = sections.into_iter().flatten().collect();
    Ok(Document {
        title: format!("{}, season {}", report.site_name(), span.season),
        kind: "Season report for the landowner",
        lead: format!(
            "What was agreed, what was cut, how the wild crops stand and what is proposed next, \
             from {} to {}.",
            spoken_day(span.from()),
            spoken_day(span.to)
        ),
        sections,
        foot: figures::foot(report),
    })
}
