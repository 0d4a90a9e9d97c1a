//! What to do when something goes wrong, most of it to be filled in before the walk.

use geo::Point;
use maud::{Markup, html};

use super::WalkSheet;
use super::before::is_on_the_shore;
use super::blank::{Blank, blanks};
use super::geo_link::{degrees, geo_link};
use crate::ground::grid_reference;
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
pub(super) struct Emergency {
    blanks: Vec<Blank>,
    /// To the start, for a phone.
    link: Option<String>,
    to_say: Vec<(&'static str, &'static str)>,
}

impl Emergency {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let labels = [
            "The number that holds here",
            "Advice line for poisons",
            "Who leads, and phone",
            "Who takes over, and phone",
            "Nearest way in for a vehicle",
            "Nearest emergency ward",
            "Where a phone has a signal",
            "Who carries first aid",
        ];
        let at_sea = is_on_the_shore(sheet).then_some(TO_SAY_AT_SEA);
        Self {
            link: start_place(sheet).and_then(geo_link),
            blanks: [start(sheet)].into_iter().chain(labels.map(Blank::of)).collect(),
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

fn start_place(sheet: &WalkSheet) -> Option<Point> {
    let first = sheet.briefing.stops.first();
    sheet.briefing.start.or_else(|| first.and_then(|stop| stop.centre))
}

fn start(sheet: &WalkSheet) -> Blank {
    const LABEL: &str = "Start";
    start_place(sheet).map_or(Blank::of(LABEL), |start| Blank::known(LABEL, place(start)))
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
