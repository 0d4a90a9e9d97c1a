//! Each stop on its own: what may be cut, why no more, by how many at once, and how.

use crate::report::reasons::because;
use std::collections::BTreeMap;

use maud::{Markup, html};

use super::WalkSheet;
use super::limit::limit;
use crate::assess::Stop;
use crate::records::LookAlikeGrade;
use crate::report::cautions;
use crate::report::lacking::lacking;
use crate::report::layout::held_together;
use crate::report::page::{bullets, section};
use crate::report::people::parties;
use crate::units::{counted, spoken_day};

#[derive(Debug)]
pub(super) struct Stops {
    cards: Vec<StopCard>,
    is_held: bool,
    hold: String,
    /// What is wanted and cannot be met.
    short: Vec<String>,
}

#[derive(Debug)]
struct StopCard {
    number: usize,
    name: String,
    crop: String,
    /// `1 leaf in 12`, `650 g in all`, `40 g each`.
    limit: Vec<String>,
    /// Fatal look-alikes; empty where none is on record.
    fatal: String,
    facts: Vec<(&'static str, String)>,
}

impl Stops {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let stops = sheet.briefing.stops.iter().enumerate();
        Self {
            cards: stops.map(|(n, stop)| StopCard::of(sheet, n, stop)).collect(),
            is_held: sheet.briefing.is_held,
            hold: hold(sheet),
            short: lacking(&sheet.briefing.short).iter().map(|short| format!("{short}.")).collect(),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            @if self.cards.is_empty() {
                p.verdict { strong { "There is nothing to cut on this walk." } }
            } @else {
                @if self.cards.len() > 1 { (self.amounts()) }
                p.verdict {
                    strong { @if self.is_held { "Held. " } @else { "Not held. " } }
                    (self.hold)
                }
            }
            @if !self.short.is_empty() {
                h3 { "Not enough for what is wanted" }
                (bullets(&self.short))
            }
            div class=[(self.cards.len() > 1).then_some("cards")] {
                @for card in &self.cards { (card.laid_out()) }
            }
        };
        section("stops", "What may be cut, and where", &body)
    }

    /// All limits at a glance: what a phone shows first.
    fn amounts(&self) -> Markup {
        html! {
            ul.amounts {
                @for card in &self.cards {
                    li { b { (card.number) } " " (card.name) ": " strong { (held_together(&card.limit.join(", "))) } }
                }
            }
        }
    }
}

impl StopCard {
    fn of(sheet: &WalkSheet, position: usize, stop: &Stop) -> Self {
        Self {
            number: position + 1,
            name: stop.patch.patch().to_owned(),
            crop: stop.crop.common_name.to_string(),
            limit: limit(sheet, position, stop),
            fatal: fatal(stop),
            facts: facts(sheet, position, stop),
        }
    }

    fn laid_out(&self) -> Markup {
        html! {
            article.stop {
                h3 { span.number { (self.number) } " " (self.name) span.crop { (self.crop) } }
                ul.limit { @for part in &self.limit { li { (held_together(part)) } } }
                @if !self.fatal.is_empty() {
                    p.fatal { strong { "Fatal look-alike: " } (self.fatal) "." }
                }
                dl.facts { @for (what, text) in &self.facts { dt { (what) } dd { (text) } } }
            }
        }
    }
}

fn fatal(stop: &Stop) -> String {
    let fatal = cautions::by_gravity(&stop.crop).into_iter();
    let fatal = fatal.filter(|look_alike| look_alike.grade == LookAlikeGrade::Fatal);
    fatal.map(|look_alike| look_alike.name.to_string()).collect::<Vec<_>>().join(", ")
}

fn facts(sheet: &WalkSheet, position: usize, stop: &Stop) -> Vec<(&'static str, String)> {
    let crop = &stop.crop;
    let rule = crop.per_person_visit.as_ref().map(|most| {
        ("A code says", format!("at most {} a person in one visit.", crop.show(most.value.value)))
    });
    let rest = (stop.stays_standing > 0.0).then(|| {
        ("Left over", format!("{} is nobody's and stays standing.", crop.show(stop.stays_standing)))
    });
    let note = sheet.patch(&stop.patch).and_then(|patch| patch.note.as_ref());
    let note = note.map(|note| ("Where", note.to_string()));
    let turns = turns(sheet, position, stop.people_at_once);
    let turns = (!turns.is_empty()).then_some(("Turns", turns));
    let every_stop = [
        ("Cut it so", crop.cut_method.value.to_string()),
        ("At once", at_once(sheet, stop)),
        ("Why no more", format!("{}.", because(&stop.why))),
    ];
    let all = note.into_iter().chain(every_stop).chain(turns).chain(rule).chain(rest);
    all.filter(|(_, text)| !text.is_empty()).collect()
}

fn at_once(sheet: &WalkSheet, stop: &Stop) -> String {
    let bears = stop.people_at_once;
    let all_fit = bears >= sheet.briefing.people();
    let room = if all_fit { ", so there is room for all" } else { " on this ground, no more" };
    format!("{}{room}.", counted(bears, "person"))
}

/// `Turn 1: parties 1 and 3 (7 people). Turn 2: party 2 (4 people).`
fn turns(sheet: &WalkSheet, position: usize, bears: u32) -> String {
    let mut turns: BTreeMap<u32, (Vec<u32>, u32)> = BTreeMap::new();
    for (stint, share) in sheet.briefing.shares_at(position) {
        let (numbers, heads) = turns.entry(share.turn).or_default();
        numbers.push(stint.number);
        *heads = heads.saturating_add(stint.party.people());
    }
    let said: Vec<String> = turns
        .iter()
        .map(|(turn, (numbers, heads))| {
            let too_many = *heads > bears;
            let by_halves = if too_many { "; go in by halves" } else { "" };
            format!("Turn {turn}: {} ({}{by_halves}).", parties(numbers), counted(*heads, "person"))
        })
        .collect();
    said.join(" ")
}

fn hold(sheet: &WalkSheet) -> String {
    let (day, made_on) = (spoken_day(sheet.briefing.day), spoken_day(sheet.made_on));
    if sheet.briefing.is_held {
        format!(
            "The amounts below are set aside in the book for this walk on {day}, as it stood on \
             {made_on}. What is not cut that day goes back."
        )
    } else {
        format!(
            "The amounts below are what would be allowed on {day}, as the book stood on {made_on}. \
             Nothing is set aside: another walk may take them. Hold them, and make this sheet anew, \
             before you go."
        )
    }
}
