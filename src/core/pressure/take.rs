//! What was cut on a day, held against what was allowed that morning.

use crate::units::is_over;

/// All that was cut from a patch on one day, against the most that was allowed before anything
/// was cut. What was allowed is ruled elsewhere; every figure of how a cut stood to it is made
/// here. Amounts in the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayTake {
    /// All that was cut that day.
    pub taken: f64,
    /// The most that every rule together allowed; `None` for no upper limit.
    pub allowed: Option<f64>,
    /// The most by weight that the share alone allowed; `None` where no crop was known, or the
    /// crop is under no share.
    pub by_share: Option<f64>,
    /// The rule that set what was allowed; `None` where no rule did.
    pub decided_by: Option<&'static str>,
}

impl DayTake {
    /// Over 1 where more was taken than was allowed, infinite where nothing was allowed; `None`
    /// where no rule set a limit.
    pub fn part_of_allowed(&self) -> Option<f64> {
        self.allowed.map(|most| if self.taken > 0.0 { self.taken / most } else { 0.0 })
    }

    /// Whether more was taken than was allowed, by more than a scale may err.
    pub fn is_over(&self) -> bool {
        self.allowed.is_some_and(|most| is_over(self.taken, most))
    }

    /// How much more was taken than was allowed, if it is over.
    pub fn over_by(&self) -> Option<f64> {
        self.allowed.filter(|_| self.is_over()).map(|most| self.taken - most)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn take(taken: f64, allowed: Option<f64>) -> DayTake {
        DayTake { taken, allowed, by_share: None, decided_by: None }
    }

    #[test]
    fn a_take_is_over_from_one_and_a_twentieth_of_what_was_allowed() {
        let parts = [(3.0, 2.0), (2.1, 2.0), (1.0, 2.0), (0.0, 0.0)];
        let parts = parts.map(|(taken, most)| take(taken, Some(most)));
        assert_eq!(parts.map(|take| take.part_of_allowed()), [1.5, 1.05, 0.5, 0.0].map(Some));
        assert_eq!(parts.map(|take| take.over_by()), [Some(1.0), None, None, None]);
    }

    #[test]
    fn a_take_of_nothing_allowed_is_over_by_all_of_it_and_without_a_limit_never() {
        assert_eq!(take(5.0, Some(0.0)).part_of_allowed(), Some(f64::INFINITY));
        assert_eq!(take(5.0, Some(0.0)).over_by(), Some(5.0));
        assert_eq!(take(5.0, None).part_of_allowed(), None);
        assert_eq!(take(5.0, None).over_by(), None);
    }
}
