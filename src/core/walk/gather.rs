//! What each source of a pool gives, in whole units, for what the pool gives together.

use std::collections::{HashMap, HashSet};

use super::pools::{Ground, Pool};

/// So many of the nearest sources that would have to give more than is wanted of them are
/// tried.
const MOST_TRIED: usize = 32;

/// So many steps are taken to squeeze sources in: what is then still missing is left to the
/// bound.
const MOST_SQUEEZED: usize = 20_000_000;

#[derive(Debug)]
pub(super) enum Gathered {
    /// Each source with its amount, the nearest first.
    Whole(Vec<(usize, u64)>),
    /// No sources were found that give so much, each a useful amount.
    Gap {
        /// Sources that give less.
        found: Vec<(usize, u64)>,
        /// More than the sources give with one fewer of them, and less than they give at least
        /// with one more.
        below: u64,
        above: u64,
        /// Whether nothing between the two can be had at all.
        is_sure: bool,
    },
}

/// Sources that together give an amount, each nothing or a useful amount up to a share of its
/// limit, with little walking.
pub(super) fn gather(ground: &Ground, pool: &Pool, share: f64, amount: u64) -> Gathered {
    let mut filling = Filling::none(ground, share, amount);
    let mut before_gap = None;
    for &n in &pool.sources {
        if filling.left == 0 {
            break;
        }
        let unit = ground.source(n).unit;
        let most = filling.most(n) / unit * unit;
        let least = ground.source(n).least;
        if most < least {
            continue;
        }
        if least <= filling.left {
            filling.add(n, most.min(filling.left / unit * unit));
        } else if before_gap.is_none() {
            before_gap = Some(filling.clone());
        }
    }
    filling.squeeze(pool);
    let Some(before_gap) = before_gap else {
        return match filling.left {
            0 => Gathered::Whole(filling.chosen),
            _ => gap(ground, pool, share, amount, filling),
        };
    };
    // Two ways over the gap: smaller sources further off, or one more and less from the others.
    let lifted = [&before_gap, &filling].into_iter().filter_map(|filling| filling.lifted(pool));
    let further = (filling.left == 0).then(|| filling.clone());
    let ways = lifted.chain(further);
    let best = ways.min_by(|one, other| one.walking().total_cmp(&other.walking()));
    match best {
        Some(best) => Gathered::Whole(best.in_order(pool)),
        None => gap(ground, pool, share, amount, filling),
    }
}

/// What lies around an amount: so many sources give no more than those with the highest most
/// of all, and no less than those with the lowest least.
fn gap(ground: &Ground, pool: &Pool, share: f64, amount: u64, filling: Filling) -> Gathered {
    let sources = pool.sources.iter().map(|&n| (ground.source(n).least, ground.most(n, share)));
    let (mut least, mut most): (Vec<u64>, Vec<u64>) =
        sources.filter(|(least, most)| most >= least).unzip();
    least.sort_unstable();
    most.sort_unstable_by(|a, b| b.cmp(a));
    let (mut below, mut above) = (0_u64, u64::MAX);
    let mut together = (0_u64, 0_u64);
    for (least, most) in least.iter().zip(&most) {
        together = (together.0.saturating_add(*least), together.1.saturating_add(*most));
        if together.0 > amount {
            above = together.0;
            break;
        }
        below = below.max(together.1);
    }
    let (sum, found) = (filling.sum(), filling.chosen);
    match below < amount {
        true => Gathered::Gap { found, below, above, is_sure: true },
        false => Gathered::Gap {
            below: sum.min(amount - pool.step),
            found,
            above: amount + pool.step,
            is_sure: false,
        },
    }
}

/// What is taken so far.
#[derive(Clone, Debug)]
struct Filling<'g, 'a> {
    ground: &'g Ground<'a>,
    share: f64,
    chosen: Vec<(usize, u64)>,
    /// Of what is wanted.
    left: u64,
    wanted: u64,
    /// What is left of each group.
    rooms: Vec<u64>,
}

impl<'g, 'a> Filling<'g, 'a> {
    fn none(ground: &'g Ground<'a>, share: f64, wanted: u64) -> Self {
        let rooms = ground.task.groups.clone();
        Self { ground, share, chosen: Vec::new(), left: wanted, wanted, rooms }
    }

    fn sum(&self) -> u64 {
        self.wanted - self.left
    }

    fn walking(&self) -> f64 {
        self.chosen.iter().map(|&(n, amount)| self.ground.walking(n, amount)).sum()
    }

    fn most(&self, source: usize) -> u64 {
        self.ground.most(source, self.share).min(self.ground.room(source, &self.rooms))
    }

    fn is_chosen(&self) -> HashSet<usize> {
        self.chosen.iter().map(|(n, _)| *n).collect()
    }

    fn add(&mut self, source: usize, amount: u64) {
        self.ground.own_groups(source).for_each(|group| self.rooms[group] -= amount);
        self.left -= amount;
        self.chosen.push((source, amount));
    }

    /// Adds sources for which their groups have some room, but less than a useful amount: each
    /// gives that, and others of its group so much less.
    fn squeeze(&mut self, pool: &Pool) {
        let mut is_chosen = self.is_chosen();
        let mut tried = 0;
        for &n in &pool.sources {
            if self.left == 0 || tried > MOST_SQUEEZED {
                break;
            }
            let of = self.ground.source(n);
            let room = self.ground.room(n, &self.rooms).min(self.left) / of.unit * of.unit;
            let is_shut = room == 0 || room >= of.least || self.ground.most(n, self.share) == 0;
            if !is_shut && !is_chosen.contains(&n) {
                tried += self.chosen.len();
                if let Some(squeezed) = self.squeezed(n, of.least - room) {
                    *self = squeezed;
                    is_chosen.insert(n);
                }
            }
        }
    }

    fn squeezed(&self, source: usize, mut over: u64) -> Option<Self> {
        let tightest = self.ground.own_groups(source).min_by_key(|&group| self.rooms[group])?;
        let mut squeezed = self.clone();
        let mut left = self.left;
        for (n, amount) in squeezed.chosen.iter_mut().rev() {
            if self.ground.own_groups(*n).any(|group| group == tightest) {
                let of = self.ground.source(*n);
                let back = (*amount - of.least).min(over) / of.unit * of.unit;
                *amount -= back;
                over -= back;
                left += back;
                self.ground.own_groups(*n).for_each(|group| squeezed.rooms[group] += back);
            }
        }
        let least = self.ground.source(source).least;
        squeezed.left = left;
        let fits = over == 0 && least <= left && squeezed.most(source) >= least;
        fits.then(|| {
            squeezed.add(source, least);
            squeezed
        })
    }

    /// With one more source that gives its least useful amount, and so much less from the
    /// furthest of the others: the source for which there is then the least walking.
    fn lifted(&self, pool: &Pool) -> Option<Self> {
        if self.left == 0 {
            return None;
        }
        let is_chosen = self.is_chosen();
        let large = |n: &usize| {
            let least = self.ground.source(*n).least;
            least > self.left && self.ground.most(*n, self.share) >= least
        };
        let more = pool.sources.iter().copied().filter(large);
        let more = more.filter(|n| !is_chosen.contains(n)).take(MOST_TRIED);
        let lifted = more.filter_map(|n| self.with(n));
        lifted.min_by(|one, other| one.walking().total_cmp(&other.walking()))
    }

    fn with(&self, source: usize) -> Option<Self> {
        let least = self.ground.source(source).least;
        let mut lifted = self.clone();
        let mut over = least - self.left;
        for (n, amount) in lifted.chosen.iter_mut().rev() {
            let of = self.ground.source(*n);
            let back = (*amount - of.least).min(over) / of.unit * of.unit;
            *amount -= back;
            over -= back;
            self.ground.own_groups(*n).for_each(|group| lifted.rooms[group] += back);
        }
        if over > 0 || self.ground.room(source, &lifted.rooms) < least {
            return None;
        }
        lifted.left = least;
        lifted.add(source, least);
        Some(lifted)
    }

    fn in_order(self, pool: &Pool) -> Vec<(usize, u64)> {
        let mut chosen = self.chosen;
        let places: HashMap<usize, usize> =
            pool.sources.iter().enumerate().map(|(place, &source)| (source, place)).collect();
        chosen.sort_by_key(|(n, _)| places.get(n));
        chosen
    }
}
