//! What to mind on the ground: what is said of each site, and what such ground and company ask.

use maud::{Markup, html};

use super::WalkSheet;
use super::before::is_on_the_shore;
use crate::records::{Footprint, PlantPart};
use crate::report::cautions;
use crate::report::page::{bullets, section};
use crate::units::{agreeing, counted};

/// Common practice, no source; on the shore the crops' own cautions say so too, with theirs.
const SHORE: [&str; 4] = [
    "Look up high and low water for this place and day. Set the time to turn back and keep it, \
     whatever is still uncut. Know two ways off: creeks and gullies fill behind you.",
    "Rock under weed is slippery and mud holds boots: hands free, slowly, never alone. Keep from \
     cliff edges and from under them.",
    "Look up what is said that day of this shore's water: sewage, blooms, poisons in shellfish \
     (biotoxins). Where there is a warning, or it rained hard in the days before, take nothing.",
    "Nothing from near outfalls, slipways, harbours, or streams from farms and houses.",
];
const HEDGES: [&str; 2] = [
    "By a road: bright clothes, one file, an adult at each end. Nothing from within the reach of \
     its splash and dust.",
    "Ask what was sprayed, and when. Leave what is yellowed, curled or dusty, and the side next \
     to a crop.",
];
const FUNGI: [&str; 1] =
    ["One kind to a basket. The leader looks at every one, foot and all, before it goes in and \
     again before it goes home; one of each is kept aside, raw."];
const DIGGING: [&str; 1] = ["Dig only where the occupier agreed to digging, and fill each hole."];
const TREES: [&str; 1] = ["Look up: dead limbs fall, most of all in wind."];
const COMPANY: [&str; 3] = [
    "Nobody tastes anything on the way.",
    "Dogs stay on the lead, off the patches and away from stock; best at home.",
    "Long sleeves and trousers. Look one another over for ticks that evening.",
];
const HYGIENE: [&str; 2] = [
    "Clean hands before food: carry water and soap. Clean knives and scissors. Wash all that was \
     gathered in drinking water.",
    "Brush boots before the next site: diseases of plants travel on them.",
];
const WEATHER: [&str; 1] =
    ["Wind in the trees, lightning, fog, cold hands: turn back. The patches will wait."];

#[derive(Debug)]
pub(super) struct Care {
    groups: Vec<Group>,
}

#[derive(Debug)]
struct Group {
    heading: String,
    lines: Vec<String>,
}

impl Group {
    fn common(heading: &str, lines: &[&str]) -> Self {
        Self {
            heading: heading.to_owned(),
            lines: lines.iter().map(|line| (*line).to_owned()).collect(),
        }
    }
}

impl Care {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let has_part = |part: &[PlantPart]| {
            sheet.briefing.stops.iter().any(|stop| part.contains(&stop.crop.part))
        };
        let by_ground = [
            (is_on_the_shore(sheet), "The shore", &SHORE[..]),
            (has_hedge(sheet), "Hedges and verges", &HEDGES),
            (has_part(&[PlantPart::FruitBody]), "Fungi", &FUNGI),
            (has_part(&[PlantPart::Root, PlantPart::Bulb]), "Digging", &DIGGING),
            (has_part(&[PlantPart::Nut]), "Under trees", &TREES),
        ];
        let by_ground = by_ground.into_iter().filter(|(suits, ..)| *suits);
        let by_ground = by_ground.map(|(_, heading, lines)| Group::common(heading, lines));
        let always = [Group::common("Clean", &HYGIENE), Group::common("Weather", &WEATHER)];
        let groups = said_of_sites(sheet)
            .chain([everyone()])
            .chain(by_ground)
            .chain([company(sheet), for_reward()])
            .chain(always);
        Self { groups: groups.collect() }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            div.care {
                @for group in &self.groups { div { h3 { (group.heading) } (bullets(&group.lines)) } }
            }
            p.aside {
                "What is said of a site is from the book, of the law from the sources that \
                 `stintbook crops CROP` names; all else is common practice, without a source."
            }
        };
        section("care", "Care on the ground", &body)
    }
}

fn said_of_sites(sheet: &WalkSheet) -> impl Iterator<Item = Group> {
    sheet.sites().filter_map(|facts| {
        let site = &facts.site.record;
        let said = site.cautions.as_deref().filter(|text| !text.is_empty())?;
        Some(Group { heading: format!("Said of {}", site.name), lines: vec![said.to_owned()] })
    })
}

fn has_hedge(sheet: &WalkSheet) -> bool {
    sheet.briefing.stops.iter().any(|stop| {
        let by_road = stop.crop.cautions.value.to_lowercase().contains("road");
        let patch = sheet.patch(&stop.patch);
        by_road || patch.is_some_and(|patch| matches!(patch.footprint, Footprint::Strip { .. }))
    })
}

/// What holds for every crop, but for what the page begins with.
fn everyone() -> Group {
    let lines = cautions::standing(false).split_off(1);
    Group { heading: "What to tell everyone".to_owned(), lines }
}

/// What a walk that is paid for must have, and what goes into a box that is sold.
fn for_reward() -> Group {
    Group { heading: "Where it is paid for or sold".to_owned(), lines: cautions::for_reward() }
}

fn company(sheet: &WalkSheet) -> Group {
    let children = sheet.briefing.parties.iter().map(|stint| stint.party.children);
    let children = children.fold(0, u32::saturating_add);
    let theirs = (children > 0).then(|| {
        let (come, children) = (agreeing(children, "comes", "come"), counted(children, "child"));
        format!(
            "{children} {come}: each belongs to one adult, who has it within reach at water, road and \
             cliff. A child shows the leader each piece before it goes into the basket."
        )
    });
    let count =
        format!("Count everyone at each stop: {}.", counted(sheet.briefing.people(), "person"));
    let common = COMPANY.iter().map(|line| (*line).to_owned());
    let lines = theirs.into_iter().chain([count]).chain(common).collect();
    Group { heading: "Children, dogs and all".to_owned(), lines }
}
