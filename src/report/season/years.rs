//! Year beside year: what each patch gave and how it stood, season by season.

use super::before::span_named;
use crate::assess::season_report::{PatchYear, PatchYears, SeasonReport};
use crate::report::page::Block;
use crate::report::years::amounts;
use crate::units::counted;

/// Of the patches that were cut in a season before this one; nothing where none was. A line a
/// patch, in columns: a table of it would be as long as all that is told of the patches.
pub(super) fn blocks(report: &SeasonReport) -> Vec<Block> {
    let years = &report.years;
    let was_cut = |patch: &&PatchYears| patch.told.iter().skip(1).any(|told| told.days > 0);
    let seasons: Vec<String> = years.spans.iter().map(|span| span.season.to_string()).collect();
    let line = |patch: &PatchYears| {
        let told = seasons.iter().zip(&patch.told);
        let told: Vec<String> =
            told.map(|(season, told)| format!("{season} {}", said(patch, told))).collect();
        format!("{}: {}", patch.patch.patch(), told.join("; "))
    };
    let lines: Vec<String> = years.patches.iter().filter(was_cut).map(line).collect();
    if lines.is_empty() {
        return Vec::new();
    }
    let spans: Vec<String> = years.spans.iter().map(|span| span_named(*span)).collect();
    let heading = format!("Year beside year, taken of what stood: {}", spans.join("; "));
    vec![Block::Subheading(heading), Block::Columns(lines)]
}

/// `640 g of 14.2 kg (8.76–23.8 kg), 27 people on 3 days`; `nothing of 15.3 kg (9.2–26.6 kg)`.
fn said(patch: &PatchYears, told: &PatchYear) -> String {
    let (taken, stood, range) = amounts(patch, told);
    let taken = if told.days == 0 { "nothing".to_owned() } else { taken };
    let stood = match range.as_str() {
        "" => "an unknown stand".to_owned(),
        range => format!("{stood} ({range})"),
    };
    let came = match told.days {
        0 => String::new(),
        1 => format!(", {}", people(told)),
        days => format!(", {} on {}", people(told), counted(days, "day")),
    };
    format!("{taken} of {stood}{came}")
}

/// As far as anyone wrote it down.
fn people(told: &PatchYear) -> String {
    match (told.people, told.uncounted) {
        (0, _) => "people not counted".to_owned(),
        (n, 0) => counted(n, "person"),
        (n, _) => format!("{n} people and more"),
    }
}
