//! The least walking for what a pool gives, if each of its sources gives nothing or a useful
//! amount.

use std::collections::VecDeque;

use super::curve::Curve;
use super::pools::{Ground, Pool};

/// Beyond so many amounts tried a handful more or less is next to nothing of the whole.
const MOST_TRIED: u64 = 20_000_000;

/// So many amounts are tried for all pools together.
const MOST_TRIED_TOGETHER: u64 = 200_000_000;

impl Ground<'_> {
    /// The least walking for each amount of each pool, up to a share.
    pub fn curves(&self, share: f64) -> Vec<Curve> {
        let mut left = MOST_TRIED_TOGETHER;
        let curve = |pool: &Pool| {
            if let Some(curve) = useful_curve(self, pool, share, &mut left) {
                return curve;
            }
            let mut curve = Curve::through(vec![(0.0, 0.0)]);
            self.nearest(pool, share, |gives, walking| curve.push(gives as f64, walking));
            curve
        };
        self.pools.iter().map(curve).collect()
    }
}

/// The lower hull of the least walking for every amount: no plan walks less. `None` where the
/// pool is large, its units differ, or groups of its own bind it; what is tried is taken off `left`.
fn useful_curve(ground: &Ground, pool: &Pool, share: f64, left: &mut u64) -> Option<Curve> {
    let together = pool.sources.iter().map(|&n| ground.most(n, share));
    let steps = together.fold(0, u64::saturating_add).min(pool.wanted) / pool.step;
    let tried = steps.saturating_mul(pool.sources.len() as u64);
    let is_small = tried <= MOST_TRIED.min(*left);
    let is_alike = || pool.sources.iter().all(|&n| ground.source(n).unit == pool.step);
    if !is_small || !is_alike() || !ground.is_free(pool, share) {
        return None;
    }
    *left -= tried;
    let mut least = vec![f64::INFINITY; steps as usize + 1];
    least[0] = 0.0;
    for &n in &pool.sources {
        let most = ground.most(n, share) / pool.step;
        if most > 0 {
            let useful = ground.source(n).least / pool.step;
            add(&mut least, ground.walking(n, pool.step), [useful as usize, most as usize]);
        }
    }
    let points = least.iter().enumerate().filter(|(_, walking)| walking.is_finite());
    let points = points.map(|(at, &walking)| ((at as u64 * pool.step) as f64, walking));
    Some(Curve::through(hull(points)))
}

/// Lets one more source give nothing or from `useful` to `most` steps, with so much walking for
/// each. `least` is the least walking by what is given together.
fn add(least: &mut [f64], step: f64, [useful, most]: [usize; 2]) {
    let without: Vec<f64> =
        least.iter().enumerate().map(|(n, all)| all - step * n as f64).collect();
    // What the others give, the least walking first; nothing that is both less and walks more.
    let mut others: VecDeque<usize> = VecDeque::new();
    for (together, least) in least.iter_mut().enumerate().skip(useful) {
        let comes = together - useful;
        while others.back().is_some_and(|&last| without[last] >= without[comes]) {
            others.pop_back();
        }
        others.push_back(comes);
        while others.front().is_some_and(|&first| first + most < together) {
            others.pop_front();
        }
        if let Some(&best) = others.front() {
            *least = least.min(without[best] + step * together as f64);
        }
    }
}

/// The lower hull of points from left to right.
fn hull(points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut hull: Vec<(f64, f64)> = Vec::new();
    for point in points {
        while let [.., a, b] = hull.as_slice() {
            if (b.1 - a.1) * (point.0 - a.0) < (point.1 - a.1) * (b.0 - a.0) {
                break;
            }
            hull.pop();
        }
        hull.push(point);
    }
    hull
}
