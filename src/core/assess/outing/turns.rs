//! Where each party starts, and where it goes next.

use super::quota::Quota;
use super::shares::Share;
use crate::assess::{PartyStint, StopShare};
use crate::records::Party;
use crate::walk::{Crew, stations};

/// How many of the walk's people may be on a patch at once.
pub(super) fn bears(quota: &Quota, parties: &[Party]) -> u32 {
    let all = parties.iter().map(Party::people).fold(0, u32::saturating_add).max(1);
    quota.found.people_at_once.map_or(all, |room| room.min(all))
}

/// The stints of the parties, each in the order in which it goes to its patches.
pub(super) fn stints(stops: &[Quota], parties: &[Party], shares: &[Share]) -> Vec<PartyStint> {
    let of_party = |n: usize| shares.iter().filter(move |share| share.party == n);
    let crew = |(n, party): (usize, &Party)| {
        let mut patches: Vec<usize> = of_party(n).map(|share| share.stop).collect();
        patches.sort_unstable();
        Crew { people: party.people(), patches }
    };
    let crews: Vec<Crew> = parties.iter().enumerate().map(crew).collect();
    let ground: Vec<u32> = stops.iter().map(|quota| bears(quota, parties)).collect();
    let stations = stations(&ground, &crews);
    let stint = |(n, party): (usize, &Party)| {
        let visits = stations.visits[n].iter();
        let shares = visits.filter_map(|visit| {
            let share = of_party(n).find(|share| share.stop == visit.patch)?;
            Some(StopShare { stop: share.stop, turn: visit.round, amount: share.amount })
        });
        PartyStint { number: n as u32 + 1, party: *party, shares: shares.collect() }
    };
    parties.iter().enumerate().map(stint).collect()
}
