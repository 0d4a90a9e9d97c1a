//! How hard a plan is worked on: counted in steps and not by the clock, so that every machine
//! stops at the same place and gives the same plan.

use super::pools::Ground;

/// What a programme costs for each of its pools, for each pair of them, and for each pool and
/// line that it was told of, in steps of some ten nanoseconds; with so many pools more, a line
/// costs one step more. Measured on programmes of 300 to 3,000 pools.
const A_POOL: u64 = 500;
const A_PAIR: u64 = 2;
const A_LINE: u64 = 1;
const POOLS_A_STEP: u64 = 250;
/// Beyond so many pools a single programme may take longer than anybody waits.
const MOST_POOLS: usize = 4000;
/// What it costs to put sources in order, for each of them.
const A_SORT: u64 = 20;

/// What is left of what may be spent on one goal of a plan.
#[derive(Clone, Copy, Debug)]
pub(super) struct Effort {
    left: u64,
}

impl Effort {
    /// About a second for each goal: many times what a walk over the patches of a county takes.
    pub const A_GOAL: Self = Self { left: 100_000_000 };
    /// The least walking takes programmes of many lines.
    pub const WALKING: Self = Self { left: 300_000_000 };

    /// Whether no programme is solved at all.
    pub fn is_beyond(ground: &Ground) -> bool {
        ground.pools.len() > MOST_POOLS
    }

    pub fn is_spent(self) -> bool {
        self.left == 0
    }

    /// A programme with so many lines.
    pub fn solve(&mut self, ground: &Ground, lines: usize) {
        self.left = self.left.saturating_sub(cost(ground, lines));
    }

    /// A visit to every source.
    pub fn visit(&mut self, ground: &Ground) {
        self.left = self.left.saturating_sub(ground.task.sources.len() as u64);
    }

    /// All sources put in order.
    pub fn sort(&mut self, ground: &Ground) {
        let sources = ground.task.sources.len() as u64;
        self.left = self.left.saturating_sub(sources.saturating_mul(A_SORT));
    }
}

fn cost(ground: &Ground, lines: usize) -> u64 {
    let pools = ground.pools.len() as u64;
    let a_line = A_LINE + pools / POOLS_A_STEP;
    let lines = a_line.saturating_mul(lines as u64);
    let each = A_PAIR.saturating_mul(pools).saturating_add(lines).saturating_add(A_POOL);
    pools.saturating_mul(each)
}
