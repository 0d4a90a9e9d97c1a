//! What needs a hand soon: as text, as JSON, and as a calendar.

use super::opening::conditions;
use std::sync::Arc;

use ics::properties::{Categories, Description, DtEnd, DtStart, Summary};
use ics::{Event, ICalendar, escape_text};
use jiff::civil::Date;

use super::page::{Document, Fact, Section};
use crate::assess::{DueList, Task, What, WhySurvey};
use crate::json::{Declared, Shape, object, one_of, written};
use crate::units::{counted, listed, percent, spoken_day};

/// The name and version of what [`due_json`] writes.
pub const DUE_SCHEMA: &str = "stintbook.due/1";

/// The most urgent first, one thing after the other.
pub fn due_document(due: &DueList) -> Document {
    let (weekday, day) = (due.on.strftime("%a"), spoken_day(due.on));
    let until = spoken_day(due.until);
    let title = match due.tasks.is_empty() {
        true => format!("Nothing needs a hand by {until}, as things stand on {weekday} {day}."),
        false => format!("What needs a hand by {until}, as things stand on {weekday} {day}"),
    };
    let (late, ahead): (Vec<&Task>, Vec<&Task>) =
        due.tasks.iter().partition(|task| task.is_late(due.on));
    let sections = [("late", "Late", late), ("ahead", "To come", ahead)]
        .into_iter()
        .filter(|(_, _, tasks)| !tasks.is_empty())
        .map(|(id, heading, tasks)| {
            let facts = tasks.into_iter().map(|task| fact(task, due.on)).collect();
            Section::facts(id, heading, facts)
        });
    let (lead, foot) = (String::new(), Vec::new());
    Document { title, kind: "Due", lead, sections: sections.collect(), foot }
}

fn fact(task: &Task, on: Date) -> Fact {
    let day = match task.day == on {
        true => "today".to_owned(),
        false if task.day.year() == on.year() => task.day.strftime("%a %-d %b").to_string(),
        false => spoken_day(task.day),
    };
    Fact::of(day, format!("{}: {}", heading(&task.what), said(task, on)))
}

/// What is to be done, in a few words: the title of an event.
fn heading(what: &What) -> String {
    match what {
        What::Settle { walk, .. } => format!("settle {walk}"),
        What::AskFirst { site, .. } => format!("ask on {site}"),
        What::PromiseTooLarge { patch, .. } => format!("promise on {patch}"),
        What::Walk { walk, .. } => format!("walk {walk}"),
        What::Survey(advice) => format!("survey {}", advice.patch),
        What::SayWhatFor { site, .. } => format!("say what leave on {site} is for"),
        What::NotForThis { site, .. } => format!("no leave on {site}"),
        What::CutAgain { patch, .. } => format!("squares on {patch}"),
        What::PermissionEnds { site, .. } => format!("permission on {site}"),
        What::ClosureEnds { site, patch: None, .. } => format!("closure of {site}"),
        What::ClosureEnds { site, patch: Some(patch), .. } => format!("closure of {site}/{patch}"),
        What::Opens { patch, .. } => format!("{patch} opens"),
        What::Shuts { patch, .. } => format!("{patch} shuts"),
        What::LooksThin { patch, .. } | What::Declines { patch, .. } => format!("look at {patch}"),
    }
}

/// The rest of the sentence.
fn said(task: &Task, on: Date) -> String {
    match &task.what {
        What::Settle { walk, .. } => format!(
            "nobody has said yet what was taken; `stintbook walk settle \"{walk}\"` records it"
        ),
        What::AskFirst { walk, occupier, .. } => {
            let whom = occupier.as_deref().unwrap_or("whoever the land belongs to");
            format!("{whom} wants to be asked before {walk}")
        }
        What::PromiseTooLarge { crop, promise, .. } => format!(
            "{} set aside for {} is more than is left there on that day; `stintbook walk hold \
             \"{}\"` sets aside anew",
            crop.show(promise.amount),
            promise.walk,
            promise.walk
        ),
        What::Walk { sites, leader, people, .. } => {
            let sites: Vec<String> = sites.iter().map(ToString::to_string).collect();
            format!("{} on {}, led by {leader}", counted(*people, "person"), listed(&sites))
        }
        What::Survey(advice) => {
            let lapses = match advice.why {
                WhySurvey::Lapsed(_) => "has lapsed",
                _ => "lapses after that day",
            };
            let worth = advice.at_stake.map_or(String::new(), |at_stake| {
                let day = match advice.day == on {
                    true => "today's limit".to_owned(),
                    false => format!("the limit of {}", spoken_day(advice.day)),
                };
                format!(" would add some {} to {day}", advice.crop.show(at_stake))
            });
            let quadrats = counted(advice.quadrats, "quadrat");
            format!("the last one {lapses}; a new one with {quadrats}{worth}")
        }
        What::SayWhatFor { permission, basis, crops, .. } => format!(
            "the {basis} one{} does not say, and so counts as own use: no walk and no box draws \
             on it; ask, then `stintbook correct {} \"for=own use; walk\"` (or `sale`)",
            of_crops(crops),
            permission.short()
        ),
        What::NotForThis { walk, purpose, .. } => {
            format!("no permission there is for {}, as {walk} needs", purpose.spoken())
        }
        What::CutAgain { begun, when, .. } => format!(
            "the second cut of the recovery test begun on {}, by {} at the latest; `stintbook \
             recovery finish` records it",
            spoken_day(*begun),
            spoken_day(when.last_day)
        ),
        What::PermissionEnds { basis, crops, .. } => {
            let of = of_crops(crops);
            format!("the {basis} one{of} ends, and none that is known follows it")
        }
        What::ClosureEnds { reason, .. } => format!("its last day ({reason})"),
        What::Opens { crop, walk, opening, .. } => {
            format!("{}, wanted on {walk}{}", crop.name, conditions(*opening))
        }
        What::Shuts { crop, walk, rule, .. } => {
            format!("{}, wanted on {walk}, may be cut for the last time ({rule})", crop.name)
        }
        What::LooksThin { part, .. } => format!(
            "to the same eyes it looks {} as thick as it did; a survey would tell",
            percent(*part)
        ),
        What::Declines { a_year, .. } => format!(
            "from survey to survey it loses {} a year; `stintbook check` proposes a smaller share",
            percent(-a_year)
        ),
    }
}

/// ` for ramsons-leaf, sloe`, or nothing for every crop.
fn of_crops(crops: &[Arc<str>]) -> String {
    if crops.is_empty() { String::new() } else { format!(" for {}", crops.join(", ")) }
}

one_of! {
    /// What sort of task it is.
    enum Sort {
        Settle = "settle",
        AskFirst = "ask first",
        PromiseTooLarge = "promise too large",
        Walk = "walk",
        Survey = "survey",
        SayWhatFor = "say what for",
        NoLeave = "no leave",
        CutAgain = "cut squares again",
        PermissionEnds = "permission ends",
        ClosureEnds = "closure ends",
        Opens = "opens",
        Shuts = "shuts",
        LooksThin = "looks thin",
        Declines = "declines",
    }
}

fn sort(what: &What) -> Sort {
    match what {
        What::Settle { .. } => Sort::Settle,
        What::AskFirst { .. } => Sort::AskFirst,
        What::PromiseTooLarge { .. } => Sort::PromiseTooLarge,
        What::Walk { .. } => Sort::Walk,
        What::Survey(_) => Sort::Survey,
        What::SayWhatFor { .. } => Sort::SayWhatFor,
        What::NotForThis { .. } => Sort::NoLeave,
        What::CutAgain { .. } => Sort::CutAgain,
        What::PermissionEnds { .. } => Sort::PermissionEnds,
        What::ClosureEnds { .. } => Sort::ClosureEnds,
        What::Opens { .. } => Sort::Opens,
        What::Shuts { .. } => Sort::Shuts,
        What::LooksThin { .. } => Sort::LooksThin,
        What::Declines { .. } => Sort::Declines,
    }
}

object! {
    /// The whole answer.
    struct DueData {
        on: Date,
        until: Date,
        /// The most urgent first.
        due: Vec<TaskData>,
    }

    struct TaskData {
        day: Date,
        late: bool,
        sort: Sort,
        what: String,
        why: String,
        sites: Vec<String>,
    }
}

/// Each thing in the same words, with its day and its sort.
pub fn due_json(due: &DueList) -> String {
    let task = |task: &Task| TaskData {
        day: task.day,
        late: task.is_late(due.on),
        sort: sort(&task.what),
        what: heading(&task.what),
        why: said(task, due.on),
        sites: task.what.sites().iter().map(ToString::to_string).collect(),
    };
    let tasks = due.tasks.iter().map(task).collect();
    written(DUE_SCHEMA, DueData { on: due.on, until: due.until, due: tasks })
}

pub(super) fn declared() -> Declared {
    (DUE_SCHEMA, Shape::of_version::<DueData>(DUE_SCHEMA))
}

/// Days in a calendar (RFC 5545): each thing on its day, what is late on the day asked about. Its
/// lines end in a line feed here; in a file a carriage return goes before each.
pub fn due_calendar(due: &DueList) -> String {
    let mut calendar = ICalendar::new("2.0", "-//stintbook//due//EN");
    for task in &due.tasks {
        calendar.add_event(event(task, due.on));
    }
    calendar.to_string().replace("\r\n", "\n")
}

fn event(task: &Task, on: Date) -> Event<'static> {
    let day = task.day.max(on);
    let basic = |day: Date| day.strftime("%Y%m%d").to_string();
    let heading = heading(&task.what);
    // The same task has the same name each time, so that a calendar takes it for the same.
    let uid = format!("{}-{}@stintbook", basic(task.day), slug(&heading));
    let mut event = Event::new(uid, format!("{}T000000Z", basic(on)));
    let mut start = DtStart::new(basic(day));
    start.append(ics::parameters!("VALUE" => "DATE"));
    event.push(start);
    if let Ok(next) = day.tomorrow() {
        let mut end = DtEnd::new(basic(next));
        end.append(ics::parameters!("VALUE" => "DATE"));
        event.push(end);
    }
    event.push(Summary::new(escape_text(heading).into_owned()));
    event.push(Description::new(escape_text(said(task, on)).into_owned()));
    event.push(Categories::new(sort(&task.what).name()));
    event
}

/// Letters and digits of any script, and lines between.
fn slug(text: &str) -> String {
    let letters = text.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' });
    letters.flat_map(char::to_lowercase).collect()
}
