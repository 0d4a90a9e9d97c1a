//! What is planned to be taken from a site, for its owner: as text, and for machines.

use serde_json::{Value, json};

use super::column::{document, in_unit, number};
use super::layout::{hanging, paragraph};
use crate::assess::{PlannedTakes, PlannedVisit};
use crate::records::Purpose;
use crate::units::spoken_day;

pub const PLANNED_TAKES_SCHEMA: &str = "stintbook.planned-takes/1";

/// A line a visit and what they come to, at most `width` cells wide. Nobody is named.
pub fn planned_takes_text(planned: &PlannedTakes, width: usize) -> String {
    let PlannedTakes { site, from, until, visits, totals } = planned;
    let (from, until) = (spoken_day(*from), spoken_day(*until));
    if visits.is_empty() {
        let none = format!("No walk and no box is planned on {site} from {from} to {until}.");
        return paragraph(&none, width, "");
    }
    let head = format!(
        "What would be taken from {site} from {from} to {until}, if the walks and boxes go that \
         are planned"
    );
    let mut text = paragraph(&head, width, "") + "\n";
    for visit in visits {
        text += &hanging(&heading(visit), width, "  ", "    ");
        for take in &visit.takes {
            let line = format!(
                "{}: {} of {}",
                take.patch,
                take.crop.show(take.amount),
                take.crop.common_name
            );
            text += &hanging(&line, width, "    - ", "      ");
        }
    }
    text += "\nALTOGETHER\n";
    for (crop, amount) in totals {
        let line = format!("{} of {}", crop.show(*amount), crop.common_name);
        text += &hanging(&line, width, "  ", "    ");
    }
    if totals.is_empty() {
        text += "  nothing\n";
    }
    text
}

/// `Thu 18 Mar 2027, a walk of 9 people, set aside`.
fn heading(visit: &PlannedVisit) -> String {
    let (weekday, day) = (visit.day.strftime("%a"), spoken_day(visit.day));
    let what = match visit.purpose {
        Purpose::OwnUse => "own use",
        Purpose::Walk => "a walk",
        Purpose::Sale => "boxes for sale",
    };
    let people = match visit.people {
        1 => "1 person".to_owned(),
        n => format!("{n} people"),
    };
    let how = match (visit.takes.is_empty(), visit.is_held) {
        (true, _) => "nothing is to be had here for it",
        (false, true) => "set aside",
        (false, false) => "what its plan comes to; nothing is set aside yet",
    };
    format!("{weekday} {day}, {what}, {people}: {how}")
}

pub fn planned_takes_json(planned: &PlannedTakes) -> String {
    let visit = |visit: &PlannedVisit| {
        let take = |take: &crate::assess::PlannedTake| {
            json!({
                "patch": &*take.patch,
                "crop": &*take.crop.name,
                (in_unit("amount", take.crop.measure)): number(take.amount),
            })
        };
        json!({
            "day": visit.day.to_string(),
            "for": visit.purpose.name(),
            "people": visit.people,
            "set_aside": visit.is_held,
            "takes": visit.takes.iter().map(take).collect::<Vec<Value>>(),
        })
    };
    let total = |(crop, amount): &(std::sync::Arc<crate::records::Crop>, f64)| json!({ "crop": &*crop.name, (in_unit("amount", crop.measure)): number(*amount) });
    document(&json!({
        "schema": PLANNED_TAKES_SCHEMA,
        "site": planned.site.to_string(),
        "from": planned.from.to_string(),
        "until": planned.until.to_string(),
        "visits": planned.visits.iter().map(visit).collect::<Vec<Value>>(),
        "totals": planned.totals.iter().map(total).collect::<Vec<Value>>(),
    }))
}
