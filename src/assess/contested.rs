//! Ground that two patches of one crop claim: two leaders drew the same stand, each for
//! themselves and each under a name of their own or under the same one, and their books met. The
//! gate lets no such patch into one book, so only a union of books has them. No limit may be
//! given from the ground twice, and nobody can say which of the two is right: so none is given
//! from either, whichever book heard of which first, until one is withdrawn or drawn anew.

use std::collections::HashMap;

use geo::{BoundingRect, Intersects};
use rayon::prelude::*;

use crate::ground::{PatchIndex, footprint_area};
use crate::records::{
    FactId, Ledger, Patch, PatchFacts, PatchName, SiteFacts, folded, without_mark,
};
use crate::units::SquareMetres;

/// Patches of one crop may share this part of the smaller: GPS lines never quite meet.
pub const MOST_SHARED: f64 = 0.05;

/// Two patches of one crop on the same ground.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedGround {
    pub patches: [PatchName; 2],
    pub ground: SquareMetres,
}

/// By the fact that describes a patch, another of its crop that claims some of its ground,
/// whatever it and its site are called.
pub(super) fn contested(ledger: &Ledger) -> HashMap<FactId, PatchName> {
    let mut found: HashMap<FactId, PatchName> = HashMap::new();
    for Claim { patches, .. } in claims(ledger) {
        let [(one, first), (other, second)] = patches;
        // Of several the first by name, so that every book names the same.
        for (claimed, by) in [(one, &second.name), (other, &first.name)] {
            let named = found.entry(claimed).or_insert_with(|| by.clone());
            if by < named {
                named.clone_from(by);
            }
        }
    }
    found
}

/// Two patches with the ids of the facts that describe them, and how much ground they share.
struct Claim<'a> {
    patches: [(FactId, &'a Patch); 2],
    ground: SquareMetres,
}

/// Every two patches of one crop that share ground, on one site or on sites that meet.
fn claims(ledger: &Ledger) -> Vec<Claim<'_>> {
    let mut of_crop: HashMap<&str, Vec<(&SiteFacts, &PatchFacts)>> = HashMap::new();
    for (site, patch) in ledger.patches() {
        of_crop.entry(&patch.patch.record.crop).or_default().push((site, patch));
    }
    let groups = of_crop.into_values().filter(|group| group.len() > 1).collect::<Vec<_>>();
    let found = groups.into_par_iter().flat_map_iter(|group| {
        let mut found = Vec::new();
        let index = PatchIndex::new(group.iter().map(|(_, patch)| &patch.patch.record));
        for (one, other, ground) in index.overlaps() {
            let ((first_site, first), (second_site, second)) = (group[one], group[other]);
            let patches = [first, second].map(|patch| (patch.patch.id, &patch.patch.record));
            if shares_much(patches[0].1, patches[1].1, ground) && may_meet(first_site, second_site)
            {
                found.push(Claim { patches, ground });
            }
        }
        found
    });
    found.collect()
}

/// Whether a book that is read for one of the sites has the other too: sites of one name, or
/// whose boxes meet.
fn may_meet(one: &SiteFacts, other: &SiteFacts) -> bool {
    let (one, other) = (&one.site.record, &other.site.record);
    let boxes = [one, other].map(|site| site.boundary.bounding_rect());
    own(one.name.as_str()) == own(other.name.as_str())
        || matches!(boxes, [Some(one), Some(other)] if one.intersects(&other))
}

fn shares_much(one: &Patch, other: &Patch, shared: SquareMetres) -> bool {
    let smaller = footprint_area(&one.footprint).0.min(footprint_area(&other.footprint).0);
    shared.0 > MOST_SHARED * smaller
}

/// Without what tells it from others of its name.
fn own(name: &str) -> String {
    folded(without_mark(name).map_or(name, |(own, _)| own))
}

/// Every two patches of one crop that claim the same ground, by their names.
pub fn shared_ground(ledger: &Ledger) -> Vec<SharedGround> {
    let claims = claims(ledger).into_iter();
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
