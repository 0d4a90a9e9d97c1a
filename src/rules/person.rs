//! A published cap on what one person takes in one visit.

use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::units::counted;

pub(super) struct PerPerson;

impl Rule for PerPerson {
    fn name(&self) -> &'static str {
        "per person"
    }

    fn says(&self) -> &'static str {
        "where a code caps what one person takes in a visit, that much for each who comes"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(cap) = &case.crop.per_person_visit else {
            return Ceiling::none(self.name(), "no published cap per person");
        };
        let people = case.people_or_one();
        let most = cap.value.value * f64::from(people) - case.cut_on_site_today();
        let reason = case.tell(|| {
            let each = case.crop.show(cap.value.value);
            format!("{each} each, for {}", counted(people, "person"))
        });
        Ceiling::at_most(self.name(), most, reason)
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        case.day.tomorrow().ok()
    }
}
