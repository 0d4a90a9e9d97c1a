//! The best plan in whole units, and how much better one could be at most.
//!
//! What the programme gives to each pool may be an amount that its sources cannot add up to,
//! each with a useful one. Such a gap is branched on: no more than what lies below it, or no
//! less than what lies above.

use good_lp::ResolutionError;

use super::effort::Effort;
use super::flow::{Flow, Goal, Range};
use super::gather::{Gathered, gather};
use super::pools::{Ground, SAME};
use super::programme::{FEW_POOLS, solve};
use super::task::Pair;

/// What the solver's rounding takes from a whole unit is less.
const NEARLY_WHOLE: f64 = 1e-2;

/// Gaps are few; a ground made of them is left to the bound.
const MOST_BRANCHES: usize = 64;

/// So often, what pools of a large ground could not add up to is looked for in others.
const MOST_MENDED: usize = 8;

/// A branch that may walk less by no more than this part is left to the bound.
const HARDLY_LESS: f64 = 1e-4;

/// A plan in whole units.
#[derive(Clone, Debug)]
pub(super) struct Whole {
    /// What each pair gives.
    pub amounts: Vec<u64>,
    /// The shares of the demands that are met, added up.
    pub met: f64,
    pub walking: f64,
}

/// The best that was found, and the goal that no plan betters.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub best: Option<Whole>,
    pub bound: f64,
}

/// Searches plans in which no source gives more than a share of its limit.
pub(super) fn search(
    ground: &Ground,
    share: f64,
    goal: Goal,
    effort: &mut Effort,
) -> Result<Found, ResolutionError> {
    let capacities = ground.capacities(share);
    let everything = capacities.iter().map(|&most| Range { least: 0, most }).collect();
    let mut open: Vec<Vec<Range>> = vec![everything];
    let mut lines = Vec::new();
    let mut found = Found { best: None, bound: goal.worst() };
    for branches in 0.. {
        let Some(ranges) = open.pop() else { break };
        let Some(flow) = solve(ground, &ranges, goal, &mut lines, effort)? else { continue };
        let is_hopeless =
            found.best.as_ref().is_some_and(|best| !goal.betters(ground, flow.reached, best));
        if is_hopeless || branches >= MOST_BRANCHES || (branches > 0 && effort.is_spent()) {
            found.bound = goal.better(found.bound, flow.reached);
            continue;
        }
        effort.visit(ground);
        let (whole, gap) = in_whole_units(ground, share, &ranges, &flow, goal);
        if goal.is_better(ground, &whole, found.best.as_ref()) {
            found.best = Some(whole);
        }
        match gap {
            None => found.bound = goal.better(found.bound, flow.reached),
            Some(Gap { pool, below, above, is_sure }) => {
                if !is_sure {
                    found.bound = goal.better(found.bound, flow.reached);
                }
                let Range { least, most } = ranges[pool];
                let sides = [Range { least: above, most }, Range { least, most: below }];
                for side in sides.into_iter().filter(|side| side.least <= side.most) {
                    let mut ranges = ranges.clone();
                    ranges[pool] = side;
                    open.push(ranges);
                }
            }
        }
    }
    Ok(found)
}

/// Whether so much can be met up to a share, for all that the pools can give together.
pub(super) fn may_meet(
    ground: &Ground,
    share: f64,
    met: f64,
    effort: &mut Effort,
) -> Result<bool, ResolutionError> {
    let range = |most: u64| Range { least: 0, most };
    let ranges: Vec<Range> = ground.capacities(share).into_iter().map(range).collect();
    effort.visit(ground);
    let flow = solve(ground, &ranges, Goal::Met, &mut Vec::new(), effort)?;
    Ok(flow.is_some_and(|flow| flow.reached >= met - SAME * ground.scale))
}

impl Goal<'_> {
    fn worst(&self) -> f64 {
        match self {
            Goal::Met => 0.0,
            Goal::Walking { .. } => f64::INFINITY,
        }
    }

    fn better(&self, one: f64, other: f64) -> f64 {
        match self {
            Goal::Met => one.max(other),
            Goal::Walking { .. } => one.min(other),
        }
    }

    fn betters(&self, ground: &Ground, reached: f64, best: &Whole) -> bool {
        match self {
            Goal::Met => reached > best.met + ground.same_met(),
            Goal::Walking { .. } => reached < best.walking * (1.0 - HARDLY_LESS),
        }
    }

    fn is_better(&self, ground: &Ground, one: &Whole, best: Option<&Whole>) -> bool {
        match self {
            Goal::Met => best.is_none_or(|best| one.met > best.met),
            Goal::Walking { met, .. } => {
                one.met >= met - ground.same_met()
                    && best.is_none_or(|best| one.walking < best.walking)
            }
        }
    }
}

struct Gap {
    pool: usize,
    below: u64,
    above: u64,
    is_sure: bool,
}

/// A flow in whole units, source by source, and the first pool that does not add up to its part,
/// of which the plan then has less.
fn in_whole_units(
    ground: &Ground,
    share: f64,
    ranges: &[Range],
    flow: &Flow,
    goal: Goal,
) -> (Whole, Option<Gap>) {
    let mut given = Given::of(ground, ranges, flow, goal);
    if ground.pools.len() > FEW_POOLS {
        given.mend(share);
    }
    let mut whole = Whole { amounts: vec![0; ground.task.pairs.len()], met: 0.0, walking: 0.0 };
    let mut first = None;
    for (n, pool) in ground.pools.iter().enumerate() {
        let to_demands = &given.amounts[n];
        let (sources, gap) = match gather(ground, pool, share, to_demands.iter().sum()) {
            Gathered::Whole(sources) => (sources, None),
            Gathered::Gap { found, below, above, is_sure } => {
                (found, Some(Gap { pool: n, below, above, is_sure }))
            }
        };
        let walking = sources.iter().map(|&(n, amount)| ground.walking(n, amount));
        whole.walking += walking.sum::<f64>();
        lay(ground, &sources, to_demands, &mut whole.amounts);
        first = first.or(gap);
    }
    let parts = ground.task.pairs.iter().zip(&whole.amounts).filter(|(_, amount)| **amount > 0);
    let part =
        |(pair, &amount): (&Pair, &u64)| amount as f64 / ground.task.demands[pair.demand] as f64;
    whole.met = parts.map(part).sum();
    (whole, first)
}

/// Lays what the sources give end to end over the demands.
fn lay(ground: &Ground, sources: &[(usize, u64)], to_demands: &[u64], amounts: &mut [u64]) {
    let (mut demand, mut missing) = (0, to_demands.first().copied().unwrap_or_default());
    for &(source, mut left) in sources {
        let pairs = ground.task.pairs_from(source);
        while left > 0 {
            while missing == 0 {
                demand += 1;
                missing = to_demands[demand];
            }
            let part = left.min(missing);
            amounts[pairs.start + demand] += part;
            left -= part;
            missing -= part;
        }
    }
}

/// Whole amounts from each pool to each of its demands, never over a range, a shared limit or
/// a demand.
struct Given<'g, 'a> {
    ground: &'g Ground<'a>,
    ranges: Vec<Range>,
    amounts: Vec<Vec<u64>>,
    from_pool: Vec<u64>,
    from_group: Vec<u64>,
    to_demand: Vec<u64>,
}

impl<'g, 'a> Given<'g, 'a> {
    /// A flow rounded down, and then as much again as rounding took from the demands.
    fn of(ground: &'g Ground<'a>, ranges: &[Range], flow: &Flow, goal: Goal) -> Self {
        let amounts = ground.pools.iter().map(|pool| vec![0; pool.demands.len()]).collect();
        let mut given = Self {
            ground,
            ranges: ranges.to_vec(),
            amounts,
            from_pool: vec![0; ground.pools.len()],
            from_group: vec![0; ground.task.groups.len()],
            to_demand: vec![0; ground.task.demands.len()],
        };
        for (n, amounts) in flow.amounts.iter().enumerate() {
            for (at, amount) in amounts.iter().enumerate() {
                let step = ground.pools[n].step;
                let steps = (amount / step as f64 + NEARLY_WHOLE) as u64;
                given.add(n, at, steps.saturating_mul(step));
            }
        }
        match goal {
            Goal::Walking { met, .. } if given.met() >= met - ground.same_met() => {}
            _ => given.top_up(),
        }
        given
    }

    /// As much of an amount as there is room for.
    fn add(&mut self, pool: usize, at: usize, amount: u64) {
        let of = &self.ground.pools[pool];
        let demand = of.demands[at];
        let task = self.ground.task;
        let shared = of.shared.iter().map(|&group| task.groups[group] - self.from_group[group]);
        let room = (self.ranges[pool].most - self.from_pool[pool])
            .min(task.demands[demand] - self.to_demand[demand])
            .min(shared.min().unwrap_or(u64::MAX));
        let amount = amount.min(room / of.step * of.step);
        self.amounts[pool][at] += amount;
        self.from_pool[pool] += amount;
        self.to_demand[demand] += amount;
        of.shared.iter().for_each(|&group| self.from_group[group] += amount);
    }

    /// Small demands first, of which a unit is the larger share.
    fn top_up(&mut self) {
        let ground = self.ground;
        let pools = ground.pools.iter().enumerate();
        let mut serving: Vec<(u64, usize, usize)> = pools
            .flat_map(|(n, pool)| {
                let demands = pool.demands.iter().enumerate();
                demands.map(move |(at, &demand)| (ground.task.demands[demand], n, at))
            })
            .collect();
        serving.sort_unstable();
        serving.into_iter().for_each(|(_, pool, at)| self.add(pool, at, u64::MAX));
    }

    /// Lets other pools give what some cannot add up to: there are more pools than are branched
    /// on.
    fn mend(&mut self, share: f64) {
        for _ in 0..MOST_MENDED {
            let mut is_whole = true;
            for (n, pool) in self.ground.pools.iter().enumerate() {
                let amount = self.from_pool[n];
                if let Gathered::Gap { found, .. } = gather(self.ground, pool, share, amount) {
                    let gives = found.iter().map(|(_, amount)| amount).sum::<u64>();
                    let gives = gives / pool.step * pool.step;
                    self.take_back(n, amount - gives);
                    self.ranges[n].most = gives;
                    is_whole = false;
                }
            }
            if is_whole {
                break;
            }
            self.top_up();
        }
    }

    fn take_back(&mut self, pool: usize, mut amount: u64) {
        let of = &self.ground.pools[pool];
        for (&demand, given) in of.demands.iter().zip(&mut self.amounts[pool]).rev() {
            let back = amount.min(*given);
            *given -= back;
            amount -= back;
            self.from_pool[pool] -= back;
            self.to_demand[demand] -= back;
            of.shared.iter().for_each(|&group| self.from_group[group] -= back);
        }
    }

    /// The shares of the demands that are met, added up.
    fn met(&self) -> f64 {
        let parts = self.to_demand.iter().zip(&self.ground.task.demands);
        let parts = parts.filter(|(_, wanted)| **wanted > 0);
        parts.map(|(had, wanted)| *had as f64 / *wanted as f64).sum()
    }
}
