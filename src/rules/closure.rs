//! Nothing is cut while the site or the patch is closed.

use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::records::Closure;
use crate::units::spoken_day;

pub(super) struct Closed;

impl Rule for Closed {
    fn name(&self) -> &'static str {
        "closure"
    }

    fn says(&self) -> &'static str {
        "nothing is cut while the site or the patch is closed"
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
                let end = || match closure.to {
                    Some(last) => format!("until {}", spoken_day(last)),
                    None => "until further notice".to_owned(),
                };
                let reason = case.tell(|| format!("closed {}: {}", end(), closure.reason));
                Ceiling::nothing(self.name(), reason)
            }
            None => Ceiling::none(self.name(), "no closure that day"),
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
