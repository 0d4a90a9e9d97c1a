//! Nothing is cut where something came over the plants that nobody should eat.
//!
//! Spray, sewage and flood water shut the patch, or the site, on which a visit found them, from
//! the day of that visit until somebody says that it is over: how long it takes depends on what
//! it was (common practice, no source). A later visit that says so lifts it; what was found on all
//! of a site can be lifted on one patch alone.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::records::{Trouble, Visit};

pub(super) struct Untroubled;

impl Rule for Untroubled {
    fn name(&self) -> &'static str {
        "trouble"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some((trouble, since)) = standing(case) else {
            return Ceiling::none(self.name(), Reason::NoTrouble);
        };
        Ceiling::nothing(self.name(), Reason::Trouble(trouble, since))
    }

    /// No day is known: a person must say so.
    fn opens(&self, _case: &Case) -> Option<Date> {
        None
    }
}

/// The first trouble that shuts the patch and was not said to be over by the day.
fn standing(case: &Case) -> Option<(Trouble, Date)> {
    let patch = case.patch.name.patch();
    let mut standing: Vec<(Trouble, Date)> = Vec::new();
    for fact in case.visits {
        let visit: &Visit = &fact.record;
        if fact.happened_on > case.day || !visit.covers_patch(patch) {
            continue;
        }
        standing.retain(|(trouble, _)| !visit.over.contains(trouble));
        let new = visit.troubles.iter().filter(|trouble| trouble.shuts());
        standing.extend(new.map(|trouble| (*trouble, fact.happened_on)));
    }
    standing.into_iter().min_by_key(|(trouble, since)| (*since, *trouble))
}
