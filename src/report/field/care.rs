//! What stands at the foot of every view: the cautions for all, and what to do in an emergency.

use maud::{Markup, html};

use super::{FieldPage, words};
use crate::records::{Emergency, SiteFacts};
use crate::report::cautions;

pub(super) fn care(page: &FieldPage) -> Markup {
    let crops = page.patches.iter().filter_map(|patch| Some(&patch.days.first()?.crop));
    let standing = cautions::for_all(&crops.collect::<Vec<_>>());
    let cards: Vec<(&SiteFacts, Vec<(&str, String)>)> = page
        .ledger
        .sites
        .iter()
        .filter_map(|site| Some((site, told(site.emergency()?, page.with_telephone))))
        .filter(|(_, lines)| !lines.is_empty())
        .collect();
    html! {
        @for sentence in &standing { p { (sentence) } }
        @if !cards.is_empty() {
            details {
                summary { (words::EMERGENCY) }
                @for (site, lines) in &cards {
                    h3 { (site.site.record.name) }
                    dl { @for (what, text) in lines { dt { (what) } dd { (text) } } }
                }
            }
        }
    }
}

fn told(card: &Emergency, with_telephone: bool) -> Vec<(&'static str, String)> {
    let occupier = card.occupier_phone.as_ref().filter(|_| with_telephone);
    let lines = [
        ("The number that holds here", card.number.as_ref()),
        ("Advice line for poisons", card.poison_line.as_ref()),
        ("Nearest way in for a vehicle", card.way_in.as_ref()),
        ("Nearest emergency ward", card.hospital.as_ref()),
        ("Tide tables of", card.tide_station.as_ref()),
        ("Whose land it is, and phone", occupier),
    ];
    let lines = lines.into_iter();
    lines.filter_map(|(what, text)| Some((what, text?.to_string()))).collect()
}
