//! The linear programme of a ground: what each pool gives to each demand, any fraction of it.
//!
//! It has a few unknowns for each pool and none for a patch. How walking grows with what a pool
//! gives is a curve of straight lines, one a patch; the programme is told of a line when a
//! solution lies under it, until none does.

use good_lp::{
    Constraint, Expression, ProblemVariables, ResolutionError, Solution, SolverModel, Variable,
    constraint, microlp, variable,
};

use super::coarse::{least_walking, most_met};
use super::curve::Curve;
use super::effort::Effort;
use super::flow::{Flow, Goal, Range};
use super::pools::{Ground, Pool};

/// The solver's rounding.
const TOLERANCE: f64 = 1e-7;

/// Walking that is so nearly the least is the least.
const SAME_WALKING: f64 = 1e-8;

/// What a solution may still lie under the curves after so many rounds is left to the bound.
const MOST_ROUNDS: usize = 100;

/// Of so few pools the programme learns all lines that matter, to the last one.
pub(super) const FEW_POOLS: usize = 64;

/// Of more pools, walking that is within this part of the least is near enough.
const NEARLY_THE_LEAST: f64 = 1e-4;

/// How many lines of each of many pools the programme is told of before it is asked.
const FIRST_LINES: usize = 16;

/// A line that no walking lies under: so much at nothing, and so much more with each gram or
/// piece of a pool.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pool: usize,
    at_none: f64,
    slope: f64,
}

/// The best flow with what each pool gives in its range; `None` where there is none. `lines`
/// hold for every range, and are kept from one programme to the next. One programme is solved
/// even if the effort is spent.
pub(super) fn solve(
    ground: &Ground,
    ranges: &[Range],
    goal: Goal,
    lines: &mut Vec<Line>,
    effort: &mut Effort,
) -> Result<Option<Flow>, ResolutionError> {
    if Effort::is_beyond(ground) {
        effort.sort(ground);
        return Ok(coarse(ground, ranges, goal));
    }
    let Goal::Walking { curves, .. } = goal else {
        effort.solve(ground, lines.len());
        return Ok(solve_once(ground, ranges, goal, lines)?.map(|(flow, _)| flow));
    };
    if lines.is_empty() && ground.pools.len() > FEW_POOLS {
        *lines = first_lines(ground, curves);
    }
    for _ in 0..MOST_ROUNDS {
        effort.solve(ground, lines.len());
        let Some((flow, walking)) = solve_once(ground, ranges, goal, lines)? else {
            return Ok(None);
        };
        let given: Vec<f64> = flow.amounts.iter().map(|amounts| amounts.iter().sum()).collect();
        let short = curves.iter().zip(&given).map(|(curve, &given)| curve.at(given));
        let short = short.zip(&given).zip(&walking).enumerate();
        let mut real_walking = 0.0;
        let new = short.filter_map(|(pool, (((real, slope), given), told))| {
            real_walking += real;
            let is_under = real - told > SAME_WALKING * real.max(1.0);
            is_under.then_some(Line { pool, at_none: real - slope * given, slope })
        });
        let known = lines.len();
        lines.extend(new);
        let is_near = ground.pools.len() > FEW_POOLS
            && real_walking <= flow.reached * (1.0 + NEARLY_THE_LEAST);
        if lines.len() == known || is_near {
            return Ok(Some(flow));
        }
        if effort.is_spent() {
            // So few lines may say next to nothing.
            let sure = coarse(ground, ranges, goal).map_or(0.0, |coarse| coarse.reached);
            return Ok(Some(Flow { reached: flow.reached.max(sure), ..flow }));
        }
    }
    Ok(solve_once(ground, ranges, goal, lines)?.map(|(flow, _)| flow))
}

/// Lines of every pool as steep as those along which the demands would be met if nothing but the
/// walking decided: near the solution, so that few rounds are needed.
fn first_lines(ground: &Ground, curves: &[Curve]) -> Vec<Line> {
    let mut steps: Vec<(f64, f64)> = curves.iter().flat_map(Curve::lines).collect();
    steps.sort_by(|one, other| one.0.total_cmp(&other.0));
    let wanted = ground.task.demands.iter().map(|&demand| demand as f64).sum::<f64>();
    let there = steps.iter().map(|(_, along)| along).sum::<f64>();
    let each = there.min(2.0 * wanted) / FIRST_LINES as f64;
    let mut slopes: Vec<f64> = Vec::new();
    let mut along = 0.0;
    for (slope, step) in steps {
        along += step;
        if along >= each * (slopes.len() + 1) as f64 && slopes.len() < FIRST_LINES {
            slopes.push(slope);
        }
    }
    let lines = curves.iter().enumerate().flat_map(|(pool, curve)| {
        let mut touching: Vec<(f64, f64)> = std::iter::once(0.0)
            .chain(slopes.iter().copied())
            .filter_map(|slope| curve.touching(slope))
            .collect();
        touching.dedup();
        touching.into_iter().map(move |(at_none, slope)| Line { pool, at_none, slope })
    });
    lines.collect()
}

/// No flow at all, and what no plan within the ranges betters, without a programme; `None` where
/// so much cannot be met. What there is room for is then laid out in whole units.
fn coarse(ground: &Ground, ranges: &[Range], goal: Goal) -> Option<Flow> {
    let reached = match goal {
        Goal::Met => most_met(ground, ranges.iter().map(|range| range.most)),
        Goal::Walking { met, share, .. } => least_walking(ground, share, met)?,
    };
    let amounts = ground.pools.iter().map(|pool| vec![0.0; pool.demands.len()]).collect();
    Some(Flow { amounts, reached })
}

/// The flow, and the walking that the programme was told of, by pool.
fn solve_once(
    ground: &Ground,
    ranges: &[Range],
    goal: Goal,
    lines: &[Line],
) -> Result<Option<(Flow, Vec<f64>)>, ResolutionError> {
    let mut unknowns = ProblemVariables::new();
    let supplies = |(pool, range): (&Pool, &Range)| -> Vec<Supply> {
        let demands = pool.demands.iter().map(|&demand| ground.task.demands[demand]);
        let supply = |wanted: u64| Supply {
            part: unknowns.add(variable().min(0.0).max(1.0)),
            whole: wanted.min(range.most) as f64,
            wanted: wanted as f64,
        };
        demands.map(supply).collect()
    };
    let supplies: Vec<Vec<Supply>> = ground.pools.iter().zip(ranges).map(supplies).collect();
    let walking: Vec<Variable> = unknowns.add_vector(variable().min(0.0), ground.pools.len());
    let all: Expression = supplies.iter().flatten().map(|supply| supply.met() / ground.scale).sum();
    let mut model = match goal {
        Goal::Met => unknowns.minimise(-all.clone()),
        Goal::Walking { .. } => unknowns.minimise(walking.iter().sum::<Expression>()),
    }
    .using(microlp);
    for row in rows(ground, ranges, &supplies) {
        model.add_constraint(row);
    }
    if let Goal::Walking { met, .. } = goal {
        model.add_constraint(constraint!(all >= met / ground.scale - TOLERANCE));
        for line in lines {
            let given = given(&supplies[line.pool], 1);
            model.add_constraint(constraint!(
                walking[line.pool] - line.slope * given >= line.at_none
            ));
        }
    }
    let solution = match model.solve() {
        Ok(solution) => solution,
        Err(ResolutionError::Infeasible) => return Ok(None),
        Err(other) => return Err(other),
    };
    let value = |variable: Variable| solution.value(variable).max(0.0);
    let amount = |supply: &Supply| value(supply.part) * supply.whole;
    let walking: Vec<f64> = walking.into_iter().map(value).collect();
    let reached = match goal {
        Goal::Met => supplies.iter().flatten().map(|supply| amount(supply) / supply.wanted).sum(),
        Goal::Walking { .. } => walking.iter().sum(),
    };
    let amounts = supplies.iter().map(|supplies| supplies.iter().map(amount).collect()).collect();
    Ok(Some((Flow { amounts, reached }, walking)))
}

/// What a pool gives to a demand, as a part of the most that it could, so that small and large
/// amounts are alike to the solver.
#[derive(Clone, Copy, Debug)]
struct Supply {
    part: Variable,
    /// The most that it could give, in grams or pieces.
    whole: f64,
    wanted: f64,
}

impl Supply {
    fn met(&self) -> Expression {
        self.whole / self.wanted * self.part
    }
}

/// What a pool gives, in units of `measure`.
fn given(supplies: &[Supply], measure: u64) -> Expression {
    supplies.iter().map(|supply| supply.whole / measure as f64 * supply.part).sum()
}

fn rows(ground: &Ground, ranges: &[Range], supplies: &[Vec<Supply>]) -> Vec<Constraint> {
    let mut met: Vec<Expression> = vec![Expression::default(); ground.task.demands.len()];
    let mut shared: Vec<Expression> = vec![Expression::default(); ground.task.groups.len()];
    let mut rows = Vec::new();
    for (n, pool) in ground.pools.iter().enumerate() {
        for (&demand, supply) in pool.demands.iter().zip(&supplies[n]) {
            met[demand] += supply.met();
        }
        for &group in &pool.shared {
            shared[group] += given(&supplies[n], ground.task.groups[group]);
        }
        let Range { least, most } = ranges[n];
        if most > 0 {
            rows.push(constraint!(given(&supplies[n], most) <= 1.0));
        }
        if least > 0 {
            rows.push(constraint!(given(&supplies[n], least) >= 1.0));
        }
    }
    rows.extend(met.into_iter().chain(shared).map(|sum| constraint!(sum <= 1.0)));
    rows
}
