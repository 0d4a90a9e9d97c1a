//! Which patches, and how much from each.

use super::best::{Gap, best};
use super::errand::{Demand, Errand, PlanError};
use super::pools::Ground;
use super::substitutes::{Substitute, substitutes};
use super::takings::Takings;
use super::task::{Pair, Source, Task};
use super::whole::whole;

/// What to take where. All amounts are whole grams or pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// By offer, then by demand; whole rounding units of the offer.
    pub takes: Vec<Take>,
    /// What is missing of each demand; what is less than a rounding unit is not.
    pub shortfalls: Vec<u64>,
    /// The highest share of any offer's own limit, in whole units, that is taken.
    pub highest_share: f64,
    /// What could stand in for what falls short.
    pub substitutes: Vec<Substitute>,
    /// Offers left out because they are too far from the start.
    pub too_far: Vec<usize>,
    /// How much better a plan could be at most.
    pub gap: Gap,
}

/// What one offer gives to one demand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Take {
    /// The position of the offer.
    pub offer: usize,
    /// The position of the demand.
    pub demand: usize,
    /// In grams or pieces.
    pub amount: u64,
}

/// Plans an errand: the least shortfall, as shares of the demands; then the least highest share
/// of any offer's limit; then little walking, on few patches.
///
/// No offer gives more than its limit, no group more than its own, and no demand gets more than
/// it wants. An offer gives nothing or at least what is worth a cut, for which a higher share
/// than the least one may be needed. The order of the offers does not matter.
///
/// # Errors
/// A group limit that does not fit its offers, or a programme that the solver gives up.
pub fn plan(errand: &Errand) -> Result<Plan, PlanError> {
    errand.check()?;
    let task = Task::of(errand);
    let (whole, gap) = best(&Ground::of(&task), errand.slack.clamp(0.0, 1.0))
        .map_err(|error| PlanError::Unsolved(error.to_string()))?;
    let mut takings = Takings::none(&task);
    whole.amounts.iter().enumerate().for_each(|(pair, &amount)| takings.add(pair, amount));
    Ok(Plan {
        takes: takes(&task, &takings),
        shortfalls: shortfalls(errand, &takings),
        highest_share: highest_share(&task, &takings),
        substitutes: substitutes(errand, &task, &takings),
        too_far: task.too_far,
        gap,
    })
}

fn takes(task: &Task, takings: &Takings) -> Vec<Take> {
    let made = task.pairs.iter().zip(&takings.amounts).filter(|(_, amount)| **amount > 0);
    let take = |(pair, &amount): (&Pair, &u64)| Take {
        offer: task.sources[pair.source].offer,
        demand: pair.demand,
        amount,
    };
    let mut takes: Vec<Take> = made.map(take).collect();
    takes.sort();
    takes
}

/// Less than a rounding unit does not fall short, unless it is all that is wanted.
fn shortfalls(errand: &Errand, takings: &Takings) -> Vec<u64> {
    let short = |(n, demand): (usize, &Demand)| {
        if takings.is_unmet(n) { whole(demand.amount.value) } else { takings.missing(n) }
    };
    errand.demands.iter().enumerate().map(short).collect()
}

fn highest_share(task: &Task, takings: &Takings) -> f64 {
    let share = |(n, source): (usize, &Source)| {
        let limit = source.limit.filter(|&limit| limit > 0)?;
        Some(takings.taken(n) as f64 / limit as f64)
    };
    task.sources.iter().enumerate().filter_map(share).fold(0.0, f64::max)
}
