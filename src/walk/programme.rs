//! The linear programme of a task: amounts that may be any fraction.
//!
//! Each stage holds what the one before has reached: first what falls short of the demands, as
//! shares of them, is least; then the highest share of a limit; then the walking, with the way
//! to a patch charged in proportion to how much of the patch is taken. Whole numbers would need
//! a search that takes seconds even for a few patches.

use good_lp::{
    Constraint, Expression, ProblemVariables, ResolutionError, Solution, SolverModel, Variable,
    VariableDefinition, constraint, microlp, variable,
};

use super::task::{Source, Task};

/// The solver's rounding.
const TOLERANCE: f64 = 1e-7;

/// What is settled of a source before the programme is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Use {
    Free,
    /// It gives nothing.
    Out,
    /// It gives its least useful amount or more.
    Useful,
}

/// How good a solution is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reached {
    /// The shares of the demands that are met, added up.
    pub met: f64,
    /// The highest share of a source's limit.
    pub share: f64,
}

#[derive(Clone, Debug)]
pub(super) struct Flow {
    /// Grams or pieces of each pair.
    pub amounts: Vec<f64>,
    pub reached: Reached,
}

#[derive(Clone, Copy, Debug)]
enum Goal {
    Met,
    Share { met: f64 },
    Walking { met: f64, share: f64 },
}

/// The shares of the demands that can be met, added up; `None` where what is settled cannot be.
pub(super) fn most_met(task: &Task, uses: &[Use]) -> Result<Option<f64>, ResolutionError> {
    Ok(solve(task, uses, Goal::Met)?.map(|flow| flow.reached.met))
}

/// The best flow, `slack` over the least highest share allowed to save walking.
pub(super) fn best(task: &Task, uses: &[Use], slack: f64) -> Result<Option<Flow>, ResolutionError> {
    let Some(most) = solve(task, uses, Goal::Met)? else { return Ok(None) };
    let met = most.reached.met;
    let even = solve(task, uses, Goal::Share { met })?.unwrap_or(most);
    let share = even.reached.share + slack;
    Ok(Some(solve(task, uses, Goal::Walking { met, share })?.unwrap_or(even)))
}

/// The flow with the least walking that reaches as much; `None` where none does.
pub(super) fn reaching(
    task: &Task,
    uses: &[Use],
    Reached { met, share }: Reached,
) -> Result<Option<Flow>, ResolutionError> {
    solve(task, uses, Goal::Walking { met, share })
}

fn solve(task: &Task, uses: &[Use], goal: Goal) -> Result<Option<Flow>, ResolutionError> {
    let mut unknowns = ProblemVariables::new();
    let share = unknowns.add(variable().min(0.0).max(1.0));
    // Shares of the demands, so that small and large ones are alike to the solver.
    let parts: Vec<Variable> =
        (0..task.pairs.len()).map(|n| unknowns.add(bounds(task, uses, n))).collect();
    let objective = match goal {
        Goal::Met => -sum_of(&parts),
        Goal::Share { .. } => share.into(),
        Goal::Walking { .. } => walking(task, &parts),
    };
    let mut model = unknowns.minimise(objective).using(microlp);
    for constraint in rows(task, uses, &parts, share) {
        model.add_constraint(constraint);
    }
    if let Goal::Share { met } | Goal::Walking { met, .. } = goal {
        model.add_constraint(constraint!(sum_of(&parts) >= met - TOLERANCE));
    }
    if let Goal::Walking { share: most, .. } = goal {
        model.add_constraint(constraint!(share <= most + TOLERANCE));
    }
    match model.solve() {
        Ok(solution) => Ok(Some(flow(task, parts.iter().map(|&part| solution.value(part))))),
        Err(ResolutionError::Infeasible) => Ok(None),
        Err(other) => Err(other),
    }
}

fn bounds(task: &Task, uses: &[Use], pair: usize) -> VariableDefinition {
    let pair = task.pairs[pair];
    let gives_nothing = uses[pair.source] == Use::Out
        || task.sources[pair.source].groups.iter().any(|&group| task.groups[group] == 0);
    variable().min(0.0).max(if gives_nothing { 0.0 } else { 1.0 })
}

fn sum_of(parts: &[Variable]) -> Expression {
    parts.iter().sum()
}

/// What some pairs give together, in units of `measure`.
fn given(
    task: &Task,
    parts: &[Variable],
    pairs: impl Iterator<Item = usize>,
    measure: u64,
) -> Expression {
    let wanted = |pair: usize| task.demands[task.pairs[pair].demand] as f64;
    pairs.map(|pair| wanted(pair) / measure as f64 * parts[pair]).sum()
}

fn rows(task: &Task, uses: &[Use], parts: &[Variable], share: Variable) -> Vec<Constraint> {
    let mut rows = Vec::new();
    for demand in 0..task.demands.len() {
        let met: Expression = task.pairs_to(demand).map(|pair| parts[pair]).sum();
        rows.push(constraint!(met <= 1.0));
    }
    for (n, source) in task.sources.iter().enumerate() {
        if let Some(limit) = source.limit.filter(|&limit| limit > 0) {
            rows.push(constraint!(given(task, parts, task.pairs_from(n), limit) <= share));
        }
        if uses[n] == Use::Useful {
            rows.push(constraint!(given(task, parts, task.pairs_from(n), source.least) >= 1.0));
        }
    }
    for (n, &limit) in task.groups.iter().enumerate().filter(|(_, limit)| **limit > 0) {
        let shared = |&pair: &usize| task.sources[task.pairs[pair].source].groups.contains(&n);
        let pairs = (0..task.pairs.len()).filter(shared);
        rows.push(constraint!(given(task, parts, pairs, limit) <= 1.0));
    }
    rows
}

fn walking(task: &Task, parts: &[Variable]) -> Expression {
    let furthest = task.sources.iter().map(|source| source.far).fold(1.0, f64::max);
    let way = |pair: usize| {
        let source = task.pairs[pair].source;
        let wanted = task.pairs_from(source).map(|pair| task.demands[task.pairs[pair].demand]);
        let wanted = wanted.fold(0, u64::saturating_add);
        let all = task.sources[source].limit.unwrap_or(wanted).clamp(1, wanted.max(1));
        let part = task.demands[task.pairs[pair].demand] as f64 / all as f64;
        task.sources[source].far / furthest * part
    };
    (0..parts.len()).map(|pair| way(pair) * parts[pair]).sum()
}

fn flow(task: &Task, parts: impl Iterator<Item = f64>) -> Flow {
    let parts: Vec<f64> = parts.map(|part| part.max(0.0)).collect();
    let wanted = |pair: usize| task.demands[task.pairs[pair].demand] as f64;
    let amounts: Vec<f64> = parts.iter().enumerate().map(|(n, part)| part * wanted(n)).collect();
    let share = |(n, source): (usize, &Source)| {
        let taken: f64 = task.pairs_from(n).map(|pair| amounts[pair]).sum();
        source.limit.filter(|&limit| limit > 0).map_or(0.0, |limit| taken / limit as f64)
    };
    let share = task.sources.iter().enumerate().map(share).fold(0.0, f64::max);
    Flow { reached: Reached { met: parts.iter().sum(), share }, amounts }
}
