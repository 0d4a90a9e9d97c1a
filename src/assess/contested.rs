//! Ground that two patches of one crop claim: two leaders drew the same stand, each for
//! themselves and each under a name of their own or under the same one, and their books met. The
//! gate lets no such patch into one book, so only a union of books has them. No limit may be
//! given from the ground twice, and nobody can say which of the two is right: so none is given
//! from either, whichever book heard of which first, until one is withdrawn or drawn anew.

use std::collections::HashMap;

use crate::ground::{PatchIndex, footprint_area};
use crate::records::{FactId, Ledger, Patch, PatchName, SiteFacts, folded, without_mark};
use crate::units::SquareMetres;

/// Patches of one crop may share this part of the smaller: GPS lines never quite meet.
pub const MOST_SHARED: f64 = 0.05;

/// Two patches of one crop on the same ground.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedGround {
    pub patches: [PatchName; 2],
    pub ground: SquareMetres,
    /// Whether no limit is given from either: on sites of different names each keeps its own.
    pub is_shut: bool,
}

/// By the fact that describes a patch, another of its crop on the same site that claims some of
/// its ground, whatever it is called. Sites of one name are one site here.
pub(super) fn contested(ledger: &Ledger) -> HashMap<FactId, PatchName> {
    let mut of_sites: HashMap<String, Vec<&SiteFacts>> = HashMap::new();
    for site in &ledger.sites {
        of_sites.entry(own(site.site.record.name.as_str())).or_default().push(site);
    }
    let mut found: HashMap<FactId, PatchName> = HashMap::new();
    for group in of_sites.into_values().flat_map(of_crops) {
        let index = PatchIndex::new(group.iter().map(|(_, patch)| *patch));
        for (one, other, shared) in index.overlaps() {
            let ((one, first), (other, second)) = (group[one], group[other]);
            if shares_much(first, second, shared) {
                // Of several the first by name, so that every book names the same.
                for (claimed, by) in [(one, &second.name), (other, &first.name)] {
                    let named = found.entry(claimed).or_insert_with(|| by.clone());
                    if by < named {
                        named.clone_from(by);
                    }
                }
            }
        }
    }
    found
}

/// The patches of these sites that may share ground: several of one crop.
fn of_crops(sites: Vec<&SiteFacts>) -> impl Iterator<Item = Vec<(FactId, &Patch)>> {
    let mut of_crop: HashMap<&str, Vec<(FactId, &Patch)>> = HashMap::new();
    for patch in sites.into_iter().flat_map(|site| &site.patches) {
        let record = &patch.patch.record;
        of_crop.entry(&record.crop).or_default().push((patch.patch.id, record));
    }
    of_crop.into_values().filter(|patches| patches.len() > 1)
}

fn shares_much(one: &Patch, other: &Patch, shared: SquareMetres) -> bool {
    let smaller = footprint_area(&one.footprint).0.min(footprint_area(&other.footprint).0);
    shared.0 > MOST_SHARED * smaller
}

/// Without what tells it from others of its name.
fn own(name: &str) -> String {
    folded(without_mark(name).map_or(name, |(own, _)| own))
}

/// Every two patches of one crop that share ground, whatever they are called.
pub fn shared_ground(ledger: &Ledger) -> Vec<SharedGround> {
    let patches: Vec<&Patch> = ledger.patches().map(|(_, patch)| &patch.patch.record).collect();
    let index = PatchIndex::new(patches.iter().copied());
    let name = |at: usize| patches[at].name.clone();
    let shared = index.overlaps().into_iter();
    shared
        .filter(|(one, other, ground)| shares_much(patches[*one], patches[*other], *ground))
        .map(|(one, other, ground)| {
            let site = |at: usize| own(patches[at].name.site().as_str());
            let is_shut = site(one) == site(other);
            SharedGround { patches: [name(one), name(other)], ground, is_shut }
        })
        .collect()
}
