//! Who may cut what where, as text for a terminal.

use std::collections::BTreeMap;

use super::counting::goes_by;
use super::layout::{hanging, left, paragraph, right, widest};
use crate::assess::{Briefing, PartyStint, Stop, StopShare};
use crate::records::Party;
use crate::units::{counted, spoken_day};

const NUMBER: usize = 3;
const AMOUNT: usize = 9;
const COUNT: usize = 9;
const PEOPLE: usize = 12;
const GAPS: usize = 7;

/// The stops and the parties, at most `width` cells wide, but for the cautions. `labels` are
/// what the parties are called, by number.
pub fn walk_split_table(
    briefing: &Briefing,
    labels: &BTreeMap<u32, String>,
    width: usize,
) -> String {
    let mut text = paragraph(&heading(briefing), width, "");
    if !briefing.stops.is_empty() {
        text += "\nPATCHES, in walking order\n";
        text += &stops(briefing, width);
        text += "\nPARTIES\n";
        let parties = briefing.parties.iter();
        text.extend(parties.map(|stint| party(stint, briefing, labels, width)));
    }
    if !briefing.short.is_empty() {
        text += "\nNOT TO BE HAD\n";
        text.extend(briefing.short.iter().map(|short| hanging(short, width, "  - ", "    ")));
    }
    text
}

fn heading(briefing: &Briefing) -> String {
    let people: u32 = briefing.parties.iter().map(|stint| stint.party.people()).sum();
    let people = if people == 1 { "1 person" } else { &format!("{people} people") };
    let parties = match briefing.parties.len() {
        1 => "1 party".to_owned(),
        n => format!("{n} parties"),
    };
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

fn stops(briefing: &Briefing, width: usize) -> String {
    let names: Vec<String> = briefing.stops.iter().map(|stop| stop.patch.to_string()).collect();
    let for_names = width.saturating_sub(NUMBER + AMOUNT + COUNT + PEOPLE + GAPS);
    let crops = briefing.stops.iter().map(|stop| &*stop.crop.name);
    let crop = widest(crops, 4, (for_names / 2).clamp(4, 20));
    let patch = widest(names.iter().map(String::as_str), 5, for_names.saturating_sub(crop).max(12));
    let row = |cells: [&str; 6]| {
        let line = format!(
            "{} {} {} {}  {} {}",
            right(cells[0], NUMBER),
            left(cells[1], patch),
            left(cells[2], crop),
            right(cells[3], AMOUNT),
            left(cells[4], COUNT),
            left(cells[5], PEOPLE)
        );
        line.trim_end().to_owned() + "\n"
    };
    let mut text = row(["", "patch", "crop", "at most", "count", "at once"]);
    for (n, stop) in briefing.stops.iter().enumerate() {
        let (number, name) = ((n + 1).to_string(), stop.patch.to_string());
        let count = goes_by(&stop.crop, Some(stop.quota), stop.one_in);
        let (most, people) = (stop.crop.show(stop.quota), people_at_once(stop));
        text += &row([&number, &name, &stop.crop.name, &most, &count, &people]);
        text += &paragraph(&reason(stop), width, "      ");
    }
    text
}

fn people_at_once(stop: &Stop) -> String {
    if stop.people_at_once == 1 {
        "1 person".to_owned()
    } else {
        format!("{} people", stop.people_at_once)
    }
}

fn reason(stop: &Stop) -> String {
    if stop.stays_standing > 0.0 {
        format!("{}; {} stays standing", stop.why, stop.crop.show(stop.stays_standing))
    } else {
        stop.why.clone()
    }
}

fn party(
    stint: &PartyStint,
    briefing: &Briefing,
    labels: &BTreeMap<u32, String>,
    width: usize,
) -> String {
    let label = labels.get(&stint.number).map(|label| format!(" {label}")).unwrap_or_default();
    let who = format!("{}{label} ({})", stint.number, heads(&stint.party));
    let Some(first) = stint.starts_at() else {
        return hanging(&format!("{who}: no share of use is left for it"), width, "  ", "      ");
    };
    let start = &briefing.stops[first].patch;
    let head = format!("{who}: starts at {} {}", first + 1, start.patch());
    let share = |share: &StopShare| {
        let stop = &briefing.stops[share.stop];
        let halves = if stint.party.people() > stop.people_at_once { ", in halves" } else { "" };
        let text = format!(
            "turn {}, {} {}: {} of {}{halves}",
            share.turn,
            share.stop + 1,
            stop.patch.patch(),
            stop.crop.show(share.amount),
            stop.crop.name
        );
        hanging(&text, width, "      ", "        ")
    };
    hanging(&head, width, "  ", "      ") + &stint.shares.iter().map(share).collect::<String>()
}

/// `2 adults, 1 child`.
fn heads(party: &Party) -> String {
    let children = match party.children {
        0 => None,
        1 => Some("1 child".to_owned()),
        n => Some(format!("{n} children")),
    };
    let adults = Some(counted(party.adults, "adult")).filter(|_| party.adults > 0);
    let heads: Vec<String> = adults.into_iter().chain(children).collect();
    heads.join(", ")
}
