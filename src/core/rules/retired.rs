//! Nothing is cut from what is a patch no longer: its ground may be another's by now.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};

pub(super) struct Kept;

impl Rule for Kept {
    fn name(&self) -> &'static str {
        "retired"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn is_agreed(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        match case.retired.filter(|retired| retired.since <= case.day) {
            Some(retired) => {
                Ceiling::nothing(self.name(), case.tell(|| Reason::Retired(retired.clone())))
            }
            None => Ceiling::none(self.name(), Reason::StillAPatch),
        }
    }

    fn opens(&self, _: &Case) -> Option<Date> {
        None
    }
}
