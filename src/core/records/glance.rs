//! A rough judgement by eye.

use jiff::civil::Date;

use super::column::{Column, Need, STAND};
use super::declared::fields;
use super::{Land, PatchName, Recorded, SiteName};
use crate::units::Amount;

/// "About 3 kg stand there", said by someone who looked.
#[derive(Clone, Debug, PartialEq)]
pub struct Glance {
    /// Where someone looked.
    pub patch: PatchName,
    /// More than 0.
    pub standing: Amount,
}

fields! { Glance {
    patch: stand(STAND),
    standing: by_eye([Column::text(
        "standing",
        Need::Telling,
        "what stands there by eye, over 0, like `3kg` or `14 heads`",
        "3kg",
    )]),
} }

impl Recorded for Glance {
    const NAME: &'static str = "glance";
    const PLURAL: &'static str = "glances";
    const WHAT: &'static str =
        "Glances: a row for each time someone judged by eye what stands there.";
    const LAND: Land = Land::Patch;
    const IS_DEED: bool = true;

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
        format!("some {} on {}", self.standing, self.patch)
    }
}
