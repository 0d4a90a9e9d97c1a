//! The facts behind a figure of the season report.

use super::page::{Block, Section};
use crate::assess::season_report::{FigureId, SeasonReport, TracedFact};

/// Without a heading.
pub fn trace_section(report: &SeasonReport, figure: FigureId, facts: &[TracedFact]) -> Section {
    if facts.is_empty() {
        return Section::said(format!("No fact is behind {figure}."));
    }
    let said = format!("Behind {figure} of {}, season {}:", report.site_name(), report.span.season);
    let blocks = vec![Block::Listed(said, facts.iter().map(line).collect())];
    Section { id: "trace", heading: String::new(), blocks }
}

/// `9f3a01c7  2027-03-14  cut, Mill bank: 650 g`.
fn line(fact: &TracedFact) -> String {
    let patch = fact.patch.as_ref().map_or(String::new(), |patch| format!(", {patch}"));
    let amount = fact.amount.map_or(String::new(), |amount| format!(": {amount}"));
    format!("{}  {}  {}{patch}{amount}", fact.id.short(), fact.day, fact.kind.name())
}
