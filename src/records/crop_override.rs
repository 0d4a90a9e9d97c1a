//! What a user knows better about a crop than the catalogue does.

use std::sync::Arc;

use jiff::civil::Date;

use super::{CropField, Land, Recorded, SiteName};

/// One value of one crop, replaced on a site or on a single patch.
#[derive(Clone, Debug, PartialEq)]
pub struct CropOverride {
    pub site: SiteName,
    /// The patch's name on its site; `None` for the whole site.
    pub patch: Option<Arc<str>>,
    pub crop: Arc<str>,
    pub field: CropField,
    /// As written; `Crop::set` reads it.
    pub value: Arc<str>,
    pub source: Arc<str>,
}

impl Recorded for CropOverride {
    const NAME: &'static str = "override";
    const PLURAL: &'static str = "overrides";
    const WHAT: &'static str = "Overrides: a row for each value of a crop that you know better.";
    const LAND: Land = Land::SiteOrPatch;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn patch(&self) -> Option<&str> {
        self.patch.as_deref()
    }

    fn key(&self, _: Date, _: &str) -> String {
        let patch = self.patch.as_deref().unwrap_or("the whole site");
        format!("{}/{patch} {} {}", self.site, self.crop, self.field)
    }

    fn gist(&self) -> String {
        format!("{} of {} is {}", self.field, self.crop, self.value)
    }
}
