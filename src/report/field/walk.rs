//! A leader's walk on the phone: stops, parties by their numbers, and what each may take.

use serde::Serialize;

use super::FieldPage;
use super::texts::Texts;
use crate::assess::{Briefing, PartyStint};
use crate::records::PatchName;
use crate::report::lacking::lacking;
use crate::report::people::heads;

#[derive(Debug, Serialize)]
pub(super) struct WalkData {
    name: String,
    day: String,
    /// The quota is set aside in the book; else another walk may take it.
    held: bool,
    /// What is wanted, or was set aside, and cannot be had.
    short: Vec<String>,
    /// In walking order.
    stops: Vec<StopData>,
    parties: Vec<PartyData>,
}

#[derive(Debug, Serialize)]
struct StopData {
    /// Position among the page's patches.
    patch: usize,
    /// The most for the whole walk, in the crop's measure.
    quota: f64,
}

/// A party has no name here: it goes by its number.
#[derive(Debug, Serialize)]
struct PartyData {
    number: u32,
    /// `2 adults and 1 child`.
    heads: usize,
    shares: Vec<ShareData>,
}

#[derive(Debug, Serialize)]
struct ShareData {
    stop: usize,
    turn: u32,
    /// In the crop's measure, and in words.
    most: f64,
    said: usize,
}

impl WalkData {
    pub(super) fn of(page: &FieldPage, walk: &Briefing, texts: &mut Texts) -> Self {
        let position = |name: &PatchName| {
            let mut patches = page.patches.iter();
            patches.position(|patch| patch.days.first().is_some_and(|day| day.patch == *name))
        };
        let stops = walk
            .stops
            .iter()
            .filter_map(|stop| Some(StopData { patch: position(&stop.patch)?, quota: stop.quota }));
        Self {
            name: walk.walk.to_string(),
            day: walk.day.to_string(),
            held: walk.is_held,
            short: lacking(&walk.short).iter().map(|short| format!("{short}.")).collect(),
            stops: stops.collect(),
            parties: walk.parties.iter().map(|stint| party(walk, stint, texts)).collect(),
        }
    }
}

fn party(walk: &Briefing, stint: &PartyStint, texts: &mut Texts) -> PartyData {
    let shares = stint.shares.iter().filter_map(|share| {
        let crop = &walk.stops.get(share.stop)?.crop;
        let said = texts.put(crop.show(share.amount));
        Some(ShareData { stop: share.stop, turn: share.turn, most: share.amount, said })
    });
    let shares = shares.collect();
    PartyData { number: stint.number, heads: texts.put(heads(&stint.party)), shares }
}
