//! Terms that end before they were to: permissions and closures.

use jiff::civil::Date;

use super::delivery::{Answers, Because};
use super::gatekeeper::Gate;
use super::turned::Turned;
use crate::book::{Decision, Moment};
use crate::records::{FactId, Record, Replacement};

/// What became of terms that end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ended {
    /// They held until the last day.
    pub cut_short: usize,
    /// They were to begin after it, and never held.
    pub withdrawn: usize,
}

impl Gate<'_> {
    /// Lets permissions and closures hold until `last` and no longer.
    ///
    /// # Errors
    /// Why nothing can be recorded, with the way out.
    pub fn ended(
        &self,
        moment: &Moment,
        terms: &[FactId],
        last: Date,
        because: Because,
    ) -> Result<Decision<Ended>, Turned> {
        let mut all = Decision::new(Vec::new(), Vec::new(), Ended::default());
        for id in terms {
            let Some(line) = moment.fact_of(*id)? else { continue };
            let from = match &line.fact.record {
                Record::Closure(closure) => closure.from,
                Record::Permission(permission) => permission.from,
                _ => continue,
            };
            if from > last {
                all.corrections.push(self.correction(&line.fact, Replacement::Withdrawn, because));
                all.answer.withdrawn += 1;
                continue;
            }
            let changes = [("to".to_owned(), last.to_string())];
            let one = self.corrected(moment, line, &changes, because, &Answers::default())?;
            all.facts.extend(one.facts);
            all.corrections.extend(one.corrections);
            all.answer.cut_short += 1;
        }
        Ok(all)
    }
}
