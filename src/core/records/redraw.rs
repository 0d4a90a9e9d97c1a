//! A patch whose ground changed, or that is a patch no longer.

use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, PATCH};
use super::declared::fields;
use super::{Footprint, Land, PatchName, Recorded, SiteName};

/// From its day on the patch is drawn so. What was recorded before keeps the ground that it was
/// recorded on; a mistake in a drawing is put right instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Redraw {
    /// The patch, as it was drawn before.
    pub patch: PatchName,
    /// `None` where it is a patch no longer.
    pub ground: Option<Footprint>,
    /// In words of one's own.
    pub note: Option<Arc<str>>,
}

fields! { Redraw {
    patch: patch([PATCH]),
    ground: maybe_footprint([
        Column::number(
            "width_m",
            Need::Optional,
            "for a line: the full width of the hedge or verge in metres, over 0, at most 100",
            "",
        ),
        Column::number(
            "radius_m",
            Need::Optional,
            "for a point: the radius of the stand in metres, over 0, at most 500",
            "",
        ),
        Column::number(
            "plants",
            Need::Optional,
            "for a point where plants are counted: how many are left, 1 or more",
            "",
        ),
    ]),
    note: maybe_word([NOTE]),
} }

impl Recorded for Redraw {
    const NAME: &'static str = "redraw";
    const PLURAL: &'static str = "redraws";
    const WHAT: &'static str = "Redraws: a patch that stands on other ground from a day on, of the same form; without \
         a geometry it is a patch no longer.";
    const LAND: Land = Land::Patch;
    const IS_DEED: bool = true;
    const HAS_SHAPE: bool = true;

    fn site(&self) -> &SiteName {
        self.patch.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.patch.patch())
    }

    fn key(&self, happened_on: Date, by: &str) -> String {
        format!("{} {happened_on} {by}", self.patch)
    }

    fn gist(&self) -> String {
        let what = if self.ground.is_some() { "drawn anew" } else { "a patch no longer" };
        let note = self.note.as_ref().map(|note| format!(": {note}")).unwrap_or_default();
        format!("{} {what}{note}", self.patch)
    }
}
