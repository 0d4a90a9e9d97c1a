//! Few patches, each for an amount that is worth the cut.

use good_lp::ResolutionError;

use super::programme::{Flow, Reached, Use, best, most_met, reaching};
use super::task::Task;

/// Less than this of a unit is the solver's rounding.
const NOTHING: f64 = 1e-4;

/// Demands met to so much less are met as well.
const SAME: f64 = 1e-6;

/// The best flow in which every source gives nothing or a useful amount, as far as settling
/// one source after the other finds it.
pub(super) fn useful_flow(task: &Task, slack: f64) -> Result<Flow, ResolutionError> {
    let mut uses = vec![Use::Free; task.sources.len()];
    let mut flow = best(task, &uses, slack)?.ok_or(ResolutionError::Infeasible)?;
    while let Some(n) = least_useful(task, &flow, &uses) {
        settle(task, &mut uses, n, flow.reached.met)?;
        let Some(better) = best(task, &uses, slack)? else { return Ok(flow) };
        flow = better;
    }
    fewer(task, uses, flow)
}

fn taken(task: &Task, flow: &Flow, source: usize) -> f64 {
    task.pairs_from(source).map(|pair| flow.amounts[pair]).sum()
}

fn is_used(task: &Task, flow: &Flow, source: usize) -> bool {
    taken(task, flow, source) > NOTHING * task.sources[source].unit as f64
}

/// The unsettled source that gives the smallest part of its least useful amount, the furthest
/// off among equals; `None` if all give enough or nothing.
fn least_useful(task: &Task, flow: &Flow, uses: &[Use]) -> Option<usize> {
    let part = |n: usize| taken(task, flow, n) / task.sources[n].least as f64;
    (0..task.sources.len())
        .filter(|&n| uses[n] == Use::Free && is_used(task, flow, n) && part(n) < 1.0 - NOTHING)
        .min_by(|&a, &b| {
            let near = task.sources[b].far.total_cmp(&task.sources[a].far);
            part_in_steps(part(a)).cmp(&part_in_steps(part(b))).then(near)
        })
}

/// Coarse enough that the solver's rounding decides nothing.
fn part_in_steps(part: f64) -> u64 {
    (part / NOTHING).round() as u64
}

/// Leaves a source out if nothing falls short for that, or else has it give a useful amount if
/// that is better than leaving it out.
fn settle(task: &Task, uses: &mut [Use], n: usize, met: f64) -> Result<(), ResolutionError> {
    uses[n] = Use::Out;
    let without = most_met(task, uses)?.unwrap_or(0.0);
    if without < met - SAME {
        uses[n] = Use::Useful;
        let with = most_met(task, uses)?;
        if with.is_none_or(|with| with <= without) {
            uses[n] = Use::Out;
        }
    }
    Ok(())
}

/// Leaves out sources, the furthest first, whose whole amount can come from others that are
/// used anyway without a higher share of any limit.
fn fewer(task: &Task, mut uses: Vec<Use>, mut flow: Flow) -> Result<Flow, ResolutionError> {
    let reached: Reached = flow.reached;
    let (mut used, unused): (Vec<usize>, Vec<usize>) =
        (0..task.sources.len()).partition(|&n| is_used(task, &flow, n));
    unused.iter().for_each(|&n| uses[n] = Use::Out);
    used.iter().for_each(|&n| uses[n] = Use::Useful);
    used.sort_by(|&a, &b| task.sources[b].far.total_cmp(&task.sources[a].far));
    for n in used {
        uses[n] = Use::Out;
        match reaching(task, &uses, reached)? {
            Some(without) => flow = without,
            None => uses[n] = Use::Useful,
        }
    }
    Ok(flow)
}
