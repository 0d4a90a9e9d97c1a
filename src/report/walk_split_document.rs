//! Who may cut what where, in words and tables.

use super::lacking::lacking;
use super::reasons::because;
use std::collections::BTreeMap;

use super::cautions;
use super::counting::goes_by;
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::stress::Stress;
use crate::assess::{Briefing, PartyStint, Stop, StopShare};
use crate::records::Party;
use crate::units::{counted, spoken_day};

/// The stops and the parties, with the cautions where it invites anyone to pick. `labels` are
/// what the parties are called, by number.
pub fn walk_split_document(briefing: &Briefing, labels: &BTreeMap<u32, String>) -> Document {
    let mut sections = Vec::new();
    if !briefing.stops.is_empty() {
        let parties = briefing.parties.iter();
        let parties = parties.flat_map(|stint| party(stint, briefing, labels)).collect();
        sections.push(stops(briefing));
        sections.push(Section { id: "parties", heading: "Parties".to_owned(), blocks: parties });
    }
    sections.extend(Section::list("short", "Not to be had", lacking(&briefing.short)));
    if !briefing.stops.is_empty() {
        sections.extend(cautions::sections(briefing.stops.iter().map(|stop| &stop.crop)));
    }
    let title = heading(briefing);
    Document { title, kind: "Walk split", lead: String::new(), sections, foot: Vec::new() }
}

fn heading(briefing: &Briefing) -> String {
    let people: u32 = briefing.parties.iter().map(|stint| stint.party.people()).sum();
    let people = counted(people, "person");
    let parties = counted(briefing.parties.len(), "party");
    let length = format!("{} in a straight line from patch to patch", briefing.length);
    let hold = format!("`stintbook walk hold \"{}\"` does it", briefing.walk);
    let held = match (briefing.stops.is_empty(), briefing.is_held) {
        (true, _) => "nothing can be taken".to_owned(),
        (false, true) => format!("{length}. The quota is set aside"),
        (false, false) => format!("{length}. Nothing is set aside yet: {hold}"),
    };
    format!(
        "{} on {} {}, led by {}: {people} in {parties}, {held}. Ties fall by seed {}.",
        briefing.walk,
        briefing.day.strftime("%a"),
        spoken_day(briefing.day),
        briefing.leader,
        briefing.seed
    )
}

fn stops(briefing: &Briefing) -> Section {
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::amount("at most"),
        Column::words("count"),
        Column::words("at once"),
        Column::note("why"),
    ];
    let row = |(n, stop): (usize, &Stop)| {
        let cells = [
            format!("{} {}", n + 1, stop.patch),
            stop.crop.name.to_string(),
            stop.crop.show(stop.quota),
            goes_by(&stop.crop, Some(stop.quota), stop.one_in),
            counted(stop.people_at_once, "person"),
            reason(stop),
        ];
        cells.map(Cell::of).to_vec()
    };
    let rows = briefing.stops.iter().enumerate().map(row).collect();
    let caption = "The patches, in walking order".to_owned();
    let blocks = vec![Block::Table(Table { caption, columns, rows })];
    Section { id: "patches", heading: "Patches, in walking order".to_owned(), blocks }
}

fn reason(stop: &Stop) -> String {
    if stop.stays_standing > 0.0 {
        format!("{}; {} stays standing", because(&stop.why), stop.crop.show(stop.stays_standing))
    } else {
        because(&stop.why)
    }
}

/// Who it is, where it starts, and what it takes where, turn by turn.
fn party(stint: &PartyStint, briefing: &Briefing, labels: &BTreeMap<u32, String>) -> Vec<Block> {
    let label = labels.get(&stint.number).map(|label| format!(" {label}")).unwrap_or_default();
    let who = format!("{}{label} ({})", stint.number, heads(&stint.party));
    let Some(first) = stint.starts_at() else {
        return vec![Block::Subheading(format!("{who}: no share of use is left for it"))];
    };
    let start = &briefing.stops[first].patch;
    let head = format!("{who}: starts at {} {}", first + 1, start.patch());
    let share = |share: &StopShare| {
        let stop = &briefing.stops[share.stop];
        let halves = if stint.party.people() > stop.people_at_once { ", in halves" } else { "" };
        format!(
            "turn {}, {} {}: {} of {}{halves}",
            share.turn,
            share.stop + 1,
            stop.patch.patch(),
            Stress::Strong.on(&stop.crop.show(share.amount)),
            stop.crop.name
        )
    };
    vec![Block::Subheading(head), Block::Columns(stint.shares.iter().map(share).collect())]
}

/// `2 adults, 1 child`.
fn heads(party: &Party) -> String {
    let heads = [(party.adults, "adult"), (party.children, "child")];
    let heads = heads.into_iter().filter(|(n, _)| *n > 0).map(|(n, noun)| counted(n, noun));
    heads.collect::<Vec<_>>().join(", ")
}
