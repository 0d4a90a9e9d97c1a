//! The walks of a book: in words and for machines.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use super::column::{Column, Measured, csv, document, object, word};
use super::page::{Block, Cell, Column as Head, Document, Section, Table};
use super::receipt::standing;
use crate::records::{Fact, Purpose, Walk};
use crate::units::{counted, listed, spoken_day};

/// The name and version of what [`walk_list_json`] writes.
pub const WALK_LIST_SCHEMA: &str = "stintbook.walks/1";

/// A walk, and how far it has come.
#[derive(Clone, Copy, Debug)]
pub struct ListedWalk<'a> {
    /// As it is recorded.
    pub walk: &'a Fact<Walk>,
    /// Its day lies behind the day asked about.
    pub has_passed: bool,
    /// Cuts that bear its name.
    pub cuts: usize,
    /// Patches on which something is set aside for it.
    pub holds: usize,
    /// On how many of those the other walks leave it less.
    pub short: usize,
}

/// The walks in the order given, as things stand on a day.
pub fn walk_list_document(walks: &[ListedWalk], on: Date) -> Document {
    let title = match walks.len() {
        0 => "No walk is recorded yet; `stintbook walk new` records one.".to_owned(),
        n => format!("{} on {}", counted(n, "walk"), spoken_day(on)),
    };
    let columns = vec![
        Head::name("day"),
        Head::name("walk"),
        Head::figures("people"),
        Head::note("where, and how far it has come"),
    ];
    let row = |listed: &ListedWalk| {
        let walk = &listed.walk.record;
        let day = format!("{} {}", walk.day.strftime("%a"), spoken_day(walk.day));
        let people = format!("{} in {}", walk.people(), counted(walk.parties.len(), "party"));
        [day, walk.name.to_string(), people, said(listed)].map(Cell::of).to_vec()
    };
    let rows = walks.iter().map(row).collect();
    let table = Table { caption: title.clone(), columns, rows };
    let list = Section { id: "walks", heading: String::new(), blocks: vec![Block::Table(table)] };
    let sections = if walks.is_empty() { Vec::new() } else { vec![list] };
    Document { title, kind: "Walks", lead: String::new(), sections, foot: Vec::new() }
}

fn said(listed_walk: &ListedWalk) -> String {
    let Fact { record: walk, by, .. } = listed_walk.walk;
    let purpose = match walk.purpose() {
        Purpose::Walk => String::new(),
        other => format!(", for {}", other.spoken()),
    };
    let wanted = match walk.wants.is_empty() {
        true => String::new(),
        false => format!("; wanted: {}", wants(walk)),
    };
    let (sites, standing) = (listed(&sites(walk)), stands(listed_walk));
    format!("{sites}{purpose}, led by {by}; {standing}{wanted}")
}

fn sites(walk: &Walk) -> Vec<String> {
    walk.sites().map(ToString::to_string).collect()
}

fn wants(walk: &Walk) -> String {
    let wants = walk.wants.iter().map(|want| format!("{} {}", want.amount, want.what));
    wants.collect::<Vec<_>>().join(", ")
}

fn stands(listed: &ListedWalk) -> String {
    standing(listed.has_passed, listed.cuts, listed.holds, listed.short)
}

fn columns<'a>() -> [Column<ListedWalk<'a>>; 12] {
    [
        Column::plain("walk", |listed| word(&listed.walk.record.name)),
        Column::plain("day", |listed| word(listed.walk.record.day)),
        Column::plain("sites", |listed| word(sites(&listed.walk.record).join("; "))),
        Column::plain("for", |listed| word(listed.walk.record.purpose().spoken())),
        Column::plain("led_by", |listed| word(&listed.walk.by)),
        Column::plain("people", |listed| listed.walk.record.people().into()),
        Column::plain("parties", |listed| listed.walk.record.parties.len().into()),
        Column::plain("wants", |listed| word(wants(&listed.walk.record))),
        Column::plain("cuts", |listed| listed.cuts.into()),
        Column::plain("patches_set_aside", |listed| listed.holds.into()),
        Column::plain("patches_promised_too_much", |listed| listed.short.into()),
        Column::plain("standing", |listed| word(stands(listed))),
    ]
}

impl Measured for ListedWalk<'_> {}

/// An object a walk.
pub fn walk_list_json(walks: &[ListedWalk], on: Date) -> String {
    let listed: Vec<Map<String, Value>> =
        walks.iter().map(|walk| object(&columns(), walk)).collect();
    document(&json!({ "schema": WALK_LIST_SCHEMA, "on": on.to_string(), "walks": listed }))
}

/// A line a walk.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn walk_list_csv(walks: &[ListedWalk]) -> Result<String, csv::Error> {
    csv(&columns(), walks)
}
