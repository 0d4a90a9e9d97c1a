//! Each day on which something was cut, and how many came. Nobody is named.

use super::words::number_of;
use crate::assess::season_report::{FigureId, OfSite, SeasonReport, Visit};
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::units::spoken_day;

pub(super) fn section(report: &SeasonReport) -> Section {
    let blocks = if report.visits.is_empty() {
        vec![Block::Paragraph("No cut is recorded from these days.".to_owned())]
    } else {
        vec![Block::Paragraph(summary(report)), Block::Table(table(report))]
    };
    Section { id: "visits", heading: "Visits and people".to_owned(), blocks }
}

fn summary(report: &SeasonReport) -> String {
    let counted: Vec<u32> = report.visits.iter().filter_map(|visit| visit.people).collect();
    let days = number_of(report.visits.len(), "day", "days");
    let people = match counted.iter().max() {
        None => "nobody wrote down how many people came".to_owned(),
        Some(largest) => {
            let sum = counted.iter().fold(0_u32, |sum, people| sum.saturating_add(*people));
            let mean = f64::from(sum) / counted.len() as f64;
            format!("some {mean:.0} people came each time, {largest} at most")
        }
    };
    let uncounted = report.visits.iter().filter(|visit| visit.uncounted).count();
    let missing = match uncounted {
        0 => String::new(),
        n => format!("; on {} a count is missing for some patch", number_of(n, "day", "days")),
    };
    format!(
        "Something was cut on {days}; {people}{missing}. The number of a day is that of the \
         largest party written down for one patch, since the same people may have cut several."
    )
}

fn table(report: &SeasonReport) -> Table {
    Table {
        caption: "Days with a cut".to_owned(),
        columns: vec![
            Column::words("Day"),
            Column::words("What was cut"),
            Column::figures("People"),
        ],
        rows: report.visits.iter().map(|visit| row(report, visit)).collect(),
    }
}

fn row(report: &SeasonReport, visit: &Visit) -> Vec<Cell> {
    let cuts = visit.cuts.iter().filter_map(|(number, amount)| {
        let patch = report.patches.iter().find(|patch| patch.number == *number)?;
        Some(format!("{} {}", patch.name(), patch.crop().show(*amount)))
    });
    let people = match (visit.people, visit.uncounted) {
        (Some(people), false) => people.to_string(),
        (Some(people), true) => format!("{people} or more"),
        (None, _) => "not written down".to_owned(),
    };
    vec![
        Cell::of(spoken_day(visit.day)),
        Cell::of(cuts.collect::<Vec<_>>().join("; ")),
        Cell::of(people).id(FigureId::Site(OfSite::People).to_string()),
    ]
}
