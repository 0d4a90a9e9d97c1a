//! Bounds without a programme, for ground of so many pools that none can be solved: what the
//! sources could give if nothing that they share bound them.

use super::pools::{Ground, Pool};

/// The shares of the demands, added up, beyond which nothing is met if no pool gives more than
/// `most`: every demand met by all pools that serve it, as if it had them to itself.
pub(super) fn most_met(ground: &Ground, most: impl Iterator<Item = u64>) -> f64 {
    let mut together = vec![0_u64; ground.task.demands.len()];
    for (pool, most) in ground.pools.iter().zip(most) {
        for &demand in &pool.demands {
            together[demand] = together[demand].saturating_add(most);
        }
    }
    let wanted = ground.task.demands.iter().zip(together).filter(|(wanted, _)| **wanted > 0);
    wanted.map(|(&wanted, most)| most.min(wanted) as f64 / wanted as f64).sum()
}

/// The sources with the least walking for what they meet, each with all of it to the smallest of
/// its demands, of which a gram is the largest part; `None` where they do not meet as much.
pub(super) fn least_walking(ground: &Ground, share: f64, met: f64) -> Option<f64> {
    let mut meets: Vec<(f64, f64)> = ground
        .pools
        .iter()
        .flat_map(|pool| {
            let wanted = smallest_demand(ground, pool);
            pool.sources.iter().map(move |&n| {
                let most = ground.most(n, share);
                (most as f64 / wanted as f64, ground.walking(n, most))
            })
        })
        .filter(|(part, _)| *part > 0.0)
        .collect();
    meets.sort_by(|one, other| (one.1 / one.0).total_cmp(&(other.1 / other.0)));
    let (mut left, mut walking) = (met - ground.same_met(), 0.0);
    for (part, way) in meets {
        if left <= 0.0 {
            break;
        }
        let taken = left.min(part);
        walking += way * taken / part;
        left -= taken;
    }
    (left <= 0.0).then_some(walking)
}

fn smallest_demand(ground: &Ground, pool: &Pool) -> u64 {
    let wanted = pool.demands.iter().map(|&demand| ground.task.demands[demand]);
    wanted.min().unwrap_or(1).max(1)
}
