//! A published cap on what one person takes in one visit.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

pub(super) struct PerPerson;

impl Rule for PerPerson {
    fn name(&self) -> &'static str {
        "per person"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(cap) = &case.crop.per_person_visit else {
            return Ceiling::none(self.name(), Reason::NoCapPerPerson);
        };
        let people = case.people_or_one();
        let most = cap.value.value * f64::from(people) - case.cut_on_site_today();
        let reason = case.tell(|| Reason::PerPerson(case.crop.amount(cap.value.value), people));
        Ceiling::at_most(self.name(), most, reason)
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        case.day.tomorrow().ok()
    }
}
