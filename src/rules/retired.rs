//! Nothing is cut from what is a patch no longer: its ground may be another's by now.

use jiff::civil::Date;

use super::{Case, Ceiling, Retired, Rule, Verdict};
use crate::units::{listed, spoken_day};

pub(super) struct Kept;

impl Rule for Kept {
    fn name(&self) -> &'static str {
        "retired"
    }

    fn says(&self) -> &'static str {
        "nothing is cut from what is a patch no longer"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn is_agreed(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        match case.retired.filter(|retired| retired.since <= case.day) {
            Some(retired) => Ceiling::nothing(self.name(), case.tell(|| told(retired))),
            None => Ceiling::none(self.name(), "it is a patch still"),
        }
    }

    fn opens(&self, _: &Case) -> Option<Date> {
        None
    }
}

fn told(retired: &Retired) -> String {
    let since = spoken_day(retired.since);
    let why = retired.why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
    match retired.into.as_slice() {
        [] => format!("a patch no longer since {since}{why}"),
        into => {
            let names: Vec<String> =
                into.iter().map(|patch| format!("`{}`", patch.patch())).collect();
            format!(
                "a patch no longer since {since}, its ground is that of {}{why}",
                listed(&names)
            )
        }
    }
}
