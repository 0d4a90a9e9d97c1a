//! Nothing is cut while the site or the patch is closed.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::records::Closure;

pub(super) struct Closed;

impl Rule for Closed {
    fn name(&self) -> &'static str {
        "closure"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn is_agreed(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        match closures(case).find(|closure| closure.holds_on(case.day)) {
            Some(closure) => {
                let reason = case.tell(|| Reason::Closed(closure.to, closure.reason.clone()));
                Ceiling::nothing(self.name(), reason)
            }
            None => Ceiling::none(self.name(), Reason::NotClosed),
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let shut_till = closures(case).filter(|closure| closure.holds_on(case.day));
        shut_till.map(|closure| closure.to?.tomorrow().ok()).max_by_key(|day| {
            // Shut until further notice outlasts every date.
            day.unwrap_or(Date::MAX)
        })?
    }

    fn closes(&self, case: &Case) -> Option<Date> {
        let coming = closures(case).filter(|closure| closure.from > case.day);
        coming.filter_map(|closure| closure.from.yesterday().ok()).min()
    }
}

fn closures<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a Closure> {
    let patch = case.patch.name.patch();
    let all = case.site.closures.iter().map(|fact| &fact.record);
    all.filter(move |closure| closure.covers_patch(patch))
}
