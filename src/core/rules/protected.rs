//! Nothing is taken of a protected crop, or on protected ground.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::records::Status;

pub(super) struct Protected;

impl Rule for Protected {
    fn name(&self) -> &'static str {
        "protected"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Closed
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let protected_crop = match &case.crop.status {
            Status::Protected(why) => Some(Reason::ProtectedCrop(why.value.clone())),
            _ => None,
        };
        let protected_site = || case.site.site.record.protected.clone().map(Reason::ProtectedSite);
        match protected_crop.or_else(protected_site) {
            Some(reason) => Ceiling::nothing(self.name(), reason),
            None => Ceiling::none(self.name(), Reason::NotProtected),
        }
    }

    fn opens(&self, _case: &Case) -> Option<Date> {
        None
    }
}
