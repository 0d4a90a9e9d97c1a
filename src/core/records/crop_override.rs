//! What a user knows better about a crop than the catalogue does.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{CROP, Column, Need, SITE, part_of_site};
use super::declared::fields;
use super::{CropField, Land, Recorded, SiteName};

/// One value of one crop, replaced on a site or on a single patch.
#[derive(Clone, Debug, PartialEq)]
pub struct CropOverride {
    /// Where it holds.
    pub site: SiteName,
    /// The patch's name on its site; `None` for the whole site.
    pub patch: Option<Arc<str>>,
    /// The crop's name.
    pub crop: Arc<str>,
    /// Which of its values.
    pub field: CropField,
    /// As written; `Crop::set` reads it.
    pub value: Arc<str>,
    /// How the user knows, shown beside the value wherever it is told.
    pub source: Arc<str>,
}

fields! { CropOverride {
    site: site([SITE]),
    patch: part_of_site([part_of_site("")]),
    crop: crop([CROP]),
    field: crop_field([Column::text(
        "field",
        Need::Filled,
        "`season`, `take_fraction`, `recovery_days`, `growth_by_month`, `full_by_month`, \
         `full_late_days`, `kept_standing`, `reserve`, `cuts_per_season`, `code_cap` or `smallest_useful`",
        "growth_by_month",
    )]),
    value: crop_value([Column::text(
        "value", Need::Telling, "a value that the field takes", "3-10",
    )]),
    source: word([Column::text(
        "source", Need::Filled, "where the value comes from", "our own record",
    )]),
} }

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Declared;

    #[test]
    fn the_list_of_fields_is_the_crops_own() {
        let columns = CropOverride::FIELDS.iter().flat_map(|field| field.columns);
        let asked = columns.into_iter().find(|column| column.name == "field").unwrap();
        for field in CropField::ALL {
            assert!(asked.expected.contains(&format!("`{field}`")), "{field}");
        }
    }
}
