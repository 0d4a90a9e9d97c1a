//! What was agreed, term by term, and what the book shows of it.

use super::words::{named, some_of};
use crate::assess::season_report::{
    Agreement, AskedDays, FigureId, Held, OfSite, SeasonReport, ShutSpell,
};
use crate::records::{Basis, Permission};
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::report::reasons::what_for;
use crate::units::{Amount, Measure, counted, listed, spoken_day};

pub(super) fn section(report: &SeasonReport) -> Section {
    let mut blocks = Vec::new();
    if report.agreements.is_empty() {
        let none = "No permission that holds in this season is recorded.";
        blocks.push(Block::Paragraph(none.to_owned()));
    } else {
        blocks.push(Block::Table(permissions(report)));
    }
    blocks.extend(shut(report).map(Block::Table));
    let remarks = [ask_first(report), lifted(report), no_take(report)];
    blocks.push(Block::List(remarks.into_iter().flatten().collect()));
    blocks.extend(without_leave(report));
    Section { id: "agreed", heading: "What was agreed, and whether it was kept".to_owned(), blocks }
}

fn permissions(report: &SeasonReport) -> Table {
    Table {
        caption: "What each permission says, and under it what the book shows".to_owned(),
        columns: vec![
            Column::words("Permission"),
            Column::words("For"),
            Column::words("Each crop, a day"),
            Column::words("Each crop, a season"),
            Column::words("Party"),
            Column::words("By"),
            Column::figures("Cuts"),
        ],
        rows: report.agreements.iter().map(|agreement| row(report, agreement)).collect(),
    }
}

fn row(report: &SeasonReport, agreement: &Agreement) -> Vec<Cell> {
    let permission = &agreement.permission.record;
    let id = || FigureId::Site(OfSite::Terms).to_string();
    vec![
        Cell::of(format!("{}: {}", basis(permission.basis), crops(report, permission)))
            .under(days(permission)),
        used_for(agreement).id(id()),
        cap(report, permission, permission.cap_per_visit, agreement.day.as_ref()).id(id()),
        cap(report, permission, permission.cap_per_season, agreement.season.as_ref()).id(id()),
        party(agreement).id(id()),
        ways(agreement).id(id()),
        Cell::of(agreement.cuts.to_string()).id(id()),
    ]
}

fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Written => "Written permission",
        Basis::Spoken => "Spoken permission",
        Basis::Right => "By right",
        Basis::Custom => "By custom",
    }
}

fn used_for(agreement: &Agreement) -> Cell {
    let permission = &agreement.permission.record;
    let others = || counted(agreement.cuts_for_other_use, "cut");
    let agreed = match permission.purposes {
        Some(_) => Cell::of(what_for(permission)),
        None => Cell::of("own use, as it does not say"),
    };
    match (agreement.cuts, agreement.cuts_for_other_use) {
        (0, _) => agreed.under("no cut"),
        (_, 0) => agreed.under("kept"),
        _ if agreement.use_broken() => {
            agreed.under(format!("not kept: {} for other use", others())).marked(true)
        }
        _ => agreed.under(format!("to be asked: {} on walks or for boxes", others())),
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

fn cap(
    report: &SeasonReport,
    permission: &Permission,
    cap: Option<Amount>,
    held: Option<&Held>,
) -> Cell {
    let Some(cap) = cap else { return Cell::of("no cap") };
    let agreed = Cell::of(format!("at most {}", shown(report, permission, cap)));
    let Some(held) = held else { return agreed.under("nothing cut that it limits") };
    let (most, crop) = (held.crop.show(held.most), &held.crop.common_name);
    let on = held.on.map_or(String::new(), |day| format!(", {}", spoken_day(day)));
    let verdict = if held.is_over { "over" } else { "kept" };
    agreed.under(format!("{verdict}: {most} of {crop}{on}")).marked(held.is_over)
}

/// A count by what its pieces are called, where a patch of such a crop is on the site.
fn shown(report: &SeasonReport, permission: &Permission, cap: Amount) -> String {
    let mut crops = report.patches.iter().map(|patch| patch.crop());
    let counted = crops.find(|crop| {
        cap.measure == Measure::Count
            && crop.measure == cap.measure
            && permission.covers_crop(&crop.name)
    });
    counted.map_or_else(|| cap.to_string(), |crop| crop.show(cap.value))
}

fn party(agreement: &Agreement) -> Cell {
    let Some(largest) = agreement.permission.record.largest_party else {
        return Cell::of("any size");
    };
    let agreed = Cell::of(format!("at most {largest}"));
    let uncounted = match agreement.cuts_without_people {
        0 => None,
        n => Some(format!("{} not counted", counted(n, "cut"))),
    };
    let verdict = if agreement.party_over { "over" } else { "kept" };
    let seen = agreement.largest_party.map(|people| format!("{verdict}: {people}"));
    let said: Vec<String> = seen.into_iter().chain(uncounted).collect();
    let said = if said.is_empty() { "no cut".to_owned() } else { said.join("; ") };
    agreed.under(said).marked(agreement.party_over)
}

/// A cut by another way is none that the permission covers, and is told as without leave.
fn ways(agreement: &Agreement) -> Cell {
    let methods = &agreement.permission.record.methods;
    if methods.is_empty() {
        return Cell::of("any");
    }
    let agreed = methods.iter().map(|way| &**way).collect::<Vec<_>>().join(" or ");
    let said = match (agreement.cuts, agreement.cuts_without_method) {
        (0, _) => "no cut".to_owned(),
        (_, 0) => "kept".to_owned(),
        (_, unsaid) => format!("{} do not say", counted(unsaid, "cut")),
    };
    Cell::of(agreed).under(said)
}

fn ask_first(report: &SeasonReport) -> Option<String> {
    let AskedDays { days, yes } = report.asked?;
    let asked = match (days, yes) {
        (0, _) => "Nothing was cut that had to be asked for.".to_owned(),
        (days, 0) => format!(
            "Of {} with a cut the book does not say whether that was done.",
            counted(days, "day")
        ),
        (days, yes) if days == yes => {
            format!("That was done, and the answer was yes, on {}.", of_days(yes, days))
        }
        (days, yes) => format!(
            "That was done, and the answer was yes, on {} with a cut; of the others the book does \
             not say.",
            of_days(yes, days)
        ),
    };
    Some(format!("The occupier wants to be asked before each visit. {asked}"))
}

fn of_days(yes: usize, days: usize) -> String {
    match (yes, days) {
        (1, 1) => "the one day".to_owned(),
        (yes, days) if yes == days => format!("all {days} days"),
        (yes, days) => format!("{yes} of {days} days"),
    }
}

fn lifted(report: &SeasonReport) -> Option<String> {
    let lifted = report.agreements.iter().map(|found| &found.permission.record);
    let crops: Vec<String> = lifted
        .filter(|permission| permission.lifts_code_cap)
        .map(|permission| crops(report, permission))
        .collect();
    (!crops.is_empty()).then(|| {
        format!(
            "More than the cap of the code of practice is agreed for {}; it was not applied there.",
            crops.join("; ")
        )
    })
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
        let (closure, told_to) = (&spell.closure.record, report.span.to);
        return Cell::of(match closure.to {
            _ if closure.from > told_to => "not begun",
            Some(last) if last <= told_to => "kept: nothing was cut",
            _ => "kept so far: nothing was cut",
        });
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
    let zones: Vec<&str> = report.site.zones.iter().map(|zone| &*zone.record.name).collect();
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
        names => format!("what of {} lies in it is not counted", some_of(names)),
    };
    Some(format!(
        "Nothing may be cut on {} of no-take ground ({}); {reached}.",
        counted(zones.len(), "piece"),
        some_of(&zones)
    ))
}

/// As many broken terms as page one can name.
const MOST_NAMED: usize = 4;

/// Whether the land was used as was agreed, and where not: of what was agreed only, never of
/// what the patches can bear.
pub(super) fn kept(report: &SeasonReport) -> Vec<String> {
    let mut broken = broken(report);
    let more = broken.split_off(broken.len().min(MOST_NAMED)).len();
    if more > 0 {
        broken.push(format!("{more} more, in the appendix"));
    }
    let said = match (report.agreements.is_empty(), broken.as_slice()) {
        (true, []) => "Cannot be told: no permission for these days is recorded.".to_owned(),
        (true, _) => {
            format!(
                "No: no permission for these days is recorded, and there is {}.",
                listed(&broken)
            )
        }
        (false, []) => format!(
            "Yes, as far as the records tell: {} and {} were kept.",
            counted(report.agreements.len(), "permission"),
            counted(report.shut.len(), "closure")
        ),
        (false, _) => format!("Not in everything: {}. All else was kept.", broken.join("; ")),
    };
    std::iter::once(said).chain(cannot_be_told(report)).collect()
}

/// What was agreed, and no record tells of.
fn cannot_be_told(report: &SeasonReport) -> Option<String> {
    let capped =
        report.agreements.iter().filter(|found| found.permission.record.largest_party.is_some());
    let uncounted: usize = capped.map(|found| found.cuts_without_people).sum();
    let unsaid: usize = report.agreements.iter().map(|found| found.cuts_without_method).sum();
    let any = report.told.days > 0;
    let unsaid_days = report.asked.map_or(0, |asked| asked.days - asked.yes);
    let use_unsaid: usize = report.agreements.iter().map(Agreement::use_unsaid).sum();
    let open = [
        (use_unsaid > 0).then(|| {
            let cuts = counted(use_unsaid, "cut");
            format!("whether walks and boxes were agreed, for {cuts}")
        }),
        (uncounted > 0).then(|| format!("how many came, for {}", counted(uncounted, "cut"))),
        (unsaid > 0).then(|| format!("how it was cut, for {}", counted(unsaid, "cut"))),
        (unsaid_days > 0).then(|| {
            let days = counted(unsaid_days, "day");
            format!("whether you were asked, for {days}")
        }),
        (any && !report.site.zones.is_empty())
            .then(|| "whether anyone stepped on no-take ground".to_owned()),
    ];
    let open: Vec<String> = open.into_iter().flatten().collect();
    (!open.is_empty()).then(|| format!("Not in the records: {}.", open.join("; ")))
}

/// Each term that was not kept, in a few words.
fn broken(report: &SeasonReport) -> Vec<String> {
    let caps = report.agreements.iter().flat_map(|found| {
        let day = found.day.iter().map(|held| (held, "a day"));
        let season = found.season.iter().map(|held| (held, "a season"));
        day.chain(season).filter(|(held, _)| held.is_over)
    });
    let caps = caps.map(|(held, span)| {
        let (most, cap) = (held.crop.show(held.most), held.crop.show(held.cap));
        let on = held.on.map_or(String::new(), |day| format!(" on {}", spoken_day(day)));
        format!("{most} of {} cut{on}, where {cap} {span} was agreed", held.crop.common_name)
    });
    let parties = report.agreements.iter().filter(|found| found.party_over);
    let parties = parties.filter_map(|found| {
        let agreed = found.permission.record.largest_party?;
        Some(format!("a party of {}, where {agreed} was agreed", found.largest_party?))
    });
    let uses = report.agreements.iter().filter(|found| found.use_broken()).map(|found| {
        let cuts = counted(found.cuts_for_other_use, "cut");
        let agreed = what_for(&found.permission.record);
        format!("{cuts} on walks or for boxes, where {agreed} was agreed")
    });
    let shut = report.shut.iter().filter(|spell| !spell.cuts.is_empty()).map(|spell| {
        let place = spell.closure.record.patch.as_deref().unwrap_or("the whole site");
        format!("cuts while {place} was closed")
    });
    let bare = report.without_leave.len();
    let bare = (bare > 0).then(|| format!("{} without leave", counted(bare, "cut")));
    caps.chain(parties).chain(uses).chain(shut).chain(bare).collect()
}

fn without_leave(report: &SeasonReport) -> Vec<Block> {
    if report.without_leave.is_empty() {
        return Vec::new();
    }
    let cuts = report
        .without_leave
        .iter()
        .map(|found| format!("{}, on {}", named(report, found.patch), spoken_day(found.day)));
    vec![
        Block::Subheading("Cut without leave that the book knows of".to_owned()),
        Block::List(cuts.collect()),
    ]
}
