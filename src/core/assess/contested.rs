//! Ground that two patches of one crop claim: two leaders drew the same stand, each for
//! themselves and each under a name of their own or under the same one, and their books met. The
//! gate lets no such patch into one book, so only a union of books has them. No limit may be
//! given from the ground twice, and nobody can say which of the two is right: so none is given
//! from either, whichever book heard of which first, until one is withdrawn or drawn anew.

use std::collections::HashMap;

use geo::{BoundingRect, Intersects, Rect};
use jiff::civil::Date;

use crate::ground::{PatchIndex, boxes_of, boxes_that_meet, footprint_area};
use crate::records::{
    FactId, Footprint, Ledger, Patch, PatchFacts, PatchName, Site, SiteFacts, folded, without_mark,
};
use crate::units::SquareMetres;

/// Patches of one crop may share this part of the smaller: GPS lines never quite meet.
pub const MOST_SHARED: f64 = 0.05;

/// Two patches of one crop on the same ground.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedGround {
    /// The two.
    pub patches: [PatchName; 2],
    /// What both cover.
    pub ground: SquareMetres,
}

/// By the fact that describes a patch, another of its crop that claims some of its ground,
/// whatever it and its site are called, on a day.
pub(super) fn contested(ledger: &Ledger, on: Date) -> HashMap<FactId, PatchName> {
    let mut found: HashMap<FactId, PatchName> = HashMap::new();
    for Claim { patches, .. } in claims(ledger, on) {
        let [(one, first), (other, second)] = patches;
        // Of several the first: they come in the order of their names, so that every book names the
        // same.
        for (claimed, by) in [(one, &second.name), (other, &first.name)] {
            found.entry(claimed).or_insert_with(|| by.clone());
        }
    }
    found
}

/// Two patches with the ids of the facts that describe them, and how much ground they share.
struct Claim<'a> {
    patches: [(FactId, &'a Patch); 2],
    ground: SquareMetres,
}

/// A patch on its site.
type Claimant<'a> = (&'a SiteFacts, &'a PatchFacts);

/// By their crops, in the order of their names, each with a box for each of its parts.
type OfCrops<'a> = HashMap<&'a str, Vec<(Claimant<'a>, Vec<Rect>)>>;

/// Every two patches of one crop that share ground, on one site or on sites that meet.
fn claims(ledger: &Ledger, on: Date) -> Vec<Claim<'_>> {
    // Where each lies is found in the order in which they were read: patches of one crop lie far
    // from each other in memory.
    let mut of_crops = OfCrops::new();
    for site in &ledger.sites {
        for patch in site.patches.iter().filter(|patch| patch.retired_by(on).is_none()) {
            let Patch { crop, footprint, .. } = &patch.patch.record;
            of_crops.entry(crop).or_default().push(((site, patch), boxes_of(footprint)));
        }
    }
    let mut found = Vec::new();
    for group in of_crops.into_values().filter(|group| group.len() > 1) {
        let (group, boxes): (Vec<Claimant>, Vec<Vec<Rect>>) = group.into_iter().unzip();
        let patches = group.iter().map(|(_, patch)| &patch.patch.record);
        let index = PatchIndex::of_boxed(patches.zip(boxes));
        for (one, other, ground) in index.overlaps() {
            let ((first_site, first), (second_site, second)) = (group[one], group[other]);
            let sites = [first_site, second_site].map(|site| &site.site.record);
            let patches = [first, second].map(|patch| (patch.patch.id, &patch.patch.record));
            let grounds = patches.map(|(_, patch)| &patch.footprint);
            let meets = shares_much(grounds, ground) && may_meet(sites);
            if meets && !follow([first, second]) {
                found.push(Claim { patches, ground });
            }
        }
    }
    found
}

/// Whether a book that is read for one of the sites has the other too: sites of one name, or
/// whose boxes meet.
fn may_meet([one, other]: [&Site; 2]) -> bool {
    let boxes = [one, other].map(|site| site.boundary.bounding_rect());
    own(one.name.as_str()) == own(other.name.as_str())
        || matches!(boxes, [Some(one), Some(other)] if one.intersects(&other))
}

/// For each site, whether another of them may meet it, so that a patch of the one may be claimed
/// on the other.
pub fn sites_that_meet(sites: &[&Site]) -> Vec<bool> {
    let mut of_name: HashMap<String, usize> = HashMap::with_capacity(sites.len());
    for site in sites {
        *of_name.entry(own(site.name.as_str())).or_default() += 1;
    }
    let has_namesake = |site: &Site| of_name.get(&own(site.name.as_str())).is_some_and(|n| *n > 1);
    let boxes: Vec<Option<Rect>> = sites.iter().map(|site| site.boundary.bounding_rect()).collect();
    let meets = boxes_that_meet(&boxes).into_iter();
    sites.iter().zip(meets).map(|(site, meets)| meets || has_namesake(site)).collect()
}

pub(super) fn shares_much(grounds: [&Footprint; 2], shared: SquareMetres) -> bool {
    let [one, other] = grounds.map(|ground| footprint_area(ground).0);
    shared.0 > MOST_SHARED * one.min(other)
}

/// Whether one of them was drawn once the other was a patch no longer: then the one is the other,
/// drawn anew.
fn follow(patches: [&PatchFacts; 2]) -> bool {
    let is_before = |one: &PatchFacts, other: &PatchFacts| {
        one.retired().is_some_and(|fact| fact.happened_on <= other.patch.happened_on)
    };
    let [one, other] = patches;
    is_before(one, other) || is_before(other, one)
}

/// Without what tells it from others of its name.
fn own(name: &str) -> String {
    folded(without_mark(name).map_or(name, |(own, _)| own))
}

/// Every two patches of one crop that claim the same ground on a day, by their names.
pub fn shared_ground(ledger: &Ledger, on: Date) -> Vec<SharedGround> {
    let claims = claims(ledger, on).into_iter();
    let mut found: Vec<SharedGround> = claims
        .map(|Claim { patches, ground }| {
            let mut names = patches.map(|(_, patch)| patch.name.clone());
            names.sort();
            SharedGround { patches: names, ground }
        })
        .collect();
    found.sort_by(|one, other| one.patches.cmp(&other.patches));
    found
}
