//! Twelve months as one page for a screen or for paper.

use super::calendar::{
    TAKEN_FOR_GRANTED, in_letters, in_short, role_label, said, short, stages_told, title,
};
use super::cautions;
use super::page::{Block, Cell, Column, Document, Drawing, Kind, Section, Table};
use super::plot::{PlotError, calendar_figure};
use crate::assess::{Ahead, Calendar, PatchYear};
use crate::units::spoken_day;

/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn calendar_document(calendar: &Calendar) -> Result<Document, PlotError> {
    let sections = match calendar.patches.is_empty() {
        true => vec![Section::said("No patch is known that was asked about.".to_owned())],
        false => {
            let crops = calendar.patches.iter().map(|patch| &patch.crop);
            let mut sections = vec![months(calendar)?, kitchen(calendar), patches(calendar)];
            sections.extend(cautions::sections(crops));
            sections
        }
    };
    Ok(Document {
        title: title(calendar),
        kind: "Calendar",
        lead: TAKEN_FOR_GRANTED.to_owned(),
        sections,
        foot: vec!["Made by Stintbook from one book; no name of anyone is in it.".to_owned()],
    })
}

fn months(calendar: &Calendar) -> Result<Section, PlotError> {
    let drawing = Drawing {
        svg: calendar_figure(calendar)?,
        caption: "Season, and what is expected to open; rings: cut in that month of an earlier \
                  year"
            .to_owned(),
        wide: true,
        on_paper: true,
        key: Vec::new(),
    };
    Ok(Section {
        id: "months",
        heading: "When each patch may be cut".to_owned(),
        blocks: vec![Block::Either {
            letters: in_letters(calendar),
            page: vec![Block::Drawing(drawing)],
        }],
    })
}

fn kitchen(calendar: &Calendar) -> Section {
    let columns =
        calendar.months.map(|month| Column { kind: Kind::Figures, ..Column::headed(short(month)) });
    let row = |role| {
        let months = calendar.months.iter().zip(0..).map(move |(_, n): (_, usize)| {
            let role: &crate::assess::RoleYear = role;
            let cell = role.months[n].as_ref().map_or("–".to_owned(), |it| in_short(role, it));
            Cell::of(cell)
        });
        std::iter::once(Cell::of(role_label(role))).chain(months).collect::<Vec<_>>()
    };
    let table = Table {
        caption: "What one day of each month allows".to_owned(),
        columns: std::iter::once(Column::words("Role")).chain(columns).collect(),
        rows: calendar.roles.iter().map(row).collect(),
    };
    Section {
        id: "kitchen",
        heading: "In the kitchen".to_owned(),
        blocks: vec![Block::Paragraph(OF_THE_KITCHEN.to_owned()), Block::Table(table)],
    }
}

const OF_THE_KITCHEN: &str = "The most that one day of the month allows, in kg or in pieces; in \
    brackets what hangs on a survey or on leave.";

fn patches(calendar: &Calendar) -> Section {
    let table = Table {
        caption: "Each patch, its season, when it was cut, and the next month in which it opens"
            .to_owned(),
        columns: vec![
            Column::words("Patch"),
            Column::words("Season"),
            Column::words("Cut so far"),
            Column::words("Next"),
        ],
        rows: calendar.patches.iter().map(|patch| row(calendar, patch)).collect(),
    };
    Section {
        id: "patches",
        heading: "Patch by patch".to_owned(),
        blocks: vec![Block::Either { letters: Vec::new(), page: vec![Block::Table(table)] }],
    }
}

fn row(calendar: &Calendar, patch: &PatchYear) -> Vec<Cell> {
    let season = Cell::of(patch.window.spoken());
    let season = if patch.own_window { season.under("as it is on this ground") } else { season };
    let cut: Vec<String> = patch
        .cut
        .iter()
        .map(|span| match span.first == span.last {
            true => spoken_day(span.first),
            false => format!("{} to {}", spoken_day(span.first), spoken_day(span.last)),
        })
        .collect();
    let cut = if cut.is_empty() { "never yet".to_owned() } else { cut.join("; ") };
    let seen = stages_told(patch);
    let cut = Cell::of(cut);
    let cut = if seen.is_empty() { cut } else { cut.under(format!("seen {seen}")) };
    let next = calendar.months.iter().zip(&patch.months).find_map(|(first, month)| {
        let Some(Ahead::Opens(expected)) = &month.ahead else { return None };
        Some(format!("{}{}", first.strftime("%B"), said(&patch.crop, expected)))
    });
    vec![
        Cell::of(patch.patch.to_string()).under(&*patch.crop.common_name),
        season,
        cut,
        Cell::of(next.unwrap_or_else(|| "nothing is expected".to_owned())),
    ]
}
