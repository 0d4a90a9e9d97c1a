//! Nothing is taken of a protected crop, or on protected ground.

use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::records::Status;

pub(super) struct Protected;

impl Rule for Protected {
    fn name(&self) -> &'static str {
        "protected"
    }

    fn says(&self) -> &'static str {
        "nothing is taken of a protected crop, or on protected ground"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let protected_crop = match &case.crop.status {
            Status::Protected(why) => Some(format!("protected crop: {}", why.value)),
            _ => None,
        };
        let protected_site =
            case.site.site.record.protected.as_ref().map(|why| format!("protected site: {why}"));
        match protected_crop.or(protected_site) {
            Some(reason) => Ceiling::nothing(self.name(), reason),
            None => Ceiling::none(self.name(), "neither crop nor site is marked protected"),
        }
    }

    fn opens(&self, _case: &Case) -> Option<Date> {
        None
    }
}
