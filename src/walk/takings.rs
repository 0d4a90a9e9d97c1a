//! Whole amounts that are never over a limit, a group's limit or a demand.

use super::task::{Pair, Task};

#[derive(Debug)]
pub(super) struct Takings<'a> {
    pub task: &'a Task,
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
    pub fn left(&self, source: usize) -> Option<u64> {
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

    pub fn unit(&self, pair: usize) -> u64 {
        self.task.sources[self.task.pairs[pair].source].unit
    }

    /// How much more a pair may take, in whole units.
    pub fn room(&self, pair: usize) -> u64 {
        let Pair { source, demand } = self.task.pairs[pair];
        let missing = self.missing(demand) / self.unit(pair) * self.unit(pair);
        self.left(source).map_or(missing, |left| left.min(missing))
    }

    pub fn add(&mut self, pair: usize, amount: u64) {
        let Pair { source, demand } = self.task.pairs[pair];
        self.amounts[pair] += amount;
        self.from_source[source] += amount;
        self.to_demand[demand] += amount;
        let groups = &self.task.sources[source].groups;
        groups.iter().for_each(|&group| self.from_group[group] += amount);
    }

    pub fn take_back(&mut self, pair: usize, amount: u64) {
        let Pair { source, demand } = self.task.pairs[pair];
        self.amounts[pair] -= amount;
        self.from_source[source] -= amount;
        self.to_demand[demand] -= amount;
        let groups = &self.task.sources[source].groups;
        groups.iter().for_each(|&group| self.from_group[group] -= amount);
    }

    /// Whether a unit of one pair fits into another pair of the same demand and unit; a group
    /// that both are in holds it already.
    pub fn fits_instead(&self, from: usize, to: usize) -> bool {
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
    pub fn lacks_without(&self, pair: usize, amount: u64) -> u64 {
        let source = self.task.pairs[pair].source;
        match self.taken(source).saturating_sub(amount) {
            0 => 0,
            left => self.task.sources[source].least.saturating_sub(left),
        }
    }

    /// What a pair's source lacks to its least useful amount.
    pub fn lacks(&self, pair: usize) -> u64 {
        let source = self.task.pairs[pair].source;
        self.task.sources[source].least.saturating_sub(self.taken(source))
    }

    pub fn share_with(&self, pair: usize, amount: u64) -> f64 {
        let source = self.task.pairs[pair].source;
        let limit = self.task.sources[source].limit;
        limit.map_or(0.0, |limit| (self.taken(source) + amount) as f64 / limit as f64)
    }

    pub fn is_unused(&self, pair: usize) -> bool {
        self.taken(self.task.pairs[pair].source) == 0
    }
}
