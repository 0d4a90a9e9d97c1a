//! A recorded walk made ready: what each party may cut where, and where it starts.

use geo::Point;

use super::quota::{Quota, Quotas, quotas};
use super::shares::{Share, parties, shares};
use super::turns::{bears, stints};
use crate::assess::{Briefing, Prepared, Stop};
use crate::catalogue::Catalogue;
use crate::records::{Fact, Party, Walk};
use crate::walk::PlanError;

/// Briefs the leader of a walk.
///
/// `prepared` are the patches as of the day of the walk, made ready by
/// [`prepare_for`](crate::assess::prepare_for) for one who asks on behalf of this walk.
///
/// # Errors
/// A plan that the solver gives up.
pub fn brief(
    walk: &Fact<Walk>,
    prepared: &[Prepared],
    catalogue: &Catalogue,
    start: Option<Point>,
) -> Result<Briefing, PlanError> {
    let Quotas { stops, length, is_held, short } =
        quotas(&walk.record, prepared, catalogue, start)?;
    let parties = parties(&walk.record);
    let shares = shares(&stops, &parties, walk.record.seed);
    Ok(Briefing {
        walk: walk.record.name.clone(),
        day: walk.record.day,
        leader: walk.by.clone(),
        sites: walk.record.sites().cloned().collect(),
        purpose: walk.record.purpose(),
        start,
        length,
        parties: stints(&stops, &parties, &shares),
        seed: walk.record.seed,
        is_held,
        short,
        stops: stops
            .into_iter()
            .enumerate()
            .map(|(n, quota)| stop(n, quota, &parties, &shares))
            .collect(),
    })
}

fn stop(n: usize, quota: Quota, parties: &[Party], shares: &[Share]) -> Stop {
    let cut: f64 = shares.iter().filter(|share| share.stop == n).map(|share| share.amount).sum();
    Stop {
        people_at_once: bears(&quota, parties),
        found_growing: quota.found.found_growing,
        patch: quota.found.patch,
        centre: quota.found.centre,
        crop: quota.found.crop,
        quota: quota.amount,
        one_in: quota.one_in,
        why: quota.why,
        stays_standing: (quota.amount - cut).max(0.0),
    }
}
