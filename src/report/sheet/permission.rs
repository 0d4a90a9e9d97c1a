//! What the occupier of a site agreed to, as far as it touches this walk.

use maud::{Markup, html};

use super::WalkSheet;
use super::blank::{Blank, blanks};
use crate::records::{Basis, Permission, SiteFacts};
use crate::report::page::bullets;
use crate::report::reasons::what_for;
use crate::rules::answer_for;
use crate::units::{Amount, Measure, counted, listed, spoken_day};

#[derive(Debug)]
pub(super) struct SitePermission {
    /// The site, and who can give leave.
    heading: String,
    /// Something is amiss: no leave, or more people than it lets in.
    amiss: Vec<String>,
    terms: Vec<String>,
    /// Where the occupier wants to be asked before each visit.
    ask_first: Option<String>,
}

impl SitePermission {
    pub(super) fn of(sheet: &WalkSheet, facts: &SiteFacts) -> Self {
        let site = &facts.site.record;
        let that_touch: Vec<&Permission> = facts
            .permissions
            .iter()
            .map(|fact| &fact.record)
            .filter(|permission| touches(sheet, permission))
            .collect();
        let occupier = site.occupier.as_deref().unwrap_or("the occupier");
        let said = answer_for(&facts.visits, sheet.briefing.day);
        let asks = that_touch.iter().any(|permission| permission.ask_first) && said.is_none();
        let mut terms: Vec<String> =
            that_touch.iter().map(|permission| terms(sheet, permission)).collect();
        terms.extend(said.map(|(answer, on)| {
            format!("Asked on {} for this day; the answer was {answer}.", spoken_day(on))
        }));
        Self {
            heading: match &site.occupier {
                Some(occupier) => format!("{}: {occupier}", site.name),
                None => site.name.to_string(),
            },
            amiss: amiss(sheet, &that_touch).into_iter().collect(),
            terms,
            ask_first: asks.then(|| format!("Ask {occupier} before you go: they want to know.")),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        html! {
            div.leave {
                h3 { (self.heading) }
                @for text in &self.amiss { p.warning { strong { "▲ " (text) } } }
                (bullets(&self.terms))
                @if let Some(ask) = &self.ask_first {
                    p { strong { (ask) } }
                    (blanks(&[Blank::of("Asked on"), Blank::of("Their answer")]))
                }
            }
        }
    }
}

/// It holds on the day, for what the walk is for and for a crop that is cut on its site.
fn touches(sheet: &WalkSheet, permission: &Permission) -> bool {
    let stops = &sheet.briefing.stops;
    let mut here = stops.iter().filter(|stop| *stop.patch.site() == permission.site);
    permission.holds_on(sheet.briefing.day)
        && permission.is_for(sheet.briefing.purpose)
        && here.any(|stop| permission.covers_crop(&stop.crop.name))
}

fn amiss(sheet: &WalkSheet, that_touch: &[&Permission]) -> Option<String> {
    if that_touch.is_empty() {
        let purpose = sheet.briefing.purpose.spoken();
        return Some(format!(
            "No leave for {purpose} is on record for that day. Ask before you go."
        ));
    }
    let coming = sheet.briefing.people();
    let fewest = that_touch.iter().filter_map(|permission| permission.largest_party).min();
    fewest.filter(|most| *most < coming).map(|most| {
        format!("{} may come at once, and this walk has {coming}.", counted(most, "person"))
    })
}

/// `Written, until 31 Aug 2027, for Ramsons, leaf and Sloe. At most 12 people at once. …`
fn terms(sheet: &WalkSheet, permission: &Permission) -> String {
    let until = match permission.to {
        Some(last) => format!("until {}", spoken_day(last)),
        None => "until further notice".to_owned(),
    };
    let mut sentences =
        vec![format!("{}, {until}, for {}", basis(permission.basis), crops(sheet, permission))];
    sentences.push(format!("Given for {}", what_for(permission)));
    if let Some(most) = permission.largest_party {
        sentences.push(format!("At most {} at once", counted(most, "person")));
    }
    if !permission.methods.is_empty() {
        sentences.push(format!("Only {}", permission.methods.join(" or ")));
    }
    sentences.extend(caps(permission));
    let note = permission.note.iter().map(|note| format!("“{note}”"));
    sentences.into_iter().chain(note).map(|sentence| sentence + ". ").collect::<String>()
}

fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Written => "In writing",
        Basis::Spoken => "By word of mouth",
        Basis::Right => "By right",
        Basis::Custom => "By custom",
    }
}

/// Those of the walk that it covers, by the names people use.
fn crops(sheet: &WalkSheet, permission: &Permission) -> String {
    let mut names: Vec<String> = Vec::new();
    for stop in &sheet.briefing.stops {
        let name = stop.crop.common_name.to_lowercase();
        let covered =
            *stop.patch.site() == permission.site && permission.covers_crop(&stop.crop.name);
        if covered && !names.contains(&name) {
            names.push(name);
        }
    }
    names.join("; ")
}

fn caps(permission: &Permission) -> Option<String> {
    let caps = [(permission.cap_per_visit, "a day"), (permission.cap_per_season, "a season")];
    let caps: Vec<String> = caps
        .into_iter()
        .filter_map(|(cap, span)| cap.map(|amount| format!("{} {span}", shown(amount))))
        .collect();
    (!caps.is_empty()).then(|| format!("Of each crop at most {}", listed(&caps)))
}

fn shown(amount: Amount) -> String {
    match amount.measure {
        Measure::Mass => amount.to_string(),
        Measure::Count => format!("{amount} pieces"),
    }
}
