//! Who cuts how much on which patch, and who is where when.

use std::collections::BTreeMap;

use proptest::prelude::*;
use stintbook_core::walk::{Crew, Filling, fill, stations};

use crate::walk::law::laws;

fn cut(filling: &Filling) -> Vec<(usize, usize, u64)> {
    filling.fragments.iter().map(|cut| (cut.party, cut.patch, cut.units)).collect()
}

#[test]
fn shares_lie_end_to_end_over_the_patches() {
    let filling = fill(&[8, 8, 8], &[12, 15], 1);
    assert_eq!(cut(&filling), [(0, 0, 8), (1, 0, 4), (1, 1, 4), (2, 1, 8)]);
    assert_eq!((filling.short, filling.left), (vec![0, 0, 0], vec![0, 3]));
}

/// End to end, the second party would have 2 of 8 on the first patch.
#[test]
fn a_cut_too_small_to_be_of_use_is_exchanged() {
    let filling = fill(&[8, 8, 8], &[10, 14], 3);
    assert!(filling.fragments.iter().all(|cut| cut.units >= 3), "{filling:?}");
    assert_eq!(filling.short, [0, 0, 0]);
    // With something to spare, the second party goes to the second patch alone.
    let filling = fill(&[8, 8, 8], &[10, 16], 3);
    assert_eq!(cut(&filling), [(0, 0, 8), (1, 1, 8), (2, 1, 8)]);
}

#[test]
fn patches_that_hold_less_than_the_shares_leave_the_last_parties_short() {
    let filling = fill(&[8, 8], &[5, 6], 1);
    assert_eq!((filling.short, filling.left), (vec![0, 5], vec![0, 0]));
    assert_eq!(fill(&[], &[5], 1).left, [5]);
    assert_eq!(fill(&[5], &[], 1).short, [5]);
}

/// The fewest cuts that are too small, over all ways to lay the shares on two patches.
fn fewest_small(shares: &[u64], patches: [u64; 2], least: u64) -> usize {
    let small = |units: u64| usize::from(units > 0 && units < least);
    let mut ways: BTreeMap<u64, usize> = BTreeMap::from([(0, 0)]);
    for &share in shares {
        let mut longer: BTreeMap<u64, usize> = BTreeMap::new();
        for (&on_first, &few) in &ways {
            for units in 0..=share {
                let now = few + small(units) + small(share - units);
                let fewest = longer.entry(on_first + units).or_insert(now);
                *fewest = now.min(*fewest);
            }
        }
        ways = longer;
    }
    let together: u64 = shares.iter().sum();
    let fits = |on_first: u64| on_first <= patches[0] && together - on_first <= patches[1];
    ways.into_iter().filter(|way| fits(way.0)).map(|way| way.1).min().unwrap()
}

proptest! {
    #![proptest_config(laws(400))]

    #[test]
    fn both_margins_are_kept_and_the_cuts_are_few(
        shares in prop::collection::vec(0..60_u64, 1..12),
        patches in prop::collection::vec(0..90_u64, 1..9),
        least in 0..15_u64,
    ) {
        let plain = fill(&shares, &patches, 0);
        prop_assert!(plain.fragments.len() < shares.len() + patches.len());
        let filling = fill(&shares, &patches, least);
        for (party, share) in shares.iter().enumerate() {
            let had: u64 = filling.fragments.iter().filter(|c| c.party == party).map(|c| c.units).sum();
            prop_assert_eq!(had + filling.short[party], *share);
        }
        for (patch, may) in patches.iter().enumerate() {
            let cut: u64 = filling.fragments.iter().filter(|c| c.patch == patch).map(|c| c.units).sum();
            prop_assert_eq!(cut + filling.left[patch], *may);
        }
        if filling.short.iter().any(|&short| short > 0) {
            prop_assert!(filling.left.iter().all(|&left| left == 0));
        }
        let small = |filling: &Filling| {
            filling.fragments.iter().filter(|cut| cut.units < least).count()
        };
        prop_assert!(small(&filling) <= small(&plain));
        prop_assert!(filling.fragments.iter().all(|cut| cut.units > 0));
    }

    #[test]
    fn of_two_parties_none_cuts_too_little_where_brute_force_can_help_it(
        shares in prop::collection::vec(0..40_u64, 2),
        on_first in 0..80_u64,
        spare in 0..6_u64,
        least in 1..12_u64,
    ) {
        let together: u64 = shares.iter().sum();
        let patches = [on_first.min(together), together.saturating_sub(on_first) + spare];
        let filling = fill(&shares, &patches, least);
        let small = filling.fragments.iter().filter(|cut| cut.units < least).count();
        prop_assert_eq!(small, fewest_small(&shares, patches, least), "{:?}", filling);
    }

    #[test]
    fn no_patch_has_more_people_than_it_bears_and_every_crew_comes_by_its_patches_once(
        bears in prop::collection::vec(0..9_u32, 1..8),
        crews in prop::collection::vec((0..7_u32, prop::collection::vec(0..8_usize, 0..8)), 0..9),
    ) {
        let crews: Vec<Crew> =
            crews.into_iter().map(|(people, patches)| Crew { people, patches }).collect();
        let found = stations(&bears, &crews);
        let mut on: BTreeMap<(u32, usize), Vec<u32>> = BTreeMap::new();
        for (n, crew) in crews.iter().enumerate() {
            let visits = &found.visits[n];
            prop_assert!(visits.is_sorted_by(|a, b| a.round < b.round));
            let mut visited: Vec<usize> = visits.iter().map(|visit| visit.patch).collect();
            visited.sort();
            let mut wanted: Vec<usize> =
                crew.patches.iter().copied().filter(|&patch| patch < bears.len()).collect();
            wanted.sort();
            wanted.dedup();
            prop_assert_eq!(visited, wanted);
            for visit in visits {
                prop_assert!((1..=found.rounds).contains(&visit.round));
                prop_assert_eq!(visit.too_large, crew.people > bears[visit.patch].max(1));
                on.entry((visit.round, visit.patch)).or_default().push(crew.people);
            }
            let last = visits.last().map_or(0, |visit| visit.round as usize);
            prop_assert_eq!(found.waits(n).len() + visits.len(), last);
        }
        for ((_, patch), people) in on {
            let together: u32 = people.iter().sum();
            prop_assert!(people.len() == 1 || together <= bears[patch].max(1));
        }
    }
}

#[test]
fn crews_are_spread_over_the_patches_and_go_round() {
    let crew = |people| Crew { people, patches: vec![0, 1, 2] };
    let found = stations(&[4, 4, 4], &[crew(3), crew(3), crew(3)]);
    let courses: Vec<Vec<usize>> =
        found.visits.iter().map(|visits| visits.iter().map(|v| v.patch).collect()).collect();
    assert_eq!(courses, [[0, 1, 2], [1, 2, 0], [2, 0, 1]]);
    assert_eq!(found.rounds, 3);
    assert!((0..3).all(|n| found.waits(n).is_empty()));
    // Where there is room for all on one patch, they are spread all the same.
    assert_eq!(stations(&[9, 9, 9], &[crew(3), crew(3), crew(3)]), found);
}

/// Only the first round parts the crews; later each goes on to the next patch on its way that has
/// room, also where another crew stands and a patch further on is empty.
#[test]
fn after_the_first_round_a_crew_takes_the_next_patch_that_has_room() {
    let crew = |people, patches: &[usize]| Crew { people, patches: patches.to_vec() };
    let crews = [crew(2, &[0, 1, 4]), crew(2, &[2, 1, 3]), crew(4, &[4, 0])];
    let found = stations(&[4; 5], &crews);
    let courses: Vec<Vec<usize>> =
        found.visits.iter().map(|visits| visits.iter().map(|v| v.patch).collect()).collect();
    // In the second round the first two meet on patch 1, though patch 3 is empty.
    assert_eq!(courses, [vec![0, 1, 4], vec![2, 1, 3], vec![4, 0]]);
    assert_eq!(found.rounds, 3);
}

#[test]
fn a_crew_for_which_there_is_no_room_waits_and_one_too_large_is_told() {
    let crew = |people| Crew { people, patches: vec![0] };
    let found = stations(&[4], &[crew(3), crew(9), crew(2)]);
    assert_eq!(found.rounds, 3);
    assert!(found.visits[1][0].too_large && found.visits[1][0].round == 1);
    assert_eq!((found.waits(0), found.waits(2)), (vec![1], vec![1, 2]));
}
