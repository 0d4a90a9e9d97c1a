//! Nothing is cut on a day for which the occupier was asked and said no.
//!
//! Of several answers for one day the last counts.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::records::{Answer, Fact, Visit};

pub(super) struct Asked;

impl Rule for Asked {
    fn name(&self) -> &'static str {
        "asked"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::NoPermission
    }

    fn is_agreed(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        match answer_for(case.visits, case.day) {
            Some((Answer::No, on)) => Ceiling::nothing(self.name(), Reason::Asked(Answer::No, on)),
            Some((answer, on)) => Ceiling::none(self.name(), Reason::Asked(answer, on)),
            None => Ceiling::none(self.name(), Reason::NotRefused),
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        case.first_later_day(|later| !is_refused(later.visits, later.day))
    }

    fn closes(&self, case: &Case) -> Option<Date> {
        let days = case.visits.iter().filter_map(|fact| fact.record.answer_for(fact.happened_on));
        let refused = days.map(|(day, _)| day).filter(|day| *day > case.day);
        let first = refused.filter(|day| is_refused(case.visits, *day)).min()?;
        first.yesterday().ok()
    }
}

fn is_refused(visits: &[Fact<Visit>], day: Date) -> bool {
    matches!(answer_for(visits, day), Some((Answer::No, _)))
}

/// What the occupier said to a visit on that day, and when.
pub fn answer_for(visits: &[Fact<Visit>], day: Date) -> Option<(Answer, Date)> {
    let mut said = visits.iter().filter_map(|fact| {
        let (asked_for, answer) = fact.record.answer_for(fact.happened_on)?;
        (asked_for == day).then_some((answer, fact.happened_on))
    });
    said.next_back()
}
