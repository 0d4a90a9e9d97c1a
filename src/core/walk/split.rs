//! A quota split among parties, in whole units.
//!
//! Sainte-Laguë's divisor method under caps: every unit that a party could get has a place in
//! one list, by the party's weight over 1, 3, 5, ..., and the quota is handed out from the top
//! of that list. So a larger quota only goes further down the list, and a party that leaves
//! only takes its own lines out of it: neither ever shrinks anyone's share. Handing out
//! remainders by size has no such list and can take a unit away from a party as the quota grows.
//!
//! A smallest useful share is one line of that many units. It stands where half of it would be
//! the party's fair share, as for a single unit, that is at its number of units as the divisor.
//! Where the next line is such a share and does not fit into what is left, the rest stays
//! standing: to hand it on to others would take it from them again as soon as the quota grows.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;
use std::sync::Arc;

use super::Weight;
use crate::sampling::Chance;

/// What a party may have of a quota.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Its name: ties fall by the seed and the names, so that they stay as they are when
    /// another party leaves.
    pub party: Arc<str>,
    /// A party without weight gets nothing.
    pub weight: Weight,
    /// The most it may have, in units.
    pub cap: Option<u64>,
}

/// Who gets how much, in units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Split {
    /// In the order of the claims.
    pub shares: Vec<u64>,
    /// What stays standing: everyone has reached a cap, or the next share would be too small
    /// to be of use.
    pub left: u64,
}

/// Splits a quota of units. Each party gets nothing or at least `least` units, and at most its
/// cap; together they get the quota, less what [`Split::left`] tells.
///
/// ```
/// use stintbook_core::walk::{Claim, Weight, split};
///
/// let claim = |party: &str, adults: u32| {
///     Claim { party: party.into(), weight: Weight::thousandths(1000 * adults), cap: None }
/// };
/// let shared = split(9, &[claim("1", 2), claim("2", 1)], 1, 7);
/// assert_eq!((shared.shares, shared.left), (vec![6, 3], 0));
/// ```
pub fn split(quota: u64, claims: &[Claim], least: u64, seed: u64) -> Split {
    let list = List::of(quota, claims, least.max(1), seed);
    let mut held = list.start();
    let mut left = quota - held.iter().sum::<u64>();
    let next = |line: &Line, held: &[u64]| line.next(held[line.claim], &list);
    let mut lines: BinaryHeap<Turn> =
        list.lines.iter().filter_map(|line| next(line, &held)).collect();
    while let Some(turn) = lines.pop().filter(|turn| turn.units <= left) {
        held[turn.line.claim] += turn.units;
        left -= turn.units;
        lines.extend(next(&turn.line, &held));
    }
    Split { shares: held, left }
}

/// The parties that can get anything.
#[derive(Debug)]
struct List {
    quota: u64,
    least: u64,
    claims: usize,
    lines: Vec<Line>,
    heaviest: u128,
}

/// A party in the list.
#[derive(Clone, Copy, Debug)]
struct Line {
    claim: usize,
    weight: u128,
    /// Never over the quota.
    cap: u64,
    /// Its place among ties.
    rank: (u64, usize),
}

/// What a party would get next, and at which divisor.
#[derive(Debug)]
struct Turn {
    line: Line,
    divisor: u128,
    units: u64,
}

impl List {
    fn of(quota: u64, claims: &[Claim], least: u64, seed: u64) -> Self {
        let line = |(claim, wants): (usize, &Claim)| Line {
            claim,
            weight: u128::from(wants.weight.in_thousandths()),
            cap: wants.cap.map_or(quota, |cap| cap.min(quota)),
            rank: (lot(seed, &wants.party), claim),
        };
        let lines = claims.iter().enumerate().map(line);
        let lines = lines.filter(|line| line.weight > 0 && line.cap >= least);
        let lines: Vec<Line> = lines.collect();
        let heaviest = lines.iter().map(|line| line.weight).max().unwrap_or(1);
        Self { quota, least, claims: claims.len(), lines, heaviest }
    }

    /// Shares that are sure, so that a large quota need not be handed out one by one: all that
    /// stands in the list above the lowest quotient at which it still fits into the quota.
    ///
    /// The quotient is `heaviest / t`. Its next step down holds no more than a turn or two of
    /// each party.
    fn start(&self) -> Vec<u64> {
        let (mut sure, mut over) = (0, 1);
        while !self.is_over(over) && !self.all_at_caps(over) {
            (sure, over) = (over, over * 2);
        }
        while over - sure > 1 {
            let middle = sure + (over - sure) / 2;
            if self.is_over(middle) {
                over = middle;
            } else {
                sure = middle;
            }
        }
        let mut held = vec![0; self.claims];
        for line in &self.lines {
            held[line.claim] = self.above(line, sure);
        }
        held
    }

    fn is_over(&self, t: u128) -> bool {
        let together: u128 = self.lines.iter().map(|line| u128::from(self.above(line, t))).sum();
        together > u128::from(self.quota)
    }

    fn all_at_caps(&self, t: u128) -> bool {
        self.lines.iter().all(|line| self.above(line, t) == line.cap)
    }

    /// How many units of a party have a quotient of at least `heaviest / t`.
    fn above(&self, line: &Line, t: u128) -> u64 {
        let divisor = line.weight.saturating_mul(t) / self.heaviest;
        if divisor < u128::from(self.least) {
            return 0;
        }
        let units = divisor.div_ceil(2).max(u128::from(self.least));
        u64::try_from(units).map_or(line.cap, |units| units.min(line.cap))
    }
}

impl Line {
    fn next(&self, held: u64, list: &List) -> Option<Turn> {
        let (units, divisor) = match held {
            0 => (list.least, u128::from(list.least)),
            _ => (1, 2 * u128::from(held) + 1),
        };
        (held < self.cap).then_some(Turn { line: *self, divisor, units })
    }
}

impl Ord for Turn {
    /// The larger quotient first, compared without dividing; ties by lot.
    fn cmp(&self, other: &Self) -> Ordering {
        (self.line.weight * other.divisor)
            .cmp(&(other.line.weight * self.divisor))
            .then_with(|| Reverse(self.line.rank).cmp(&Reverse(other.line.rank)))
    }
}

impl PartialOrd for Turn {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Turn {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Turn {}

/// A number drawn for a name.
fn lot(seed: u64, name: &str) -> u64 {
    let mut drawn = Chance::seeded(seed).number();
    for byte in name.bytes() {
        drawn = Chance::seeded(drawn ^ u64::from(byte)).number();
    }
    drawn
}
