//! What to do when something goes wrong, most of it to be filled in before the walk.

use std::sync::Arc;

use geo::Point;
use maud::{Markup, html};

use super::WalkSheet;
use super::before::is_on_the_shore;
use super::blank::{Blank, blanks};
use super::geo_link::{degrees, geo_link};
use crate::ground::grid_reference;
use crate::records::{Emergency, LandmarkKind, SiteFacts};
use crate::report::landmark_place;
use crate::report::page::section;

/// Common practice, no source, but for what is said of poisons: call without waiting for signs,
/// do not make anyone sick, keep what is left of the plant
/// (https://www.oklahomapoison.org/prevention/plants).
const TO_SAY: [(&str, &str); 4] = [
    (
        "Where",
        "The start's reference or degrees, or those that a phone shows; the nearest place with a \
         name; where a vehicle can come. Not everyone who answers can read a grid reference.",
    ),
    (
        "What",
        "What happened and when; how many are hurt, and their ages; whether each is awake and \
         breathing.",
    ),
    (
        "If something was eaten",
        "Call at once and do not wait for signs. Say what it was taken for, how much, when, by \
         whom. Do not make anyone sick. Keep the rest of the plant and of the food.",
    ),
    (
        "Then",
        "Give the number of your phone, and stay where it has a signal. One stays with the hurt; \
         one meets help at the road; one counts the others.",
    ),
];
const TO_SAY_AT_SEA: (&str, &str) =
    ("On the shore", "Say that it is the shore, and which way the tide goes.");

#[derive(Debug)]
pub(super) struct Card {
    blanks: Vec<Blank>,
    /// To the start, for a phone.
    link: Option<String>,
    to_say: Vec<(&'static str, &'static str)>,
}

impl Card {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let told = |of: fn(&Emergency) -> &Option<Arc<str>>| {
            of_sites(sheet, |facts| of(facts.emergency()?).as_deref().map(str::to_owned))
        };
        let signal = of_sites(sheet, signals);
        let filled = [
            ("The number that holds here", told(|card| &card.number)),
            ("Advice line for poisons", told(|card| &card.poison_line)),
            ("Who leads, and phone", None),
            ("Who takes over, and phone", None),
            ("Nearest way in for a vehicle", told(|card| &card.way_in)),
            ("Nearest emergency ward", told(|card| &card.hospital)),
            ("Where a phone has a signal", signal),
            ("Who carries first aid", None),
        ];
        let blank = |(label, text): (&'static str, Option<String>)| match text {
            Some(text) => Blank::known(label, text),
            None => Blank::of(label),
        };
        let known = [
            ("Whose land it is, and phone", told(|card| &card.occupier_phone)),
            ("Tide tables of", told(|card| &card.tide_station)),
        ];
        let known = known.into_iter().filter(|(_, text)| text.is_some()).map(blank);
        let notes = of_sites(sheet, |facts| Some(facts.emergency()?.note.as_ref()?.to_string()));
        let notes = notes.map(|notes| Blank::known("Also", notes));
        let at_sea = is_on_the_shore(sheet).then_some(TO_SAY_AT_SEA);
        Self {
            link: start_place(sheet).and_then(geo_link),
            blanks: [start(sheet)]
                .into_iter()
                .chain(filled.map(blank))
                .chain(known)
                .chain(notes)
                .collect(),
            to_say: TO_SAY.into_iter().chain(at_sea).collect(),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            div.emergency {
                (blanks(&self.blanks))
                div {
                    @if let Some(link) = &self.link { p.on-screen { a href=(link) { "The start, on a map" } } }
                    h3 { "What to say" }
                    ol { @for (what, text) in &self.to_say { li { strong { (what) ". " } (text) } } }
                    p.aside {
                        "Common practice. What the person who answers the call says comes first."
                    }
                }
            }
        };
        section("emergency", "In an emergency", &body)
    }
}

/// What is said of the sites of the walk; which is which, where they say otherwise.
fn of_sites(sheet: &WalkSheet, of: impl Fn(&SiteFacts) -> Option<String>) -> Option<String> {
    let told = sheet.sites().map(|facts| (facts, of(facts)));
    let told: Vec<(&SiteFacts, Option<String>)> = told.collect();
    let (_, first) = told.first()?;
    if told.iter().all(|(_, text)| text == first) {
        return first.clone();
    }
    let of_site = |(facts, text): &(&SiteFacts, Option<String>)| {
        Some(format!("{}: {}", facts.site.record.name, text.as_ref()?))
    };
    let told: Vec<String> = told.iter().filter_map(of_site).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// `Mill gate (53.1, -12.4)`.
fn signals(facts: &SiteFacts) -> Option<String> {
    let told: Vec<String> = facts
        .landmarks_of(LandmarkKind::Signal)
        .map(|landmark| match landmark_place(landmark) {
            Some(place) => format!("{} ({})", landmark.name, degrees(place)),
            None => landmark.name.to_string(),
        })
        .collect();
    (!told.is_empty()).then(|| told.join(", "))
}

fn start_place(sheet: &WalkSheet) -> Option<Point> {
    let first = sheet.briefing.stops.first();
    sheet.briefing.start.or_else(|| first.and_then(|stop| stop.centre))
}

fn start(sheet: &WalkSheet) -> Blank {
    const LABEL: &str = "Start";
    let Some(start) = start_place(sheet) else { return Blank::of(LABEL) };
    let landmarks = sheet.sites().flat_map(|facts| &facts.landmarks);
    let here = landmarks.map(|fact| &fact.record).find(|one| landmark_place(one) == Some(start));
    let name = here.map(|landmark| format!("{}; ", landmark.name)).unwrap_or_default();
    Blank::known(LABEL, name + &place(start))
}

/// `30U WF 12345 67890 (WGS84 grid) or 54.05012, -3.21034 (latitude, longitude)`; where the grid
/// does not reach, the degrees alone.
fn place(place: Point) -> String {
    let degrees = format!("{} (latitude, longitude)", degrees(place));
    match grid_reference(place) {
        Some(reference) => format!("{reference} (WGS84 grid), or {degrees}"),
        None => degrees,
    }
}
