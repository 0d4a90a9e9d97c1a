//! Which party cuts how much on which patch.
//!
//! The parties' shares are laid end to end over the patches in walking order, so that there are
//! few cuts and each party's lie together. What is too small to be of use at the border of two
//! patches is then made away with, by exchanges in which every party keeps its share.

use super::exchange::mend;

/// What one party cuts on one patch, in units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fragment {
    /// The party's position.
    pub party: usize,
    /// The patch's position.
    pub patch: usize,
    /// How much, in the split's unit.
    pub units: u64,
}

/// Who cuts where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filling {
    /// By patch in walking order, then by party.
    pub fragments: Vec<Fragment>,
    /// What the patches do not hold of each party's share.
    pub short: Vec<u64>,
    /// What may be cut on each patch and is nobody's.
    pub left: Vec<u64>,
}

/// Lays shares over patches, both in units and of one crop, the patches in walking order.
///
/// No patch gives more than it may, and no party gets more than its share, nor less unless the
/// patches run out. A party cuts at least `least` units on a patch where exchanges between two
/// patches and two parties can bring that about.
pub fn fill(shares: &[u64], patches: &[u64], least: u64) -> Filling {
    let mut table = laid(shares, patches);
    mend(&mut table, patches, least);
    let fragments = table.iter().enumerate().flat_map(|(patch, row)| {
        let cut = row.iter().enumerate().filter(|(_, units)| **units > 0);
        cut.map(move |(party, &units)| Fragment { party, patch, units })
    });
    let had = |party: usize| table.iter().map(|row| row[party]).sum::<u64>();
    Filling {
        short: shares.iter().enumerate().map(|(n, share)| share - had(n)).collect(),
        left: patches.iter().zip(&table).map(|(may, row)| may - row.iter().sum::<u64>()).collect(),
        fragments: fragments.collect(),
    }
}

/// End to end, by patch and party.
fn laid(shares: &[u64], patches: &[u64]) -> Vec<Vec<u64>> {
    let mut wanted = shares.to_vec();
    let row = |&may: &u64| {
        let mut left = may;
        let cut = |wanted: &mut u64| {
            let units = left.min(*wanted);
            left -= units;
            *wanted -= units;
            units
        };
        wanted.iter_mut().map(cut).collect()
    };
    patches.iter().map(row).collect()
}
