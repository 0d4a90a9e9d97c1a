//! How the patches stand against earlier seasons.

use super::words::{listed, number_of, sentence};
use crate::assess::season_report::{FigureId, OfPatch, PatchReport, SeasonReport};
use crate::crop::Trend;
use crate::report::evidence::because;
use crate::report::page::{Block, Cell, Column, Section, Table};

pub(super) fn section(report: &SeasonReport) -> Section {
    let (told, untold): (Vec<&PatchReport>, Vec<&PatchReport>) =
        report.patches.iter().partition(|patch| patch.evidence.trend.change().is_some());
    let mut blocks = Vec::new();
    if !told.is_empty() {
        blocks.push(Block::Table(table(&told)));
    }
    blocks.extend(too_early(&untold, told.is_empty()).map(Block::Paragraph));
    blocks.push(Block::Paragraph(HOW.to_owned()));
    Section { id: "trend", heading: "Condition, against earlier seasons".to_owned(), blocks }
}

const HOW: &str = "A trend is told from three surveys near the same day of the year in two years or \
    more, as the yearly change with its 90 % interval. It is called declining or rising where \
    that interval leaves out no change at all, and steady where it stays within 15 % a year.";

fn table(patches: &[&PatchReport]) -> Table {
    Table {
        caption: "Patches with surveys of several years".to_owned(),
        columns: vec![Column::words("Patch"), Column::words("Trend"), Column::words("Because")],
        rows: patches.iter().map(|patch| row(patch)).collect(),
    }
}

fn row(patch: &PatchReport) -> Vec<Cell> {
    let trend = &patch.evidence.trend;
    let id = FigureId::Patch(patch.number, OfPatch::Trend).to_string();
    vec![
        Cell::of(format!("{} {}", patch.number, patch.name())).under(&*patch.crop().common_name),
        Cell::of(trend.name()).marked(matches!(trend, Trend::Declining(_))).id(id),
        Cell::of(sentence(&because(trend))),
    ]
}

fn too_early(patches: &[&PatchReport], are_all: bool) -> Option<String> {
    if are_all && !patches.is_empty() {
        return Some("No patch has enough surveys yet to tell a trend.".to_owned());
    }
    let names: Vec<&str> = patches.iter().map(|patch| patch.name()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "{} too few surveys yet to tell a trend: {}.",
            number_of(names.len(), "patch has", "patches have"),
            listed(&names)
        )
    })
}
