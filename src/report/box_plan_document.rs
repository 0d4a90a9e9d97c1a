//! A month's boxes in words and tables.

use super::box_packing::{box_packing, left_out_of_boxes};
use super::cautions;
use super::lacking;
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::walk_plan_document::{ASK_FIRST, stop_cells};
use crate::assess::{BoxPlan, BoxWant, BoxWeek, First, PlannedStop};
use crate::units::{counted, spoken_day};

/// What comes from where in each week, and what is short, with the cautions where it invites
/// anyone to pick. `count` is how many boxes there are; `packing` tells
/// what goes into which; `said` is what was recorded.
pub fn box_plan_document(
    plan: &BoxPlan,
    count: u32,
    packing: bool,
    said: Option<String>,
) -> Document {
    let altogether = Section {
        id: "altogether",
        heading: "Altogether".to_owned(),
        blocks: vec![Block::Columns(
            plan.wants.iter().map(|want| altogether(plan, want)).collect(),
        )],
    };
    let mut sections: Vec<Section> = plan.weeks.iter().map(week).collect();
    sections.push(altogether);
    sections.extend(left_out_of_boxes(plan));
    if packing {
        sections.extend(box_packing(plan));
    }
    sections.extend(said.map(Section::said));
    let stops = plan.weeks.iter().flat_map(|week| &week.plan.stops);
    let mut crops = stops.map(|stop| &stop.found.crop).peekable();
    if crops.peek().is_some() {
        sections.extend(cautions::sections(crops));
        sections.push(cautions::for_reward_section());
    }
    let title = heading(plan, count);
    Document { title, kind: "Boxes", lead: String::new(), sections, foot: Vec::new() }
}

fn heading(plan: &BoxPlan, count: u32) -> String {
    let wanted: Vec<String> =
        plan.wants.iter().map(|want| format!("{} of {}", want.wanted, want.each.what)).collect();
    let (boxes, weeks) = (counted(count, "box"), counted(plan.weeks.len(), "week"));
    format!("{boxes} over {weeks}: {}.", wanted.join(", "))
}

fn week(week: &BoxWeek) -> Section {
    let day = week.plan.day;
    let heading = format!("{}, {} {}", week.week, day.strftime("%a"), spoken_day(day));
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::amount("take"),
        Column::figures("of"),
        Column::words("count"),
        Column::note("why"),
    ];
    let row = |stop: &PlannedStop| {
        let mut cells = stop_cells(stop);
        if stop.found.ask_first {
            cells[5] += &format!("; {ASK_FIRST}");
        }
        cells.map(Cell::of).to_vec()
    };
    let rows: Vec<Vec<Cell>> = week.plan.stops.iter().map(row).collect();
    let block = if rows.is_empty() {
        Block::Columns(vec!["nothing is gathered".to_owned()])
    } else {
        Block::Table(Table { caption: heading.clone(), columns, rows })
    };
    Section { id: "week", heading, blocks: vec![block] }
}

fn altogether(plan: &BoxPlan, want: &BoxWant) -> String {
    let BoxWant { each, wanted, got, shortage } = want;
    match shortage {
        None => format!("{}: {got} of {wanted}", each.what),
        Some(shortage) if shortage.first == First::NoPatch && is_left_out(plan, want) => {
            format!("{}: {got} of {wanted}; what would serve is left out of every box", each.what)
        }
        Some(shortage) => {
            format!(
                "{}: {got} of {wanted}. In the last week, {}",
                each.what,
                lacking::shortage(shortage)
            )
        }
    }
}

/// Whether a crop that would serve is in no box.
fn is_left_out(plan: &BoxPlan, want: &BoxWant) -> bool {
    let what = &want.each.what;
    plan.left_out.iter().any(|it| it.crop.kitchen_role == *what || it.crop.name == *what)
}
