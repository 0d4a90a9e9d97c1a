//! What is planned to be taken from a site, for its owner: in words, and for machines.

use std::sync::Arc;

use jiff::civil::Date;

use super::page::{Block, Document, Section};
use crate::assess::{PlannedTake, PlannedTakes, PlannedVisit};
use crate::json::{Declared, InUnit, Shape, object, written};
use crate::records::{Crop, Purpose};
use crate::units::{counted, spoken_day};

/// The name and version of what [`planned_takes_json`] writes.
pub const PLANNED_TAKES_SCHEMA: &str = "stintbook.planned-takes/1";

/// What each visit would take, and what they come to. Nobody is named.
pub fn planned_takes_document(planned: &PlannedTakes) -> Document {
    let PlannedTakes { site, from, until, visits, totals } = planned;
    let (from, until) = (spoken_day(*from), spoken_day(*until));
    let title = match visits.is_empty() {
        true => format!("No walk and no box is planned on {site} from {from} to {until}."),
        false => format!(
            "What would be taken from {site} from {from} to {until}, if the walks and boxes go \
             that are planned"
        ),
    };
    let mut altogether: Vec<String> = totals
        .iter()
        .map(|(crop, amount)| format!("{} of {}", crop.show(*amount), crop.common_name))
        .collect();
    if altogether.is_empty() {
        altogether.push("nothing".to_owned());
    }
    let section = |id, heading: &str, blocks| Section { id, heading: heading.to_owned(), blocks };
    let sections = match visits.is_empty() {
        true => Vec::new(),
        false => vec![
            section("visits", "Visits", visits.iter().flat_map(told).collect()),
            section("altogether", "Altogether", vec![Block::List(altogether)]),
        ],
    };
    Document { title, kind: "What is planned", lead: String::new(), sections, foot: Vec::new() }
}

fn told(visit: &PlannedVisit) -> [Block; 2] {
    let take = |take: &PlannedTake| {
        format!("{}: {} of {}", take.patch, take.crop.show(take.amount), take.crop.common_name)
    };
    let takes = visit.takes.iter().map(take).collect();
    [Block::Subheading(heading(visit)), Block::List(takes)]
}

/// `Thu 18 Mar 2027, a walk of 9 people, set aside`.
fn heading(visit: &PlannedVisit) -> String {
    let (weekday, day) = (visit.day.strftime("%a"), spoken_day(visit.day));
    let what = match visit.purpose {
        Purpose::OwnUse => "own use",
        Purpose::Walk => "a walk",
        Purpose::Sale => "boxes for sale",
    };
    let people = counted(visit.people, "person");
    let how = match (visit.takes.is_empty(), visit.is_held) {
        (true, _) => "nothing is to be had here for it",
        (false, true) => "set aside",
        (false, false) => "what its plan comes to; nothing is set aside yet",
    };
    format!("{weekday} {day}, {what}, {people}: {how}")
}

object! {
    /// The whole answer.
    struct PlannedData<'a> {
        site: String,
        from: Date,
        until: Date,
        visits: Vec<VisitData<'a>>,
        totals: Vec<TotalData<'a>>,
    }

    struct VisitData<'a> {
        day: Date,
        r#for: Purpose,
        people: u32,
        /// In the book; else it is what the plan comes to by now.
        set_aside: bool,
        takes: Vec<TakeData<'a>>,
    }

    struct TakeData<'a> {
        patch: &'a str,
        crop: &'a str,
        amount: InUnit<f64>,
    }

    struct TotalData<'a> {
        crop: &'a str,
        amount: InUnit<f64>,
    }
}

/// Each visit with what it would take, and the totals by crop.
pub fn planned_takes_json(planned: &PlannedTakes) -> String {
    let data = PlannedData {
        site: planned.site.to_string(),
        from: planned.from,
        until: planned.until,
        visits: planned.visits.iter().map(visit_data).collect(),
        totals: planned.totals.iter().map(total_data).collect(),
    };
    written(PLANNED_TAKES_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (PLANNED_TAKES_SCHEMA, Shape::of_version::<PlannedData>(PLANNED_TAKES_SCHEMA))
}

fn visit_data(visit: &PlannedVisit) -> VisitData<'_> {
    VisitData {
        day: visit.day,
        r#for: visit.purpose,
        people: visit.people,
        set_aside: visit.is_held,
        takes: visit.takes.iter().map(take_data).collect(),
    }
}

fn take_data(take: &PlannedTake) -> TakeData<'_> {
    let amount = InUnit(take.crop.measure, take.amount);
    TakeData { patch: &take.patch, crop: &take.crop.name, amount }
}

fn total_data((crop, amount): &(Arc<Crop>, f64)) -> TotalData<'_> {
    TotalData { crop: &crop.name, amount: InUnit(crop.measure, *amount) }
}
