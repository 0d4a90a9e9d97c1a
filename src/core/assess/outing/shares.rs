//! Who cuts how much on which patch.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::quota::Quota;
use crate::records::{Crop, Party, Walk};
use crate::walk::{Claim, RoundingUnit, Weight, fill, split};

const THOUSANDTHS: f64 = 1000.0;

/// What one party cuts on one patch, in the measure of its crop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Share {
    /// Position in the parties of the walk.
    pub party: usize,
    /// Position in the stops of the walk.
    pub stop: usize,
    pub amount: f64,
}

/// A walk for which nobody wrote down who comes is one of a single person.
pub(super) fn parties(walk: &Walk) -> Vec<Party> {
    const ALONE: Party = Party { adults: 1, children: 0, stated_weight: None };
    if walk.parties.is_empty() { vec![ALONE] } else { walk.parties.clone() }
}

/// The quotas of each crop split among the parties, and laid over its patches.
pub(super) fn shares(stops: &[Quota], parties: &[Party], seed: u32) -> Vec<Share> {
    let mut of_crop: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (n, stop) in stops.iter().enumerate() {
        of_crop.entry(&stop.found.crop.name).or_default().push(n);
    }
    of_crop.values().flat_map(|patches| shares_of_crop(patches, stops, parties, seed)).collect()
}

fn shares_of_crop(patches: &[usize], stops: &[Quota], parties: &[Party], seed: u32) -> Vec<Share> {
    let crop = &stops[patches[0]].found.crop;
    let unit = RoundingUnit::of(crop.measure);
    let least = least_units(crop, unit);
    let may: Vec<u64> = patches.iter().map(|&stop| unit.units_in(stops[stop].amount)).collect();
    let quota = may.iter().fold(0, |sum: u64, units| sum.saturating_add(*units));
    let claims: Vec<Claim> =
        parties.iter().enumerate().map(|(n, party)| claim(n, party, crop, unit)).collect();
    let split = split(quota, &claims, least.min(quota), seed.into());
    let filling = fill(&split.shares, &may, least);
    let share = |fragment: &crate::walk::Fragment| Share {
        party: fragment.party,
        stop: patches[fragment.patch],
        amount: unit.amount(fragment.units) as f64,
    };
    filling.fragments.iter().map(share).collect()
}

/// A handful, in whole units.
fn least_units(crop: &Arc<Crop>, unit: RoundingUnit) -> u64 {
    unit.units_in(crop.smallest_useful.value.value).max(1)
}

/// Told apart by its number, as everywhere.
fn claim(n: usize, party: &Party, crop: &Crop, unit: RoundingUnit) -> Claim {
    let cap = crop.per_person_visit.as_ref();
    Claim {
        party: (n + 1).to_string().into(),
        weight: Weight::thousandths((party.weight() * THOUSANDTHS).round() as u32),
        cap: cap.map(|cap| unit.units_in(cap.value.value * f64::from(party.people()))),
    }
}
