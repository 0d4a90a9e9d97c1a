//! The walks of a book: in words and for machines.

use jiff::civil::Date;

use super::column::{Column, Columned, Line, Measured, csv};
use super::page::{Block, Cell, Column as Head, Document, Section, Table};
use super::receipt::standing;
use crate::json::{Declared, Shape, object, written};
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
        Column::text("walk", |listed| listed.walk.record.name.to_string()),
        Column::day("day", |listed| listed.walk.record.day),
        Column::text("sites", |listed| sites(&listed.walk.record).join("; ")),
        Column::text("for", |listed| listed.walk.record.purpose().spoken().to_owned()),
        Column::text("led_by", |listed| listed.walk.by.to_string()),
        Column::count("people", |listed| listed.walk.record.people()),
        Column::whole("parties", |listed| listed.walk.record.parties.len()),
        Column::text("wants", |listed| wants(&listed.walk.record)),
        Column::whole("cuts", |listed| listed.cuts),
        Column::whole("patches_set_aside", |listed| listed.holds),
        Column::whole("patches_promised_too_much", |listed| listed.short),
        Column::text("standing", stands),
    ]
}

impl Columned for ListedWalk<'_> {
    fn columns() -> Vec<Column<Self>> {
        columns().into()
    }
}

object! {
    /// The whole answer.
    struct WalksData<'a> {
        on: Date,
        walks: Vec<Line<'a, ListedWalk<'a>>>,
    }
}

impl Measured for ListedWalk<'_> {}

/// An object a walk.
pub fn walk_list_json(walks: &[ListedWalk], on: Date) -> String {
    written(WALK_LIST_SCHEMA, WalksData { on, walks: walks.iter().map(Line).collect() })
}

pub(super) fn declared() -> Declared {
    (WALK_LIST_SCHEMA, Shape::of_version::<WalksData>(WALK_LIST_SCHEMA))
}

/// A line a walk.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn walk_list_csv(walks: &[ListedWalk]) -> Result<String, csv::Error> {
    csv(&columns(), walks)
}
