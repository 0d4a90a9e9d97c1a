//! What the walks and boxes that are planned would take from one site, for its owner: days and
//! amounts, and nobody's name.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::boxes::play;
use super::promises::promises;
use crate::assess::{Asker, UnknownCrop, prepare_for};
use crate::catalogue::Catalogue;
use crate::records::{Crop, Hold, Ledger, Purpose, SiteName, Walk};
use crate::walk::PlanError;

/// What would be taken between two days, both included.
#[derive(Clone, Debug)]
pub struct PlannedTakes {
    /// Which site.
    pub site: SiteName,
    /// The first day.
    pub from: Date,
    /// The last day.
    pub until: Date,
    /// In the order of their days; those that take nothing here too.
    pub visits: Vec<PlannedVisit>,
    /// By crop.
    pub totals: Vec<(Arc<Crop>, f64)>,
}

/// One walk, or one week of boxes, as far as it goes to the site.
#[derive(Clone, Debug)]
pub struct PlannedVisit {
    /// When.
    pub day: Date,
    /// What it gathers for.
    pub purpose: Purpose,
    /// How many come.
    pub people: u32,
    /// Set aside in the book; else it is what the plan comes to by now.
    pub is_held: bool,
    /// What is cut there; empty where nothing is.
    pub takes: Vec<PlannedTake>,
}

/// In the crop's measure.
#[derive(Clone, Debug)]
pub struct PlannedTake {
    /// The patch's name, without its site.
    pub patch: Arc<str>,
    /// Which crop.
    pub crop: Arc<Crop>,
    /// How much.
    pub amount: f64,
}

/// Why nothing can be told of what is planned.
#[derive(Debug, thiserror::Error)]
pub enum PlannedTakesError {
    /// A patch of a crop that nobody knows.
    #[error(transparent)]
    Crop(#[from] UnknownCrop),
    /// A plan that the solver gave up.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

/// What is planned for the site from `from` to `until`. Each walk for which nothing is set aside
/// is planned in the order of their days, and counts as made for those after it.
///
/// # Errors
/// A patch of a crop that the catalogue does not have, or a plan that the solver gives up.
pub fn planned_takes(
    ledger: &Ledger,
    catalogue: &Catalogue,
    site: &SiteName,
    from: Date,
    until: Date,
) -> Result<PlannedTakes, PlannedTakesError> {
    let mut walks: Vec<Walk> = ledger.walks().map(|walk| walk.record.clone()).collect();
    walks
        .retain(|walk| (from..=until).contains(&walk.day) && ledger.cuts_of(&walk.name).is_empty());
    walks.sort_by(|one, other| (one.day, &one.name).cmp(&(other.day, &other.name)));
    let mut ledger = ledger.clone();
    let mut visits = Vec::new();
    for walk in &walks {
        let held: Vec<Hold> =
            ledger.holds_of(&walk.name).iter().map(|hold| hold.record.clone()).collect();
        let is_held = !held.is_empty();
        let prepared = prepare_for(
            &ledger,
            catalogue,
            walk.day,
            Asker { today: from, walk: Some(&walk.name) },
        )?;
        let holds = if is_held { held } else { promises(walk, &prepared, catalogue)?.holds };
        let here = holds.iter().filter(|hold| hold.patch.site() == site);
        let take = |hold: &Hold| {
            let patch = prepared.iter().find(|it| it.facts.patch.record.name == hold.patch)?;
            let (patch, crop) = (hold.patch.patch().into(), patch.crop().clone());
            Some(PlannedTake { patch, crop, amount: hold.amount.value })
        };
        let takes: Vec<PlannedTake> = here.filter_map(take).collect();
        drop(prepared);
        if !is_held {
            play(&mut ledger, &holds);
        }
        if !takes.is_empty() || walk.sites().any(|goes_to| goes_to == site) {
            let (day, purpose, people) = (walk.day, walk.purpose(), walk.people());
            visits.push(PlannedVisit { day, purpose, people, is_held, takes });
        }
    }
    let totals = totals(&visits);
    Ok(PlannedTakes { site: site.clone(), from, until, visits, totals })
}

fn totals(visits: &[PlannedVisit]) -> Vec<(Arc<Crop>, f64)> {
    let mut sums: BTreeMap<&str, (Arc<Crop>, f64)> = BTreeMap::new();
    for take in visits.iter().flat_map(|visit| &visit.takes) {
        sums.entry(&take.crop.name).or_insert((take.crop.clone(), 0.0)).1 += take.amount;
    }
    sums.into_values().collect()
}
