//! This season beside the one before.

use super::words::sum_of;
use crate::assess::season_report::{FigureId, OfSite, SeasonReport, SeasonTold, Span};
use crate::report::page::{Block, Cell, Column, Table};
use crate::units::counted;

pub(super) fn blocks(report: &SeasonReport) -> Vec<Block> {
    let kept = Some(report.kept_terms()).filter(|_| !report.agreements.is_empty());
    let mut seasons = vec![(&report.told, kept)];
    if let Some(before) = &report.before {
        let part = (before.so_far.span != before.whole.span).then_some((&before.so_far, None));
        seasons.extend(part.into_iter().chain([(&before.whole, before.kept_terms)]));
    }
    let caption = match &report.before {
        Some(_) => "This season beside the one before".to_owned(),
        None => format!(
            "This season; of the one before, {}, nothing is recorded here",
            report.span.season.preceding()
        ),
    };
    let spans = seasons.iter().map(|(told, _)| Column::headed(span_named(told.span)));
    let rows = MEASURES.map(|(what, figure, of)| {
        let cells = seasons.iter().enumerate().map(|(n, (told, kept))| {
            let cell = Cell::of(of(told, *kept));
            if n == 0 { cell.id(FigureId::Site(figure).to_string()) } else { cell }
        });
        std::iter::once(Cell::of(what)).chain(cells).collect()
    });
    vec![Block::Table(Table {
        caption,
        columns: std::iter::once(Column::words("Season")).chain(spans).collect(),
        rows: rows.into(),
    })]
}

/// What it is, the name it can be traced by, and how it is said.
type Compared = (&'static str, OfSite, fn(&SeasonTold, Option<bool>) -> String);

const MEASURES: [Compared; 6] = [
    ("Days with a cut", OfSite::Visits, |told, _| told.days.to_string()),
    ("Most people", OfSite::People, |told, _| {
        told.most_people.map_or("–".to_owned(), |people| people.to_string())
    }),
    ("Taken", OfSite::Visits, |told, _| {
        sum_of(told.taken.iter().map(|(crop, amount)| (&**crop, *amount)))
    }),
    ("More than could be borne", OfSite::Overruns, |told, _| match told.past_bearing {
        0 => "never".to_owned(),
        n => counted(n, "cut"),
    }),
    ("What was agreed", OfSite::Terms, |_, kept| {
        let said = match kept {
            Some(true) => "kept",
            Some(false) => "not kept",
            None => "–",
        };
        said.to_owned()
    }),
    ("Records put right", OfSite::Corrections, |told, _| told.righted.to_string()),
];

/// `2026/27, to 14 Mar`, or `2025/26, whole`.
pub(in crate::report) fn span_named(span: Span) -> String {
    if span.days_left() == 0 {
        format!("{}, whole", span.season)
    } else {
        format!("{}, to {}", span.season, span.to.strftime("%-d %b"))
    }
}
