//! What was agreed, term by term, and what the book shows of it.

use super::words::{listed, named, number_of, some_of};
use crate::assess::season_report::{Agreement, FigureId, Held, OfSite, SeasonReport, ShutSpell};
use crate::records::{Basis, Permission};
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::units::{Amount, spoken_day};

pub(super) fn section(report: &SeasonReport) -> Section {
    let mut blocks = Vec::new();
    if report.agreements.is_empty() {
        blocks.push(Block::Paragraph(
            "No permission that holds in this season is recorded. What is cut without one is \
             listed below."
                .to_owned(),
        ));
    }
    let agreements = report.agreements.iter();
    blocks.extend(agreements.map(|agreement| Block::Table(terms(report, agreement))));
    blocks.extend(shut(report).map(Block::Table));
    blocks.extend(no_take(report).map(Block::Paragraph));
    blocks.extend(without_leave(report));
    Section { id: "agreed", heading: "What was agreed, and whether it was kept".to_owned(), blocks }
}

fn terms(report: &SeasonReport, agreement: &Agreement) -> Table {
    let permission = &agreement.permission.record;
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = |term: &str, agreed: String, shown: Cell| {
        rows.push(vec![
            Cell::of(term),
            Cell::of(agreed),
            shown.id(FigureId::Site(OfSite::Terms).to_string()),
        ]);
    };
    if let Some(cap) = permission.cap_per_visit {
        row("Each crop in a day", at_most(cap), against(agreement.day.as_ref()));
    }
    if let Some(cap) = permission.cap_per_season {
        row("Each crop in a season", at_most(cap), against(agreement.season.as_ref()));
    }
    if let Some(largest) = permission.largest_party {
        row("Party", format!("at most {largest}"), party(agreement));
    }
    if !permission.methods.is_empty() {
        let ways: Vec<&str> = permission.methods.iter().map(|way| &**way).collect();
        row("Way of cutting", ways.join(" or "), Cell::of(ways_shown(agreement)));
    }
    if permission.ask_first {
        let unknown = "the book does not say whether it was asked";
        row("Ask first", "before each visit".to_owned(), Cell::of(unknown));
    }
    if permission.lifts_code_cap {
        let shown = "the code's cap was not applied";
        row("Code of practice", "more than its cap is agreed".to_owned(), Cell::of(shown));
    }
    let cuts = match agreement.cuts {
        0 => "nothing was cut under it".to_owned(),
        n => number_of(n, "cut", "cuts"),
    };
    row("Use", days(permission), Cell::of(cuts));
    Table {
        caption: format!("{}: {}", basis(permission.basis), crops(report, permission)),
        columns: vec![
            Column::words("Term"),
            Column::words("Agreed"),
            Column::words("What the book shows"),
        ],
        rows,
    }
}

fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Written => "Written permission",
        Basis::Spoken => "Spoken permission",
        Basis::Right => "By right",
        Basis::Custom => "By custom",
    }
}

/// As people call them, where a patch of the crop is on the site.
pub(super) fn crops(report: &SeasonReport, permission: &Permission) -> String {
    if permission.crops.is_empty() {
        return "every crop".to_owned();
    }
    let named = permission.crops.iter().map(|name| {
        let patch = report.patches.iter().find(|patch| patch.crop().name == *name);
        patch.map_or(name.to_string(), |patch| patch.crop().common_name.to_string())
    });
    named.collect::<Vec<_>>().join("; ")
}

pub(super) fn days(permission: &Permission) -> String {
    match permission.to {
        Some(last) => format!("{} to {}", spoken_day(permission.from), spoken_day(last)),
        None => format!("from {} until further notice", spoken_day(permission.from)),
    }
}

fn at_most(cap: Amount) -> String {
    format!("at most {cap}")
}

fn against(held: Option<&Held>) -> Cell {
    let Some(held) = held else { return Cell::of("nothing cut that it limits") };
    let on = held.on.map_or(String::new(), |day| format!(" on {}", spoken_day(day)));
    let text = format!("most was {} of {}{on}", held.crop.show(held.most), held.crop.common_name);
    let text = if held.is_over { format!("over: {text}") } else { format!("kept: {text}") };
    Cell::of(text).marked(held.is_over)
}

fn party(agreement: &Agreement) -> Cell {
    let largest = agreement.largest_party.map(|people| format!("largest was {people}"));
    let uncounted = match agreement.cuts_without_people {
        0 => None,
        n => Some(format!("{} without a count of people", number_of(n, "cut", "cuts"))),
    };
    let said: Vec<String> = largest.into_iter().chain(uncounted).collect();
    match (said.is_empty(), agreement.party_over) {
        (true, _) => Cell::of("no cut under it"),
        (false, true) => Cell::of(format!("over: {}", said.join("; "))).marked(true),
        (false, false) => Cell::of(format!("kept: {}", said.join("; "))),
    }
}

/// A cut by another way is none that the permission covers, and is told as without leave.
fn ways_shown(agreement: &Agreement) -> String {
    match (agreement.cuts, agreement.cuts_without_method) {
        (0, _) => "no cut under it".to_owned(),
        (_, 0) => "kept: every cut says so".to_owned(),
        (cuts, unsaid) => {
            format!("{unsaid} of {} do not say how they were cut", number_of(cuts, "cut", "cuts"))
        }
    }
}

fn shut(report: &SeasonReport) -> Option<Table> {
    let row = |spell: &ShutSpell| {
        let closure = &spell.closure.record;
        let where_shut = closure.patch.as_deref().unwrap_or("the whole site");
        let days = match closure.to {
            Some(last) if last == closure.from => spoken_day(last),
            Some(last) => format!("{} to {}", spoken_day(closure.from), spoken_day(last)),
            None => format!("from {}, until further notice", spoken_day(closure.from)),
        };
        vec![Cell::of(where_shut), Cell::of(days), kept_shut(report, spell)]
    };
    let rows: Vec<Vec<Cell>> = report.shut.iter().map(row).collect();
    (!rows.is_empty()).then(|| Table {
        caption: "Closures that fall into these days".to_owned(),
        columns: vec![
            Column::words("Closed"),
            Column::words("Days"),
            Column::words("What the book shows"),
        ],
        rows,
    })
}

fn kept_shut(report: &SeasonReport, spell: &ShutSpell) -> Cell {
    if spell.cuts.is_empty() {
        let begun = spell.closure.record.from <= report.span.to;
        return Cell::of(if begun { "kept: nothing was cut" } else { "not begun" });
    }
    let cuts: Vec<String> = spell
        .cuts
        .iter()
        .map(|(patch, day)| format!("{} on {}", named(report, *patch), spoken_day(*day)))
        .collect();
    Cell::of(format!("not kept: {}", listed(&cuts))).marked(true)
}

/// What no-take ground takes off the patches.
fn no_take(report: &SeasonReport) -> Option<String> {
    let zones: Vec<&str> =
        report.site.zones.iter().map(|zone| &*zone.record.name).collect();
    if zones.is_empty() {
        return None;
    }
    let reached: Vec<&str> = report
        .patches
        .iter()
        .filter(|patch| !patch.now.ground.lost_to.is_empty())
        .map(|patch| patch.name())
        .collect();
    let reached = match reached.as_slice() {
        [] => "none of it reaches into a patch".to_owned(),
        names => format!("what of {} lies in it does not count as theirs", some_of(names)),
    };
    Some(format!(
        "Nothing may be cut on {} of no-take ground ({}); {reached}.",
        number_of(zones.len(), "piece", "pieces"),
        some_of(&zones)
    ))
}

fn without_leave(report: &SeasonReport) -> Vec<Block> {
    if report.without_leave.is_empty() {
        return Vec::new();
    }
    let cuts = report.without_leave.iter().map(|found| {
        format!("{}, on {}", named(report, found.patch), spoken_day(found.day))
    });
    vec![
        Block::Subheading("Cut without leave that the book knows of".to_owned()),
        Block::List(cuts.collect()),
    ]
}
