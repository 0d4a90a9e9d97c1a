//! A plan of an outing in words and tables.

use super::cautions;
use super::counting::goes_by;
use super::lacking;
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::plan_gap::gap_sentence;
use super::reasons::{because, mostly};
use crate::assess::{PlannedStop, WalkPlan, WantMet};
use crate::records::PatchName;
use crate::units::{Amount, counted, listed, percent, spoken_day};

pub(super) const ASK_FIRST: &str = "ask the occupier first";

/// The whole plan, with the cautions where it invites anyone to pick.
pub fn walk_plan_document(plan: &WalkPlan) -> Document {
    let wanted: Vec<String> = plan.wants.iter().map(want_line).collect();
    let wanted = (!wanted.is_empty()).then(|| Section {
        id: "wanted",
        heading: "Wanted".to_owned(),
        blocks: vec![Block::Columns(wanted)],
    });
    let left_out = left_out(plan).into_iter().map(Section::said);
    let crops = (!plan.stops.is_empty())
        .then(|| cautions::sections(plan.stops.iter().map(|stop| &stop.found.crop)));
    let sections = stops(plan).into_iter().chain(wanted).chain(left_out);
    Document {
        title: heading(plan),
        kind: "Walk plan",
        lead: String::new(),
        sections: sections.chain(crops.into_iter().flatten()).collect(),
        foot: Vec::new(),
    }
}

fn heading(plan: &WalkPlan) -> String {
    let day = format!("{} {}", plan.day.strftime("%a"), spoken_day(plan.day));
    let people = counted(plan.people, "person");
    if plan.stops.is_empty() {
        let why =
            plan.why_shut.as_ref().map(|why| format!(": {}", mostly(why))).unwrap_or_default();
        return format!("{day}, {people}: nothing can be taken{why}.");
    }
    let patches = counted(plan.stops.len(), "patch");
    let start = if plan.start.is_some() { "" } else { " from the first" };
    format!(
        "{day}, {people}: {patches}, {}{start} in a straight line from one to the next; at most {} of \
         what any of them allows. {}",
        plan.length,
        percent(plan.highest_share),
        gap_sentence(&plan.gap)
    )
}

fn stops(plan: &WalkPlan) -> Option<Section> {
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::amount("take"),
        Column::figures("of"),
        Column::words("count"),
        Column::figures("walk"),
        Column::note("why"),
    ];
    let row = |(n, stop): (usize, &PlannedStop)| {
        let found = &stop.found;
        let [patch, crop, take, most, count, why] = stop_cells(stop);
        let off = stop.off_route.map(|off| format!("{off} off the route"));
        let ask = found.ask_first.then(|| ASK_FIRST.to_owned());
        let why: Vec<String> = [why].into_iter().chain(off).chain(ask).collect();
        let patch = format!("{} {patch}", n + 1);
        let cells = [patch, crop, take, most, count, stop.leg.to_string(), why.join("; ")];
        cells.map(Cell::of).to_vec()
    };
    let rows = plan.stops.iter().enumerate().map(row).collect();
    let caption = "The patches, in walking order".to_owned();
    let table = Block::Table(Table { caption, columns, rows });
    let stops = Section { id: "stops", heading: String::new(), blocks: vec![table] };
    (!plan.stops.is_empty()).then_some(stops)
}

/// The patch, its crop, what is taken, what it allows, what that goes by, and what decides.
pub(super) fn stop_cells(stop: &PlannedStop) -> [String; 6] {
    let found = &stop.found;
    [
        found.patch.to_string(),
        found.crop.name.to_string(),
        found.crop.show(stop.quota),
        found.ruling.most.map_or("any".to_owned(), |most| found.crop.show(most)),
        goes_by(&found.crop, Some(stop.quota), found.one_in_for(stop.quota)),
        because(found.ruling.why()),
    ]
}

fn want_line(want: &WantMet) -> String {
    let amount = want.want.amount;
    let got = Amount { value: want.got, ..amount };
    let from = match want.crops.as_slice() {
        [only] if **only == *want.want.what => String::new(),
        [] => String::new(),
        crops => format!(", {}", listed(crops)),
    };
    match &want.shortage {
        None => format!("{}: {got}{from}", want.want.what),
        Some(shortage) if want.got > 0.0 => {
            format!("{}. There is {got}{from}", lacking::shortage(shortage))
        }
        Some(shortage) => lacking::shortage(shortage),
    }
}

fn left_out(plan: &WalkPlan) -> Vec<String> {
    let names = |patches: &[PatchName]| {
        let names: Vec<String> = patches.iter().map(ToString::to_string).collect();
        names.join(", ")
    };
    let too_far = (!plan.too_far.is_empty()).then(|| {
        let patches = counted(plan.too_far.len(), "patch");
        format!("Too far from the start: {patches} ({}).", names(&plan.too_far))
    });
    let unlimited = (!plan.without_limit.is_empty()).then(|| {
        let names = names(&plan.without_limit);
        format!("Without an upper limit, to be asked for with --want: {names}.")
    });
    too_far.into_iter().chain(unlimited).collect()
}
