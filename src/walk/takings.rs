//! Whole amounts that are never over a limit, a group's limit or a demand.

use super::programme::Flow;
use super::task::{Pair, Task};

/// Upwards of the solver's rounding, in units.
const NEARLY_WHOLE: f64 = 1e-5;

/// In how many steps what is missing is added, if it is many units.
const STEPS: u64 = 8;

/// Rounding takes a unit or so of each pair; who asks for millions can spare the rest.
const MOST_EXCHANGES: usize = 1000;

#[derive(Debug)]
pub(super) struct Takings<'a> {
    task: &'a Task,
    /// Of each pair.
    pub amounts: Vec<u64>,
    from_source: Vec<u64>,
    from_group: Vec<u64>,
    to_demand: Vec<u64>,
}

impl<'a> Takings<'a> {
    pub fn none(task: &'a Task) -> Self {
        Self {
            task,
            amounts: vec![0; task.pairs.len()],
            from_source: vec![0; task.sources.len()],
            from_group: vec![0; task.groups.len()],
            to_demand: vec![0; task.demands.len()],
        }
    }

    /// The flow rounded down to units, and then as much again as rounding took from the demands.
    pub fn rounded(task: &'a Task, flow: &Flow) -> Self {
        let mut takings = Self::none(task);
        for (pair, amount) in flow.amounts.iter().enumerate() {
            let unit = takings.unit(pair);
            let units = (amount / unit as f64 + NEARLY_WHOLE) as u64;
            takings.add(pair, units.saturating_mul(unit).min(takings.room(pair)));
        }
        takings.lift_or_drop();
        takings.top_up();
        takings.level(flow.reached.share);
        takings
    }

    pub fn missing(&self, demand: usize) -> u64 {
        self.task.demands[demand] - self.to_demand[demand]
    }

    pub fn is_unmet(&self, demand: usize) -> bool {
        self.to_demand[demand] == 0
    }

    pub fn taken(&self, source: usize) -> u64 {
        self.from_source[source]
    }

    /// What a source may still give, in whole units; `None` if there is no end to it.
    fn left(&self, source: usize) -> Option<u64> {
        let offered = &self.task.sources[source];
        let own = offered.limit.map(|limit| limit - self.from_source[source]);
        let groups = offered.groups.iter();
        let shared = groups.map(|&group| self.task.groups[group] - self.from_group[group]);
        own.into_iter().chain(shared).min().map(|left| left / offered.unit * offered.unit)
    }

    /// What some sources may still give together, each a useful amount; `None` if there is no
    /// end to it.
    pub fn left_together(&self, sources: &[usize]) -> Option<u64> {
        let mut groups: Vec<u64> = self.task.groups.clone();
        groups.iter_mut().zip(&self.from_group).for_each(|(left, taken)| *left -= taken);
        let mut together: u64 = 0;
        for &n in sources {
            let source = &self.task.sources[n];
            let own = source.limit.map(|limit| limit - self.from_source[n]);
            let shared = source.groups.iter().map(|&group| groups[group]);
            let left = own.into_iter().chain(shared).min()? / source.unit * source.unit;
            if self.from_source[n] + left >= source.least {
                together = together.saturating_add(left);
                source.groups.iter().for_each(|&group| groups[group] -= left);
            }
        }
        Some(together)
    }

    fn unit(&self, pair: usize) -> u64 {
        self.task.sources[self.task.pairs[pair].source].unit
    }

    /// How much more a pair may take, in whole units.
    fn room(&self, pair: usize) -> u64 {
        let Pair { source, demand } = self.task.pairs[pair];
        let missing = self.missing(demand) / self.unit(pair) * self.unit(pair);
        self.left(source).map_or(missing, |left| left.min(missing))
    }

    fn add(&mut self, pair: usize, amount: u64) {
        let Pair { source, demand } = self.task.pairs[pair];
        self.amounts[pair] += amount;
        self.from_source[source] += amount;
        self.to_demand[demand] += amount;
        let groups = &self.task.sources[source].groups;
        groups.iter().for_each(|&group| self.from_group[group] += amount);
    }

    fn take_back(&mut self, pair: usize, amount: u64) {
        let Pair { source, demand } = self.task.pairs[pair];
        self.amounts[pair] -= amount;
        self.from_source[source] -= amount;
        self.to_demand[demand] -= amount;
        let groups = &self.task.sources[source].groups;
        groups.iter().for_each(|&group| self.from_group[group] -= amount);
    }

    /// A source that rounding has put under its least useful amount gets there again, or is
    /// left out.
    fn lift_or_drop(&mut self) {
        for (n, source) in self.task.sources.iter().enumerate() {
            for pair in self.task.pairs_from(n) {
                let lacks = source.least.saturating_sub(self.from_source[n]);
                if self.from_source[n] > 0 {
                    self.add(pair, lacks.min(self.room(pair)));
                }
            }
            if self.from_source[n] < source.least {
                for pair in self.task.pairs_from(n) {
                    self.take_back(pair, self.amounts[pair]);
                }
            }
        }
    }

    /// Small demands first, of which a unit is the larger share.
    fn top_up(&mut self) {
        let mut demands: Vec<usize> = (0..self.task.demands.len()).collect();
        demands.sort_by_key(|&demand| self.task.demands[demand]);
        for demand in demands {
            while self.add_evenly(demand) {}
            let unmet = || vec![false; self.task.demands.len()];
            let mut exchanges = 0;
            while exchanges < MOST_EXCHANGES && self.add_by_exchange(demand, &mut unmet()) {
                exchanges += 1;
            }
        }
    }

    /// Adds to where the share of the limit is then lowest, used sources first: a unit, or more
    /// where many are missing.
    fn add_evenly(&mut self, demand: usize) -> bool {
        let some = self.missing(demand) / STEPS;
        let addition = |pair: usize| {
            let unit = self.unit(pair);
            let least = self.lacks(pair).max(unit);
            let amount = least.max(some / unit * unit).min(self.room(pair));
            (amount >= least).then_some((pair, amount))
        };
        let best = self.task.pairs_to(demand).filter_map(addition).min_by(|a, b| {
            let share = self.share_with(a.0, a.1).total_cmp(&self.share_with(b.0, b.1));
            self.is_unused(a.0).cmp(&self.is_unused(b.0)).then(share)
        });
        if let Some((pair, amount)) = best {
            self.add(pair, amount);
        }
        best.is_some()
    }

    /// Moves units away from sources that give more than the share of the flow, to others that
    /// are used and then give a lower one.
    fn level(&mut self, share: f64) {
        for _ in 0..MOST_EXCHANGES {
            let Some((from, to)) = self.leveller(share) else { break };
            let unit = self.unit(from);
            self.take_back(from, unit);
            self.add(to, unit);
        }
    }

    fn leveller(&self, share: f64) -> Option<(usize, usize)> {
        let demand = |pair: usize| self.task.pairs[pair].demand;
        let over = (0..self.amounts.len()).filter(|&from| {
            let keeps = self.lacks_without(from, self.unit(from)) == 0;
            self.amounts[from] >= self.unit(from) && keeps && self.share_with(from, 0) > share
        });
        let moves =
            over.flat_map(|from| self.task.pairs_to(demand(from)).map(move |to| (from, to)));
        let levelling = moves.filter(|&(from, to)| {
            let unit = self.unit(from);
            let fits = !self.is_unused(to) && self.unit(to) == unit && self.fits_instead(from, to);
            fits && self.share_with(to, unit) < self.share_with(from, 0)
        });
        levelling.max_by(|a, b| {
            let gain = |pair: &(usize, usize)| {
                self.share_with(pair.0, 0) - self.share_with(pair.1, self.unit(pair.0))
            };
            gain(a).total_cmp(&gain(b))
        })
    }

    /// Whether a unit of one pair fits into another pair of the same demand and unit; a group
    /// that both are in holds it already.
    fn fits_instead(&self, from: usize, to: usize) -> bool {
        let [from, to] = [from, to].map(|pair| self.task.pairs[pair].source);
        let [giver, taker] = [from, to].map(|source| &self.task.sources[source]);
        let own = taker.limit.is_none_or(|limit| limit - self.from_source[to] >= taker.unit);
        own && taker.groups.iter().all(|group| {
            let left = self.task.groups[*group] - self.from_group[*group];
            left >= taker.unit || giver.groups.contains(group)
        })
    }

    /// What a pair's source would lack to its least useful amount with so much less; nothing if
    /// it then gave nothing.
    fn lacks_without(&self, pair: usize, amount: u64) -> u64 {
        let source = self.task.pairs[pair].source;
        match self.taken(source).saturating_sub(amount) {
            0 => 0,
            left => self.task.sources[source].least.saturating_sub(left),
        }
    }

    /// What a pair's source lacks to its least useful amount.
    fn lacks(&self, pair: usize) -> u64 {
        let source = self.task.pairs[pair].source;
        self.task.sources[source].least.saturating_sub(self.taken(source))
    }

    fn share_with(&self, pair: usize, amount: u64) -> f64 {
        let source = self.task.pairs[pair].source;
        let limit = self.task.sources[source].limit;
        limit.map_or(0.0, |limit| (self.taken(source) + amount) as f64 / limit as f64)
    }

    /// Adds a unit that another demand gives up and gets back from elsewhere, by exchanges
    /// along a path on which no demand is met twice.
    fn add_by_exchange(&mut self, demand: usize, met: &mut [bool]) -> bool {
        met[demand] = true;
        for pair in self.task.pairs_to(demand) {
            let unit = self.unit(pair);
            if self.lacks(pair) <= unit && self.room(pair) >= unit {
                self.add(pair, unit);
                return true;
            }
        }
        for pair in self.task.pairs_to(demand) {
            for other in 0..self.task.pairs.len() {
                if !met[self.task.pairs[other].demand] && self.exchange(pair, other, met) {
                    return true;
                }
            }
        }
        false
    }

    fn exchange(&mut self, pair: usize, other: usize, met: &mut [bool]) -> bool {
        let (unit, given_up) = (self.unit(pair), self.unit(other));
        if self.amounts[other] < given_up {
            return false;
        }
        self.take_back(other, given_up);
        if self.room(pair) >= unit {
            self.add(pair, unit);
            let useful = self.lacks(pair) == 0 && (self.lacks(other) == 0 || self.is_unused(other));
            if useful && self.add_by_exchange(self.task.pairs[other].demand, met) {
                return true;
            }
            self.take_back(pair, unit);
        }
        self.add(other, given_up);
        false
    }

    fn is_unused(&self, pair: usize) -> bool {
        self.taken(self.task.pairs[pair].source) == 0
    }
}
