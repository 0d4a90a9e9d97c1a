//! Places first: what maps bring is recorded before tables are read, so that a table finds its
//! places by what they are called from then on, and by what they were called before.

use std::collections::{HashMap, HashSet};

use jiff::civil::Date;

use super::delivery::Delivery;
use super::lay::problems_of_lay;
use super::places::Places;
use super::sorted::{Fresh, Sorted};
use super::sorting::Sorting;
use super::turned::Turned;
use crate::book::{NewFact, Scope};
use crate::records::{
    Correction, Directory, Entry, FactId, Former, FormerNames, Kind, PatchName, Record,
    Replacement, SiteName,
};

/// Deliveries of maps and of what was put right, as they are sorted.
pub(super) struct Arrival {
    pub sorted: Vec<Sorted>,
    /// The places from then on, where they are others than were read; else `None`.
    pub places: Option<Places>,
}

/// What a map calls a place, and the fact that it says it is.
struct Told<N> {
    name: N,
    id: Option<FactId>,
}

/// Sorts the deliveries, and records the places among them. `read` has the places as they were
/// read.
///
/// # Errors
/// As those of sorting; patches that do not lie as they should.
pub(super) fn arrive(
    mut deliveries: Vec<Delivery>,
    read: &Places,
    is_told: bool,
    sorting: &mut Sorting<'_>,
) -> Result<Arrival, Turned> {
    let (sites, patches) = (told_sites(&deliveries), told_patches(&deliveries));
    let numbers: Vec<HashMap<String, usize>> = deliveries.iter().map(numbers).collect();
    let begun = |delivery: &mut Delivery| Sorted {
        file: delivery.file.clone(),
        digest: delivery.digest,
        remarks: std::mem::take(&mut delivery.remarks),
        ..Sorted::default()
    };
    let mut sorted: Vec<Sorted> = deliveries.iter_mut().map(begun).collect();
    let mut is_other = is_told;
    let mut told_sites = Vec::new();
    for kinds in [
        &(|kind| kind == Kind::Site) as &dyn Fn(Kind) -> bool,
        &|kind| kind == Kind::Patch,
        &|_| true,
    ] {
        for (number, (delivery, sorted)) in deliveries.iter_mut().zip(&mut sorted).enumerate() {
            sorting.sort(number, delivery, kinds, sorted)?;
        }
        let holds_back = sorting.answers.replace.is_none()
            && sorted.iter().any(|sorted| !sorted.changed.is_empty());
        if holds_back {
            // Nothing will be recorded; the changes are to be seen first.
            is_other = false;
            continue;
        }
        is_other |= sorted.iter().any(|sorted| sorted.corrected_since > 0);
        is_other |= record_places(&mut sorted, sorting)?;
        if is_other && !sites.is_empty() && kinds(Kind::Site) && !kinds(Kind::Patch) {
            let names = sorting.moment.directory()?;
            told_sites = called_otherwise(&sites, |told| site_now(told, &names));
            sorting.sites_now = told_sites
                .iter()
                .map(|told: &Former<SiteName>| (told.was.clone(), told.now.clone()))
                .collect();
        }
    }
    let places = is_other.then(|| -> Result<Places, Turned> {
        let mut names = sorting.moment.directory()?;
        let told_patches = called_otherwise(&patches, |told| patch_now(told, &names));
        names.former.told_sites = told_sites;
        names.former.told_patches = told_patches;
        Ok(Places::of(names, sorting.moment.ledger(&Scope::All)?))
    });
    let places = places.transpose()?;
    if let Some(problems) = problems_of_lay(&sorted, &numbers, places.as_ref().unwrap_or(read)) {
        return Err(Turned::Problems(problems));
    }
    Ok(Arrival { sorted, places })
}

/// Records the sites and patches sorted so far; says whether any took the place of another.
fn record_places(all: &mut [Sorted], sorting: &Sorting<'_>) -> Result<bool, Turned> {
    let is_place = |fresh: &&mut Fresh| {
        matches!(fresh.fact.fact.record.kind(), Kind::Site | Kind::Patch | Kind::Redraw)
            && !fresh.is_recorded
    };
    let mut facts: Vec<NewFact> = Vec::new();
    for fresh in all.iter_mut().flat_map(|sorted| &mut sorted.facts).filter(is_place) {
        fresh.is_recorded = true;
        facts.push(fresh.fact.clone());
    }
    if facts.is_empty() {
        return Ok(false);
    }
    let ids: HashSet<FactId> = facts.iter().map(|new| new.fact.id).collect();
    let of_places = |made: &mut Correction| match made.replacement {
        Replacement::By(id) => ids.contains(&id),
        Replacement::Withdrawn => false,
    };
    let corrections: Vec<Correction> = all
        .iter_mut()
        .flat_map(|sorted| sorted.corrections.extract_if(.., of_places).collect::<Vec<_>>())
        .collect();
    sorting.moment.record(&facts, &corrections)?;
    Ok(!corrections.is_empty())
}

/// Where in its file each patch stands, by its name there.
fn numbers(delivery: &Delivery) -> HashMap<String, usize> {
    let numbered = delivery.entries.iter().zip(1..);
    let patches = numbered.filter(|(entry, _)| entry.record.kind() == Kind::Patch);
    patches.map(|(entry, number)| (entry.record.natural_key(Date::MIN, ""), number)).collect()
}

fn told_sites(deliveries: &[Delivery]) -> Vec<Told<SiteName>> {
    let told = |entry: &Entry| match &entry.record {
        Record::Site(site) => Some(Told { name: site.name.clone(), id: entry.id }),
        _ => None,
    };
    deliveries.iter().flat_map(|delivery| &delivery.entries).filter_map(told).collect()
}

fn told_patches(deliveries: &[Delivery]) -> Vec<Told<PatchName>> {
    let told = |entry: &Entry| match &entry.record {
        Record::Patch(patch) => Some(Told { name: patch.name.clone(), id: entry.id }),
        _ => None,
    };
    deliveries.iter().flat_map(|delivery| &delivery.entries).filter_map(told).collect()
}

/// The told names that are not what the places are called.
fn called_otherwise<N: Clone + PartialEq>(
    all: &[Told<N>],
    now: impl Fn(&Told<N>) -> Option<Former<N>>,
) -> Vec<Former<N>> {
    let found = all.iter().filter_map(|told| {
        let found = now(told)?;
        (found.now != told.name).then(|| Former { was: told.name.clone(), ..found })
    });
    found.collect()
}

fn site_now(told: &Told<SiteName>, names: &Directory) -> Option<Former<SiteName>> {
    let FormerNames { sites, .. } = &names.former;
    let by_id = sites.iter().find(|former| Some(former.fact) == told.id);
    by_id
        .or_else(|| match told.id.is_none() && !names.sites.contains(&told.name) {
            true => names.former.site(told.name.as_str()),
            false => None,
        })
        .cloned()
}

fn patch_now(told: &Told<PatchName>, names: &Directory) -> Option<Former<PatchName>> {
    let id = told.id?;
    let former = names.former.patches.iter().find(|former| former.fact == id).cloned();
    former.or_else(|| {
        // The patch itself is as it was told, but its site is called otherwise.
        let known = names.patches.iter().find(|known| known.id == Some(id))?;
        let of_site = names.former.site(told.name.site().as_str())?;
        let (was, now, since) = (told.name.clone(), known.name.clone(), of_site.since);
        Some(Former { fact: id, was, now, since })
    })
}
