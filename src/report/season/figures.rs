//! Where each figure comes from, and how the report can be made again.

use crate::assess::season_report::{FigureId, OfPatch, OfSite, SeasonReport};
use crate::report::page::{Block, Section};
use crate::units::spoken_day;

pub(super) fn section(report: &SeasonReport) -> Section {
    let example = match report.patches.first() {
        Some(patch) => FigureId::Patch(patch.number, OfPatch::Taken),
        None => FigureId::Site(OfSite::Visits),
    };
    let of_site: Vec<&str> = OfSite::ALL.iter().map(|figure| figure.name()).collect();
    let of_patch: Vec<&str> = OfPatch::ALL.iter().map(|figure| figure.name()).collect();
    let how = format!(
        "Every figure has a name, so that the keeper of the book can list the facts behind it. Those of the whole site are {}. Those of a patch are the \
         letter p with its number, and one of {}. For example: {} --trace {example}",
        of_site.join(", "),
        of_patch.join(", "),
        command(report)
    );
    Section {
        id: "figures",
        heading: "Where each figure comes from".to_owned(),
        blocks: vec![Block::Note(how)],
    }
}

pub(super) fn foot(report: &SeasonReport) -> Vec<String> {
    let (from, to) = (spoken_day(report.span.from()), spoken_day(report.span.to));
    vec![
        format!(
            "Made by Stintbook {} from {} facts; days told: {from} to {to}; fingerprint of the \
             facts: {}. The same book makes the same report again, on any day: {} --on {}",
            env!("CARGO_PKG_VERSION"),
            report.facts,
            report.fingerprint,
            command(report),
            report.span.to
        ),
        "Nobody who gathered, measured or wrote things down is named, and what people wrote in \
         words of their own is left out."
            .to_owned(),
    ]
}

fn command(report: &SeasonReport) -> String {
    let site = report.site_name().as_str();
    let quoted = if site.contains(' ') { format!("\"{site}\"") } else { site.to_owned() };
    format!("stintbook report {quoted} --season {}", report.span.season)
}
