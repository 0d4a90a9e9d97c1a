//! Days on which a site or patch is shut.

use std::sync::Arc;

use jiff::civil::Date;

use super::SiteName;

/// Nothing is cut from `from` to `to`, both included.
#[derive(Clone, Debug, PartialEq)]
pub struct Closure {
    pub site: SiteName,
    /// The patch's name on its site; `None` shuts the whole site.
    pub patch: Option<Arc<str>>,
    pub from: Date,
    /// The last closed day; `None` until further notice.
    pub to: Option<Date>,
    pub reason: Arc<str>,
}

impl Closure {
    pub fn holds_on(&self, day: Date) -> bool {
        self.from <= day && self.to.is_none_or(|last| day <= last)
    }

    pub fn covers_patch(&self, patch: &str) -> bool {
        self.patch.as_deref().is_none_or(|shut| shut == patch)
    }
}
