//! Ground that two patches of one name claim: two leaders drew the same patch, each for
//! themselves, and their books met. No limit may be given from it twice, so none is given
//! until one of the two is withdrawn or drawn anew.

use std::collections::HashMap;

use crate::ground::{PatchIndex, footprint_area};
use crate::records::{FactId, Ledger, Patch, PatchName, folded, without_mark};
use crate::units::SquareMetres;

/// Patches of one crop may share this part of the smaller: GPS lines never quite meet.
pub const MOST_SHARED: f64 = 0.05;

/// Two patches of one crop on the same ground.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedGround {
    pub patches: [PatchName; 2],
    pub ground: SquareMetres,
}

/// By the fact that describes a patch, the other that bears the same name and claims some of
/// its ground.
pub(super) fn contested(ledger: &Ledger) -> HashMap<FactId, PatchName> {
    let mut of_one_name: HashMap<String, Vec<(FactId, &Patch)>> = HashMap::new();
    for (_, patch) in ledger.patches() {
        let name = &patch.patch.record.name;
        let is_marked = [name.site().as_str(), name.patch()].map(without_mark) != [None, None];
        if is_marked {
            of_one_name.entry(own(name.site().as_str())).or_default();
        }
    }
    if of_one_name.is_empty() {
        return HashMap::new();
    }
    for (_, patch) in ledger.patches() {
        let record = &patch.patch.record;
        if let Some(group) = of_one_name.get_mut(&own(record.name.site().as_str())) {
            group.push((patch.patch.id, record));
        }
    }
    let mut found = HashMap::new();
    for group in of_one_name.into_values() {
        let index = PatchIndex::new(group.iter().map(|(_, patch)| *patch));
        for (one, other, shared) in index.overlaps() {
            let ((one, first), (other, second)) = (group[one], group[other]);
            if shares_much(first, second, shared)
                && own(first.name.patch()) == own(second.name.patch())
            {
                found.insert(one, second.name.clone());
                found.insert(other, first.name.clone());
            }
        }
    }
    found
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
        .map(|(one, other, ground)| SharedGround { patches: [name(one), name(other)], ground })
        .collect()
}
