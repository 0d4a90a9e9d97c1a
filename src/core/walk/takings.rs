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

    pub fn add(&mut self, pair: usize, amount: u64) {
        let Pair { source, demand } = self.task.pairs[pair];
        self.amounts[pair] += amount;
        self.from_source[source] += amount;
        self.to_demand[demand] += amount;
        let groups = &self.task.sources[source].groups;
        groups.iter().for_each(|&group| self.from_group[group] += amount);
    }
}
