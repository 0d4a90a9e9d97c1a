//! An errand in whole grams and pieces, the same whatever the order of its offers.

use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::ops::Range;

use geo::Point;

use super::errand::{Errand, Offer};
use super::whole::whole;
use crate::ground::{LocalMetres, geodesic_distance};

#[derive(Debug)]
pub(super) struct Task {
    pub sources: Vec<Source>,
    /// What is wanted for each demand, in steps that the sources can give.
    pub demands: Vec<u64>,
    pub groups: Vec<u64>,
    /// By source, then by demand.
    pub pairs: Vec<Pair>,
    /// Where the pairs of each source begin, and after the last one their number.
    first_pair: Vec<usize>,
    /// Offers left out because they are too far off, by position.
    pub too_far: Vec<usize>,
}

/// A patch that may give something.
#[derive(Debug)]
pub(super) struct Source {
    /// The position of its offer.
    pub offer: usize,
    pub limit: Option<u64>,
    pub least: u64,
    pub unit: u64,
    pub groups: Vec<usize>,
    /// Metres from the start, or from the middle of what the sources give; whole, so that no
    /// machine's rounding decides.
    pub far: f64,
}

/// A source and a demand that it serves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub source: usize,
    pub demand: usize,
}

impl Task {
    pub fn of(errand: &Errand) -> Self {
        let (near, too_far) = by_distance(errand);
        let mut offers = near;
        // So that what nobody asks for has no say in where the middle is, nor in how long is sought.
        offers.retain(|&n| errand.demands.iter().any(|it| errand.offers[n].concerns(it)));
        offers.sort_by(|a, b| canonical(&errand.offers[*a], &errand.offers[*b]));
        let demands = errand.demands.iter().enumerate().map(|(n, demand)| {
            let units = offers.iter().map(|&offer| &errand.offers[offer]);
            let units = units.filter(|o| o.serves(&errand.demands[n]));
            in_steps(whole(demand.amount.value), units)
        });
        let groups = shared_limits(errand, &offers);
        let demands: Vec<u64> = demands.collect();
        let middle = errand.start.map(|start| start.at).or_else(|| middle(errand, &offers));
        let sources = offers.iter().map(|&n| Source::of(errand, n, &demands, middle));
        let (pairs, first_pair) = (Vec::new(), Vec::new());
        let sources = sources.collect();
        let mut task = Self { sources, demands, groups, pairs, first_pair, too_far };
        task.pair_up(errand);
        task
    }

    /// Pairs each source that is of use with the demands that it serves.
    fn pair_up(&mut self, errand: &Errand) {
        for (n, source) in self.sources.iter().enumerate() {
            self.first_pair.push(self.pairs.len());
            if !source.is_of_use(&self.groups) {
                continue;
            }
            let offer = &errand.offers[source.offer];
            let demands = errand.demands.iter().zip(&self.demands).enumerate();
            let served = demands
                .filter(|(_, (demand, wanted))| **wanted >= source.unit && offer.serves(demand));
            self.pairs.extend(served.map(|(demand, _)| Pair { source: n, demand }));
        }
        self.first_pair.push(self.pairs.len());
    }

    /// The pairs of one source, by position.
    pub fn pairs_from(&self, source: usize) -> Range<usize> {
        self.first_pair[source]..self.first_pair[source + 1]
    }

    /// The demands that a source of use serves.
    pub fn demands_of(&self, source: usize) -> impl Iterator<Item = usize> {
        self.pairs[self.pairs_from(source)].iter().map(|pair| pair.demand)
    }

    /// All that is wanted of a source, by all the demands that it serves.
    pub fn wanted_of(&self, source: usize) -> u64 {
        self.demands_of(source).fold(0, |sum, demand| sum.saturating_add(self.demands[demand]))
    }
}

impl Source {
    fn of(errand: &Errand, offer: usize, demands: &[u64], from: Option<Point>) -> Self {
        let offered = &errand.offers[offer];
        let unit = offered.unit.size();
        let wanted =
            errand.demands.iter().zip(demands).filter(|(demand, _)| offered.serves(demand));
        let wanted = wanted.fold(0, |sum: u64, (_, amount)| sum.saturating_add(*amount));
        let least = whole(offered.least.ceil()).div_ceil(unit).saturating_mul(unit);
        let far = from.and_then(|from| geodesic_distance(from, offered.at));
        Self {
            offer,
            limit: offered.limit.map(|limit| whole(limit) / unit * unit),
            least: if wanted < unit { least } else { least.min(wanted / unit * unit) }.max(unit),
            unit,
            groups: BTreeSet::from_iter(&offered.groups).into_iter().copied().collect(),
            far: far.unwrap_or_default().0.round(),
        }
    }

    /// Whether it and its groups allow a useful amount.
    fn is_of_use(&self, groups: &[u64]) -> bool {
        let shared = self.groups.iter().map(|&group| groups[group]);
        self.limit.into_iter().chain(shared).all(|most| most >= self.least)
    }
}

/// The offers that are near enough, and those that are not.
fn by_distance(errand: &Errand) -> (Vec<usize>, Vec<usize>) {
    let near = |n: &usize| {
        errand.start.is_none_or(|start| {
            start.within.is_none_or(|within| {
                geodesic_distance(start.at, errand.offers[*n].at).is_some_and(|far| far <= within)
            })
        })
    };
    (0..errand.offers.len()).partition(near)
}

/// An amount rounded down to what its givers' units can add up to.
fn in_steps<'a>(amount: u64, givers: impl Iterator<Item = &'a Offer>) -> u64 {
    let step = givers.map(|giver| giver.unit.size()).fold(0, greatest_common_divisor).max(1);
    amount / step * step
}

/// Each group's limit, rounded down to what its members' units can add up to.
fn shared_limits(errand: &Errand, offers: &[usize]) -> Vec<u64> {
    let mut steps = vec![0; errand.group_limits.len()];
    for offer in offers.iter().map(|&offer| &errand.offers[offer]) {
        for &group in &offer.groups {
            steps[group] = greatest_common_divisor(steps[group], offer.unit.size());
        }
    }
    let limits = errand.group_limits.iter().zip(steps).map(|(limit, step)| (limit.value, step));
    limits.map(|(limit, step)| whole(limit) / step.max(1) * step.max(1)).collect()
}

pub(super) fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

/// The middle of what the offers can give: nearer to where most stands, so that two alone are not
/// equally far from it.
fn middle(errand: &Errand, offers: &[usize]) -> Option<Point> {
    let offers = || offers.iter().map(|&n| &errand.offers[n]);
    let metres = LocalMetres::at(offers().next()?.at);
    let weights = offers().map(|offer| offer.limit.map_or(0.0, |limit| limit.max(0.0)) + 1.0);
    let (sum, all) = offers().zip(weights).fold((Point::new(0.0, 0.0), 0.0), |(sum, all), it| {
        let (offer, weight) = it;
        (sum + metres.metres(&offer.at) * weight, all + weight)
    });
    Some(metres.degrees(&(sum / all)))
}

/// By what is offered, so that the order in which offers come does not matter.
fn canonical(a: &Offer, b: &Offer) -> Ordering {
    let unlimited_last = |offer: &Offer| offer.limit.unwrap_or(f64::INFINITY);
    (&a.crop, &a.groups, a.unit)
        .cmp(&(&b.crop, &b.groups, b.unit))
        .then_with(|| a.at.x().total_cmp(&b.at.x()))
        .then_with(|| a.at.y().total_cmp(&b.at.y()))
        .then_with(|| unlimited_last(a).total_cmp(&unlimited_last(b)))
        .then_with(|| a.least.total_cmp(&b.least))
}
