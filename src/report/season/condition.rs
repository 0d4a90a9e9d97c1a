//! How the patches stand against earlier seasons.

use std::collections::BTreeMap;

use super::words::{sentence, some_of};
use crate::assess::season_report::{FigureId, OfPatch, PatchReport, SeasonReport};
use crate::crop::Trend;
use crate::report::evidence::because;
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::report::trend_name;
use crate::units::{counted, percent, spoken_day};

/// Nothing where no trend is told: page one says what would tell.
pub(super) fn section(report: &SeasonReport) -> Option<Section> {
    let told: Vec<&PatchReport> = report.patches.iter().filter(|patch| is_told(patch)).collect();
    let blocks = vec![Block::Table(table(&told)), Block::Note(HOW.to_owned())];
    (!told.is_empty()).then(|| Section {
        id: "trend",
        heading: "Condition, against earlier seasons".to_owned(),
        blocks,
    })
}

fn is_told(patch: &PatchReport) -> bool {
    patch.evidence.trend.is_known()
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
        Cell::of(trend_name(trend)).marked(matches!(trend, Trend::Declining(_))).id(id),
        Cell::of(sentence(&because(trend))),
    ]
}

/// On page one: what is seen to decline, rise or hold, of how many it cannot be told yet and
/// what would tell; and how much stands by now.
pub(super) fn better_or_worse(report: &SeasonReport) -> Vec<String> {
    if report.patches.is_empty() {
        return Vec::new();
    }
    let told = [told(report), untold(report), stands(report), trodden(report)];
    told.into_iter().flatten().collect()
}

fn told(report: &SeasonReport) -> Option<String> {
    let of = |wanted: fn(&Trend) -> Option<f64>| {
        let names = report.patches.iter().filter_map(|patch| {
            let change = wanted(&patch.evidence.trend)?;
            let sign = if change < 0.0 { "−" } else { "+" };
            Some(format!("{} ({sign}{} a year)", patch.name(), percent(change.abs())))
        });
        names.collect::<Vec<String>>()
    };
    let groups = [
        (
            "Worse",
            of(|trend| match trend {
                Trend::Declining(change) => Some(change.best),
                _ => None,
            }),
        ),
        (
            "Better",
            of(|trend| match trend {
                Trend::Rising(change) => Some(change.best),
                _ => None,
            }),
        ),
        (
            "Much the same",
            of(|trend| match trend {
                Trend::Steady(change) => Some(change.best),
                _ => None,
            }),
        ),
    ];
    let said: Vec<String> = groups
        .into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(word, names)| {
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            format!("{word} from year to year: {}.", some_of(&names))
        })
        .collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Of which patches it cannot be told, and how many more surveys would tell.
fn untold(report: &SeasonReport) -> Option<String> {
    const ENOUGH: usize = 3;
    let mut wanted: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
    let mut wide: Vec<&str> = Vec::new();
    for patch in &report.patches {
        match patch.evidence.trend {
            Trend::TooFew { matched, surveys } => {
                // A lone survey waits for others of its time of the year.
                let counts = matched.max(surveys.min(1));
                wanted.entry(ENOUGH.saturating_sub(counts).max(1)).or_default().push(patch.name());
            }
            Trend::Unclear(_) | Trend::Bare(_) => wide.push(patch.name()),
            Trend::Declining(_) | Trend::Steady(_) | Trend::Rising(_) => {}
        }
    }
    let count = wide.len() + wanted.values().map(Vec::len).sum::<usize>();
    let all = report.patches.len();
    let of = match count {
        0 => return None,
        n if n == all && all == 1 => "of its one patch".to_owned(),
        n if n == all => format!("of any of the {all} patches"),
        n => format!("of {n} of {all} patches"),
    };
    let more = wanted.iter().map(|(n, names)| {
        let each = if names.len() > 1 { " each" } else { "" };
        format!("{n} more{each} at {}", some_of(names))
    });
    let wide = (!wide.is_empty()).then(|| format!("any more at {}", some_of(&wide)));
    let would_tell: Vec<String> = wide.into_iter().chain(more).collect();
    Some(format!(
        "Cannot be told yet {of}. Surveys at the same time of the year would tell: {}.",
        would_tell.join("; ")
    ))
}

/// From this part of the full crop on a patch is as good as full, and below the other it is
/// worn: our own choice, no source.
const NEARLY_FULL: f64 = 0.9;
const WORN: f64 = 0.7;

fn stands(report: &SeasonReport) -> Option<String> {
    let known: Vec<(&str, f64)> = report
        .patches
        .iter()
        .filter_map(|patch| Some((patch.name(), part_standing(patch)?)))
        .collect();
    let unknown = report.patches.len() - known.len();
    if known.is_empty() {
        return Some(
            "No patch had been measured by then, so how they stand is not known.".to_owned(),
        );
    }
    let full = known.iter().filter(|(_, part)| *part >= NEARLY_FULL).count();
    let worn: Vec<&str> =
        known.iter().filter(|(_, part)| *part < WORN).map(|(name, _)| *name).collect();
    let worn = if worn.is_empty() {
        format!("none under {}", percent(WORN))
    } else {
        format!("{} under {} ({})", worn.len(), percent(WORN), some_of(&worn))
    };
    let unmeasured = match unknown {
        0 => String::new(),
        1 => "; 1 is not measured yet".to_owned(),
        n => format!("; {n} are not measured yet"),
    };
    Some(format!(
        "On {}, of the {} whose crop is known, {full} stood at {} of the full crop or more and \
         {worn}{unmeasured}.",
        spoken_day(report.span.to),
        counted(known.len(), "patch"),
        percent(NEARLY_FULL)
    ))
}

/// What stood on the last day told, as a part of the full crop; `None` where nobody knows.
fn part_standing(patch: &PatchReport) -> Option<f64> {
    Some(1.0 - patch.season.series.latest()?.1.depletion)
}

/// Whether it stands so far below its full crop that it is worth a look.
pub(super) fn is_worn(patch: &PatchReport) -> bool {
    part_standing(patch).is_some_and(|part| part < WORN)
}

fn trodden(report: &SeasonReport) -> Option<String> {
    let (patch, part) = report.most_trodden()?;
    Some(format!(
        "Feet pressed {} most: roughly {} of what its ground bears in a year.",
        patch.name(),
        percent(part)
    ))
}
