//! Patches of which it is all one, for the plan as a whole, which of them gives: those that
//! serve the same demands under the same shared limits. A plan first settles what each pool of
//! them gives together, so that its programme does not grow with the ground.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::task::{Source, Task, greatest_common_divisor};

/// Rounding of a share of a limit, in units.
const NEARLY_WHOLE: f64 = 1e-9;

/// Demands met to so much less of the scale are met as well.
pub(super) const SAME: f64 = 1e-6;

const HALF: f64 = 0.5;

#[derive(Debug)]
pub(super) struct Pool {
    /// The demands that its sources serve.
    pub demands: Vec<usize>,
    /// The group limits that it shares with other pools.
    pub shared: Vec<usize>,
    /// Its sources, those with the least walking for an amount first.
    pub sources: Vec<usize>,
    /// What it gives is a multiple of this.
    pub step: u64,
    /// All that its demands want.
    pub wanted: u64,
}

/// A task's sources of use, in pools.
#[derive(Debug)]
pub(super) struct Ground<'a> {
    pub task: &'a Task,
    pub pools: Vec<Pool>,
    /// Whether a group has sources of several pools.
    is_shared: Vec<bool>,
    /// The walking charged for a gram or piece of each source: its way, in parts of the
    /// furthest one, for all that it can give to what is wanted.
    walking: Vec<f64>,
    /// The largest part of a demand that any pool could meet: what is met is compared in parts
    /// of it, so that a demand beyond all ground is planned as well as any.
    pub scale: f64,
}

impl<'a> Ground<'a> {
    pub fn of(task: &'a Task) -> Self {
        let mut ground = Self {
            task,
            pools: Vec::new(),
            is_shared: crossing(task),
            walking: walking(task),
            scale: 1.0,
        };
        let mut pools: BTreeMap<(Vec<usize>, Vec<usize>), Vec<usize>> = BTreeMap::new();
        for n in of_use(task) {
            pools.entry(key(task, n, &ground.is_shared)).or_default().push(n);
        }
        ground.pools = pools
            .into_iter()
            .map(|((demands, shared), mut sources)| {
                sources.sort_by(|&a, &b| ground.nearer(a, b));
                let units = sources.iter().map(|&n| task.sources[n].unit);
                let step = units.fold(0, greatest_common_divisor).max(1);
                let wanted = demands.iter().map(|&demand| task.demands[demand]);
                let wanted = wanted.fold(0, u64::saturating_add) / step * step;
                Pool { demands, shared, sources, step, wanted }
            })
            .collect();
        ground.scale = ground.largest_part();
        ground
    }

    fn largest_part(&self) -> f64 {
        let parts = self.pools.iter().zip(self.capacities(1.0)).flat_map(|(pool, most)| {
            let wanted = pool.demands.iter().map(|&demand| self.task.demands[demand]);
            wanted.map(move |wanted| most.min(wanted) as f64 / wanted as f64)
        });
        let largest = parts.fold(0.0, f64::max);
        if largest > 0.0 { largest } else { 1.0 }
    }

    /// Less than this of the demands is less than any source's unit.
    pub fn same_met(&self) -> f64 {
        let largest = self.pools.iter().map(|pool| {
            let wanted = pool.demands.iter().map(|&demand| self.task.demands[demand]);
            pool.step as f64 / wanted.max().unwrap_or(1) as f64
        });
        largest.map(|unit| unit * HALF).fold(SAME * self.scale, f64::min)
    }

    fn nearer(&self, a: usize, b: usize) -> Ordering {
        let [near, far] = [a, b].map(|n| (self.walking[n], self.task.sources[n].far));
        near.0.total_cmp(&far.0).then(near.1.total_cmp(&far.1)).then(a.cmp(&b))
    }

    pub fn source(&self, n: usize) -> &Source {
        &self.task.sources[n]
    }

    /// The walking charged for an amount from a source.
    pub fn walking(&self, source: usize, amount: u64) -> f64 {
        self.walking[source] * amount as f64
    }

    /// The most that a source gives up to a share of its limit, in whole units; nothing where
    /// that is too little to be of use.
    pub fn most(&self, source: usize, share: f64) -> u64 {
        let Source { limit, unit, least, .. } = self.source(source);
        let wanted = self.task.wanted_of(source) / unit * unit;
        let most = limit.map_or(wanted, |limit| {
            let units = share * limit as f64 / *unit as f64 + NEARLY_WHOLE;
            (units as u64).saturating_mul(*unit).min(limit).min(wanted)
        });
        if most < *least { 0 } else { most }
    }

    /// The groups of a source that no other pool has a share in.
    pub fn own_groups(&self, source: usize) -> impl Iterator<Item = usize> {
        let groups = self.source(source).groups.iter().copied();
        groups.filter(|&group| !self.is_shared[group])
    }

    /// Whether the pool's own groups bind none of its sources, up to a share.
    pub fn is_free(&self, pool: &Pool, share: f64) -> bool {
        let mut rooms = self.task.groups.clone();
        pool.sources.iter().all(|&n| {
            let gives = self.most(n, share);
            let fits = gives <= self.room(n, &rooms);
            if fits {
                self.own_groups(n).for_each(|group| rooms[group] -= gives);
            }
            fits
        })
    }

    /// What is left for a source in its pool's own groups.
    pub fn room(&self, source: usize, rooms: &[u64]) -> u64 {
        self.own_groups(source).map(|group| rooms[group]).min().unwrap_or(u64::MAX)
    }

    /// Visits the sources of a pool, the nearest first, with the most that each gives up to a
    /// share and what the walking for it is, until all that is wanted is had. One that lies
    /// beyond is never needed: what it gives, a nearer one has to spare.
    ///
    /// The own groups of a pool lie within each other or apart, so that to take the nearest
    /// first leaves the most, and the least walking, for every amount.
    pub fn nearest(&self, pool: &Pool, share: f64, mut visit: impl FnMut(u64, f64)) {
        let mut rooms = self.task.groups.clone();
        let mut left = pool.wanted;
        for &n in pool.sources.iter() {
            if left == 0 {
                break;
            }
            let gives = self.most(n, share).min(self.room(n, &rooms)).min(left);
            let gives = gives / pool.step * pool.step;
            if gives > 0 {
                self.own_groups(n).for_each(|group| rooms[group] -= gives);
                left -= gives;
                visit(gives, self.walking(n, gives));
            }
        }
    }

    /// The most that each pool gives up to a share.
    pub fn capacities(&self, share: f64) -> Vec<u64> {
        let capacity = |pool: &Pool| {
            let mut sum: u64 = 0;
            self.nearest(pool, share, |gives, _| sum += gives);
            sum
        };
        self.pools.iter().map(capacity).collect()
    }

    /// The next share over this one with which some source gives more; 1 if none does.
    pub fn next_share(&self, share: f64) -> f64 {
        let sources = self.pools.iter().flat_map(|pool| &pool.sources);
        let next = sources.filter_map(|&n| {
            let Source { limit, unit, least, .. } = self.source(n);
            let limit = limit.filter(|&limit| limit > 0)? as f64;
            let units = (share * limit / *unit as f64 + NEARLY_WHOLE) as u64 + 1;
            Some(units.saturating_mul(*unit).max(*least) as f64 / limit)
        });
        next.fold(1.0, f64::min)
    }
}

fn of_use(task: &Task) -> impl Iterator<Item = usize> {
    (0..task.sources.len()).filter(|&n| !task.pairs_from(n).is_empty())
}

/// The demands of a source, and its groups that several pools share in.
fn key(task: &Task, source: usize, is_shared: &[bool]) -> (Vec<usize>, Vec<usize>) {
    let groups = task.sources[source].groups.iter().copied();
    (task.demands_of(source).collect(), groups.filter(|&group| is_shared[group]).collect())
}

/// Which groups have sources of several pools, or cross another group of their pool. To set one
/// of them apart divides its pool, which may bring up others.
fn crossing(task: &Task) -> Vec<bool> {
    let mut is_shared = vec![false; task.groups.len()];
    for (one, other) in overlapping(task) {
        // The later one, so that the same are chosen whatever the order of the offers.
        is_shared[one.max(other)] = true;
    }
    loop {
        let mut pool_of: Vec<Option<(Vec<usize>, Vec<usize>)>> = vec![None; task.groups.len()];
        let mut found = false;
        for n in of_use(task).filter(|&n| !task.sources[n].groups.is_empty()) {
            let pool = key(task, n, &is_shared);
            for &group in &task.sources[n].groups {
                match &pool_of[group] {
                    None => pool_of[group] = Some(pool.clone()),
                    Some(other) if *other == pool || is_shared[group] => {}
                    Some(_) => (is_shared[group], found) = (true, true),
                }
            }
        }
        if !found {
            return is_shared;
        }
    }
}

/// Pairs of groups that have sources in common, and each some that the other has not.
fn overlapping(task: &Task) -> Vec<(usize, usize)> {
    let mut members = vec![0_usize; task.groups.len()];
    let mut common: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for n in of_use(task) {
        let groups = &task.sources[n].groups;
        for (at, &one) in groups.iter().enumerate() {
            members[one] += 1;
            for &other in &groups[at + 1..] {
                *common.entry((one, other)).or_default() += 1;
            }
        }
    }
    let cross = |((one, other), both): &((usize, usize), usize)| {
        *both < members[*one] && *both < members[*other]
    };
    common.into_iter().filter(cross).map(|(groups, _)| groups).collect()
}

fn walking(task: &Task) -> Vec<f64> {
    let furthest = task.sources.iter().map(|source| source.far).fold(1.0, f64::max);
    let way = |(n, source): (usize, &Source)| {
        let wanted = task.wanted_of(n).max(1);
        let all = source.limit.unwrap_or(wanted).clamp(1, wanted);
        source.far / furthest / all as f64
    };
    task.sources.iter().enumerate().map(way).collect()
}
