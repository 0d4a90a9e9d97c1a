//! Facts that were put right, or withdrawn, and what took their place.

use super::Span;
use crate::records::{Correction, Fact, PatchName, Record, Replacement, SiteName};

/// One correction with both of its sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Righted {
    /// As it was recorded.
    pub was: Fact<Record>,
    /// Who put it right, when and why.
    pub correction: Correction,
    /// `None` where the fact was withdrawn.
    pub now: Option<Fact<Record>>,
}

impl Righted {
    /// Pairs what was ever corrected with what took its place.
    pub fn all(facts: &[(Fact<Record>, Option<Correction>)]) -> Vec<Self> {
        let with_id = |id| facts.iter().find(|(fact, _)| fact.id == id).map(|(fact, _)| fact);
        let righted = facts.iter().filter_map(|(was, correction)| {
            let correction = correction.clone()?;
            if matches!(was.record, Record::Walk(_) | Record::Hold(_)) {
                // A hold is let go once its walk is settled: plans changed, nothing was wrong.
                return None;
            }
            let now = match correction.replacement {
                Replacement::By(id) => with_id(id).cloned(),
                Replacement::Withdrawn => None,
            };
            Some(Self { was: was.clone(), correction, now })
        });
        righted.collect()
    }

    /// Whether it is about the site, and about days of the span or made in it.
    pub(super) fn concerns(&self, site: &SiteName, span: Span) -> bool {
        self.was.record.site() == site
            && (span.holds(self.was.happened_on)
                || span.holds(self.correction.recorded_on)
                || self.now.as_ref().is_some_and(|now| span.holds(now.happened_on)))
    }

    /// The patch it is about, if it is about one.
    pub fn patch(&self) -> Option<&PatchName> {
        match &self.was.record {
            Record::Patch(patch) => Some(&patch.name),
            Record::Survey(survey) => Some(&survey.patch),
            Record::Glance(glance) => Some(&glance.patch),
            Record::Cut(cut) => Some(&cut.patch),
            _ => None,
        }
    }
}
