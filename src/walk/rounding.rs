//! From any fraction to whole units: rounded down, then topped up.

use super::programme::Flow;
use super::takings::Takings;
use super::task::Task;

/// Upwards of the solver's rounding, in units.
const NEARLY_WHOLE: f64 = 1e-5;

/// In how many steps what is missing is added, if it is many units.
const STEPS: u64 = 8;

/// Rounding takes a unit or so of each pair; who asks for millions can spare the rest.
const MOST_EXCHANGES: usize = 1000;

/// The flow rounded down to units, and then as much again as rounding took from the demands.
pub(super) fn rounded<'a>(task: &'a Task, flow: &Flow) -> Takings<'a> {
    let mut takings = Takings::none(task);
    for (pair, amount) in flow.amounts.iter().enumerate() {
        let unit = takings.unit(pair);
        let units = (amount / unit as f64 + NEARLY_WHOLE) as u64;
        takings.add(pair, units.saturating_mul(unit).min(takings.room(pair)));
    }
    takings.lift_or_drop();
    takings.top_up();
    takings.level(flow.reached.share);
    takings
}

impl Takings<'_> {
    /// A source that rounding has put under its least useful amount gets there again, or is
    /// left out.
    fn lift_or_drop(&mut self) {
        for (n, source) in self.task.sources.iter().enumerate() {
            for pair in self.task.pairs_from(n) {
                let lacks = source.least.saturating_sub(self.taken(n));
                if self.taken(n) > 0 {
                    self.add(pair, lacks.min(self.room(pair)));
                }
            }
            if self.taken(n) < source.least {
                for pair in self.task.pairs_from(n) {
                    self.take_back(pair, self.amounts[pair]);
                }
            }
        }
    }

    /// Small demands first, of which a unit is the larger share.
    fn top_up(&mut self) {
        let mut demands: Vec<usize> = (0..self.task.demands.len()).collect();
        demands.sort_by_key(|&demand| self.task.demands[demand]);
        for demand in demands {
            while self.add_evenly(demand) {}
            let unmet = || vec![false; self.task.demands.len()];
            let mut exchanges = 0;
            while exchanges < MOST_EXCHANGES && self.add_by_exchange(demand, &mut unmet()) {
                exchanges += 1;
            }
        }
    }

    /// Adds to where the share of the limit is then lowest, used sources first: a unit, or more
    /// where many are missing.
    fn add_evenly(&mut self, demand: usize) -> bool {
        let some = self.missing(demand) / STEPS;
        let addition = |pair: usize| {
            let unit = self.unit(pair);
            let least = self.lacks(pair).max(unit);
            let amount = least.max(some / unit * unit).min(self.room(pair));
            (amount >= least).then_some((pair, amount))
        };
        let best = self.task.pairs_to(demand).filter_map(addition).min_by(|a, b| {
            let share = self.share_with(a.0, a.1).total_cmp(&self.share_with(b.0, b.1));
            self.is_unused(a.0).cmp(&self.is_unused(b.0)).then(share)
        });
        if let Some((pair, amount)) = best {
            self.add(pair, amount);
        }
        best.is_some()
    }

    /// Moves units away from sources that give more than the share of the flow, to others that
    /// are used and then give a lower one.
    fn level(&mut self, share: f64) {
        for _ in 0..MOST_EXCHANGES {
            let Some((from, to)) = self.leveller(share) else { break };
            let unit = self.unit(from);
            self.take_back(from, unit);
            self.add(to, unit);
        }
    }

    fn leveller(&self, share: f64) -> Option<(usize, usize)> {
        let demand = |pair: usize| self.task.pairs[pair].demand;
        let over = (0..self.amounts.len()).filter(|&from| {
            let keeps = self.lacks_without(from, self.unit(from)) == 0;
            self.amounts[from] >= self.unit(from) && keeps && self.share_with(from, 0) > share
        });
        let moves =
            over.flat_map(|from| self.task.pairs_to(demand(from)).map(move |to| (from, to)));
        let levelling = moves.filter(|&(from, to)| {
            let unit = self.unit(from);
            let fits = !self.is_unused(to) && self.unit(to) == unit && self.fits_instead(from, to);
            fits && self.share_with(to, unit) < self.share_with(from, 0)
        });
        levelling.max_by(|a, b| {
            let gain = |pair: &(usize, usize)| {
                self.share_with(pair.0, 0) - self.share_with(pair.1, self.unit(pair.0))
            };
            gain(a).total_cmp(&gain(b))
        })
    }

    /// Adds a unit that another demand gives up and gets back from elsewhere, by exchanges
    /// along a path on which no demand is met twice.
    fn add_by_exchange(&mut self, demand: usize, met: &mut [bool]) -> bool {
        met[demand] = true;
        for pair in self.task.pairs_to(demand) {
            let unit = self.unit(pair);
            if self.lacks(pair) <= unit && self.room(pair) >= unit {
                self.add(pair, unit);
                return true;
            }
        }
        for pair in self.task.pairs_to(demand) {
            for other in 0..self.task.pairs.len() {
                if !met[self.task.pairs[other].demand] && self.exchange(pair, other, met) {
                    return true;
                }
            }
        }
        false
    }

    fn exchange(&mut self, pair: usize, other: usize, met: &mut [bool]) -> bool {
        let (unit, given_up) = (self.unit(pair), self.unit(other));
        if self.amounts[other] < given_up {
            return false;
        }
        self.take_back(other, given_up);
        if self.room(pair) >= unit {
            self.add(pair, unit);
            let useful = self.lacks(pair) == 0 && (self.lacks(other) == 0 || self.is_unused(other));
            if useful && self.add_by_exchange(self.task.pairs[other].demand, met) {
                return true;
            }
            self.take_back(pair, unit);
        }
        self.add(other, given_up);
        false
    }
}
