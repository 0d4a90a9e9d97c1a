//! Quotas split among parties.

use proptest::prelude::*;
use stintbook_core::walk::{Claim, Split, Weight, split};

use crate::walk::law::laws;

const OTHER_PROGRAM: &str = include_str!("../../fixtures/walk/shares.csv");

fn claims(weights: &[u32]) -> Vec<Claim> {
    let uncapped: Vec<_> = weights.iter().map(|&weight| (weight, None)).collect();
    capped(&uncapped)
}

fn capped(parties: &[(u32, Option<u64>)]) -> Vec<Claim> {
    let claim = |(n, &(weight, cap)): (usize, &(u32, Option<u64>))| Claim {
        party: format!("party {n}").into(),
        weight: Weight::thousandths(weight),
        cap,
    };
    parties.iter().enumerate().map(claim).collect()
}

fn shares(quota: u64, weights: &[u32]) -> Vec<u64> {
    split(quota, &claims(weights), 1, 7).shares
}

/// Whole parts first, the rest by the size of the remainders.
fn largest_remainders(quota: u64, weights: &[u32]) -> Vec<u64> {
    let together: u64 = weights.iter().map(|&weight| u64::from(weight)).sum();
    let fair = |n: usize| u64::from(weights[n]) * quota;
    let mut shares: Vec<u64> = (0..weights.len()).map(|n| fair(n) / together).collect();
    let mut by_remainder: Vec<usize> = (0..weights.len()).collect();
    by_remainder.sort_by_key(|&n| std::cmp::Reverse(fair(n) % together));
    let left = quota - shares.iter().sum::<u64>();
    for &n in by_remainder.iter().take(left as usize) {
        shares[n] += 1;
    }
    shares
}

/// The plainest way: one line after the other, each time the largest quotient of all.
fn one_by_one(quota: u64, claims: &[Claim], least: u64) -> Split {
    let mut held = vec![0_u64; claims.len()];
    let mut left = quota;
    let turn = |n: usize, held: &[u64]| {
        if held[n] == 0 { (least, least) } else { (1, 2 * held[n] + 1) }
    };
    loop {
        let may = |&n: &usize| {
            let weight = claims[n].weight.in_thousandths();
            weight > 0 && claims[n].cap.is_none_or(|cap| held[n] + turn(n, &held).0 <= cap)
        };
        let quotient =
            |n: usize| f64::from(claims[n].weight.in_thousandths()) / turn(n, &held).1 as f64;
        let first =
            (0..claims.len()).filter(may).max_by(|&a, &b| quotient(a).total_cmp(&quotient(b)));
        let Some(n) = first.filter(|&n| turn(n, &held).0 <= left) else {
            return Split { shares: held, left };
        };
        left -= turn(n, &held).0;
        held[n] += turn(n, &held).0;
    }
}

/// Birgen, Math of Democracy, on largest remainders: one more seat takes one from the smallest.
#[test]
fn the_published_paradox_of_largest_remainders_is_not_ours() {
    let weights = [54, 243, 703];
    assert_eq!(largest_remainders(10, &weights), [1, 2, 7]);
    assert_eq!(largest_remainders(11, &weights), [0, 3, 8]);
    let (ten, eleven) = (shares(10, &weights), shares(11, &weights));
    assert!(ten.iter().zip(&eleven).all(|(few, more)| few <= more), "{ten:?}, {eleven:?}");
}

/// The same source, by largest remainders; here both methods agree.
#[test]
fn published_quotas_are_split_as_published() {
    for (quota, weights, published) in [
        (11, &[56, 255, 789][..], &[1, 2, 8][..]),
        (175, &[871, 1029, 610, 190], &[56, 67, 40, 12]),
    ] {
        assert_eq!(largest_remainders(quota, weights), published);
        assert_eq!(shares(quota, weights), published);
    }
}

#[test]
fn a_thousand_quotas_are_split_as_another_program_splits_them() {
    let mut compared = 0;
    for row in csv::Reader::from_reader(OTHER_PROGRAM.as_bytes()).deserialize() {
        let (quota, weights, theirs): (u64, String, String) = row.unwrap();
        let weights: Vec<u32> = weights.split(' ').map(|w| w.parse().unwrap()).collect();
        let theirs: Vec<u64> = theirs.split(' ').map(|share| share.parse().unwrap()).collect();
        assert_eq!(shares(quota, &weights), theirs, "{quota} among {weights:?}");
        compared += 1;
    }
    assert_eq!(compared, 1000);
}

#[test]
fn a_child_gets_half_of_what_an_adult_gets() {
    let family = Weight::ADULT.times(2).and(Weight::CHILD.times(2));
    let claims = [("family", family), ("pair", Weight::ADULT.times(2)), ("watching", Weight::NONE)]
        .map(|(party, weight)| Claim { party: party.into(), weight, cap: None });
    let split = split(100, &claims, 1, 7);
    assert_eq!((split.shares, split.left), (vec![60, 40, 0], 0));
}

#[test]
fn caps_leave_the_rest_to_others_and_then_standing() {
    let held = |quota| split(quota, &capped(&[(1000, Some(3)), (1000, Some(8))]), 1, 7);
    assert_eq!(held(10), Split { shares: vec![3, 7], left: 0 });
    assert_eq!(held(20), Split { shares: vec![3, 8], left: 9 });
}

#[test]
fn a_share_too_small_to_be_of_use_stays_standing() {
    let held = |quota| split(quota, &claims(&[1000, 1000, 1000]), 10, 7);
    let mut shares = held(29).shares;
    shares.sort();
    assert_eq!((shares, held(29).left), (vec![0, 10, 10], 9));
    assert_eq!(held(32).left, 0);
    // Less than half of it would be fair to the lightest.
    let light = split(100, &claims(&[1000, 1000, 90]), 10, 7);
    assert_eq!(light.shares[2], 0);
}

#[test]
fn nothing_to_split_and_nobody_to_have_it_are_fine() {
    assert_eq!(split(0, &claims(&[1, 2]), 1, 7), Split { shares: vec![0, 0], left: 0 });
    assert_eq!(split(5, &[], 1, 7), Split { shares: vec![], left: 5 });
    let huge = capped(&[(u32::MAX, Some(u64::MAX)), (1, None), (1000, Some(2))]);
    let split = split(u64::MAX, &huge, 0, 7);
    assert_eq!((split.shares[2], split.left), (2, 0));
}

#[test]
fn another_seed_breaks_ties_another_way_and_names_keep_their_lot() {
    let claims = claims(&[1000; 6]);
    let extra = |seed| split(1, &claims, 1, seed).shares.iter().position(|&n| n == 1).unwrap();
    let drawn: std::collections::BTreeSet<usize> = (0..60).map(extra).collect();
    assert_eq!(drawn.len(), 6, "{drawn:?}");
    let turned: Vec<Claim> = claims.iter().rev().cloned().collect();
    let mut shares = split(4, &turned, 1, 3).shares;
    shares.reverse();
    assert_eq!(shares, split(4, &claims, 1, 3).shares);
}

type Parties = Vec<(u32, Option<u64>)>;

fn parties() -> impl Strategy<Value = Parties> {
    let weight = prop_oneof![
        Just(1000_u32),
        (0..9_u32).prop_map(|halves| 500 * halves),
        0..5000_u32,
        1..u32::MAX,
    ];
    prop::collection::vec((weight, prop::option::of(0..90_u64)), 1..12)
}

proptest! {
    #![proptest_config(laws(600))]

    #[test]
    fn caps_and_quota_are_kept_and_the_quota_is_used_up(
        parties in parties(), quota in 0..500_u64, least in 1..12_u64, seed: u64,
    ) {
        let split = split(quota, &capped(&parties), least, seed);
        prop_assert_eq!(split.shares.iter().sum::<u64>() + split.left, quota);
        let room = |(&(weight, cap), &share): (&(u32, Option<u64>), &u64)| {
            weight > 0 && cap.is_none_or(|cap| cap > share && cap >= least)
        };
        for (&(weight, cap), &share) in parties.iter().zip(&split.shares) {
            prop_assert!(cap.is_none_or(|cap| share <= cap));
            prop_assert!(share == 0 || (share >= least && weight > 0));
        }
        if split.left >= least {
            prop_assert!(!parties.iter().zip(&split.shares).any(room));
        }
    }

    #[test]
    fn a_larger_quota_never_shrinks_a_share(
        parties in parties(), quota in 0..400_u64, more in 1..40_u64, least in 1..12_u64, seed: u64,
    ) {
        let before = split(quota, &capped(&parties), least, seed).shares;
        let after = split(quota + more, &capped(&parties), least, seed).shares;
        prop_assert!(before.iter().zip(&after).all(|(a, b)| a <= b), "{:?}, {:?}", before, after);
    }

    #[test]
    fn a_party_that_leaves_never_shrinks_the_share_of_another(
        parties in parties(), quota in 0..400_u64, least in 1..12_u64, seed: u64, leaver: prop::sample::Index,
    ) {
        let mut claims = capped(&parties);
        let leaver = leaver.index(claims.len());
        let mut before = split(quota, &claims, least, seed).shares;
        claims.remove(leaver);
        before.remove(leaver);
        let after = split(quota, &claims, least, seed).shares;
        prop_assert!(before.iter().zip(&after).all(|(a, b)| a <= b), "{:?}, {:?}", before, after);
    }

    #[test]
    fn equal_parties_differ_by_a_unit_at_most(
        others in parties(), cap in prop::option::of(0..90_u64), weight: u32, quota in 0..500_u64, seed: u64,
    ) {
        let twins = [(weight, cap), (weight, cap)];
        let parties: Parties = twins.into_iter().chain(others).collect();
        let shares = split(quota, &capped(&parties), 1, seed).shares;
        prop_assert!(shares[0].abs_diff(shares[1]) <= 1);
    }

    /// No two quotients are alike: the weights are primes over the largest divisor met.
    #[test]
    fn a_large_quota_is_split_as_one_by_one(
        chosen in prop::sample::subsequence(vec![7919_u32, 10_007, 15_013, 30_011, 62_003, 99_991], 1..=6),
        caps in prop::collection::vec(prop::option::of(0..900_u64), 6),
        quota in 0..3000_u64,
        least in 1..30_u64,
    ) {
        let parties: Parties = chosen.into_iter().zip(caps).collect();
        let claims = capped(&parties);
        prop_assert_eq!(split(quota, &claims, least, 7), one_by_one(quota, &claims, least));
    }
}
