//! Few patches, each for an amount that is worth the cut.

use good_lp::ResolutionError;

use super::programme::{Flow, Reached, Use, best, most_met, reaching};
use super::task::{Source, Task};

/// Less than this of a unit is the solver's rounding.
const NOTHING: f64 = 1e-4;

/// Demands met to so much less are met as well.
const SAME: f64 = 1e-6;

/// One source in so many of those that give too little is left out at once, so that many of
/// them are settled in a few steps.
const AT_ONCE: usize = 4;

/// The best flow in which every source gives nothing or a useful amount, as far as settling
/// one source after the other finds it.
pub(super) fn useful_flow(task: &Task, slack: f64) -> Result<Flow, ResolutionError> {
    let mut uses = vec![Use::Free; task.sources.len()];
    let mut flow = best(task, &uses, slack)?.ok_or(ResolutionError::Infeasible)?;
    loop {
        let wanting = too_little(task, &flow, &uses);
        let Some(&neediest) = wanting.first() else { break };
        let some = &wanting[..wanting.len() / AT_ONCE];
        if !leave_out(task, &mut uses, some, flow.reached)? {
            settle(task, &mut uses, neediest, flow.reached)?;
        }
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

/// The unsettled sources that give too little to be of use. First the one that must give the
/// highest share of its limit to be of use, the furthest off among equals.
fn too_little(task: &Task, flow: &Flow, uses: &[Use]) -> Vec<usize> {
    let part = |n: usize| taken(task, flow, n) / task.sources[n].least as f64;
    let mut wanting: Vec<usize> = (0..task.sources.len())
        .filter(|&n| uses[n] == Use::Free && is_used(task, flow, n) && part(n) < 1.0 - NOTHING)
        .collect();
    wanting.sort_by(|&a, &b| {
        let [a, b] = [&task.sources[a], &task.sources[b]];
        needs(b).total_cmp(&needs(a)).then(b.far.total_cmp(&a.far))
    });
    wanting
}

/// The share of its limit that a source gives when it is of use.
fn needs(source: &Source) -> f64 {
    source.limit.map_or(0.0, |limit| source.least as f64 / limit as f64)
}

/// Leaves out some sources, if any, all of which would need a higher share than is reached,
/// unless more falls short for that.
fn leave_out(
    task: &Task,
    uses: &mut [Use],
    some: &[usize],
    reached: Reached,
) -> Result<bool, ResolutionError> {
    if some.is_empty() || some.iter().any(|&n| needs(&task.sources[n]) <= reached.share) {
        return Ok(false);
    }
    some.iter().for_each(|&n| uses[n] = Use::Out);
    let good = most_met(task, uses)?.is_some_and(|now| now >= reached.met - SAME);
    if !good {
        some.iter().for_each(|&n| uses[n] = Use::Free);
    }
    Ok(good)
}

/// Leaves a source out, or has it give a useful amount: whichever neither falls more short nor
/// needs a higher share; or else whichever falls less short. Leaving it out is tried first.
fn settle(
    task: &Task,
    uses: &mut [Use],
    n: usize,
    reached: Reached,
) -> Result<(), ResolutionError> {
    let mut met = Vec::new();
    for chosen in [Use::Out, Use::Useful] {
        uses[n] = chosen;
        if reaching(task, uses, reached)?.is_some() {
            return Ok(());
        }
        met.push(most_met(task, uses)?.unwrap_or(0.0));
    }
    uses[n] = if met[1] > met[0] + SAME { Use::Useful } else { Use::Out };
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
