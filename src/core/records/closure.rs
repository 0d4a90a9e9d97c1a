//! Days on which a site or patch is shut.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, Need, SITE, part_of_site, set_down};
use super::declared::fields;
use super::{Land, Recorded, SiteName};

/// Nothing is cut from `from` to `to`, both included.
#[derive(Clone, Debug, PartialEq)]
pub struct Closure {
    /// The site that is shut, or on which the patch lies.
    pub site: SiteName,
    /// The patch's name on its site; `None` shuts the whole site.
    pub patch: Option<Arc<str>>,
    /// The first closed day.
    pub from: Date,
    /// The last closed day; `None` until further notice.
    pub to: Option<Date>,
    /// Why, as it is told to those who ask.
    pub reason: Arc<str>,
}

fields! { Closure {
    site: site([SITE]),
    patch: part_of_site([part_of_site("bank")]),
    from: first_day([Column::text(
        "from", Need::Filled, "the first closed day, like `2027-04-01`", "2027-04-01",
    )]),
    to: last_day([Column::text(
        "to",
        Need::Optional,
        "the last closed day, like `2027-07-31`; empty until further notice",
        "2027-07-31",
    )]),
    reason: word([Column::text(
        "reason", Need::Telling, "why it is closed, in plain words", "nesting",
    )]),
} }

impl Recorded for Closure {
    const NAME: &'static str = "closure";
    const PLURAL: &'static str = "closures";
    const WHAT: &'static str = "Closures: a row for each time a site or a patch is shut.";
    const LAND: Land = Land::SiteOrPatch;
    const DATE: Column = set_down("the day it was decided; empty for `from`");

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn patch(&self) -> Option<&str> {
        self.patch.as_deref()
    }

    fn key(&self, _: Date, _: &str) -> String {
        let patch = self.patch.as_deref().unwrap_or("the whole site");
        format!("{}/{patch} {}", self.site, self.from)
    }

    fn gist(&self) -> String {
        format!("{} from {}: {}", self.site, self.from, self.reason)
    }
}

impl Closure {
    /// Whether that day is among those closed.
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && self.to.is_none_or(|last| day <= last)
    }

    /// Whether the patch of that name is shut: by itself, or with its whole site.
    pub fn covers_patch(&self, patch: &str) -> bool {
        self.patch.as_deref().is_none_or(|shut| shut == patch)
    }
}
