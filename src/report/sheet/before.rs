//! What must be so before anybody sets out: that somebody knows the plants, and the leave.

use maud::{Markup, html};

use super::WalkSheet;
use super::blank::Blank;
use super::permission::SitePermission;
use crate::report::cautions;
use crate::report::page::section;

#[derive(Debug)]
pub(super) struct Before {
    permissions: Vec<SitePermission>,
    identification: String,
    /// A sentence a crop.
    fatal: Vec<String>,
}

impl Before {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let briefing = sheet.briefing;
        let crops: Vec<_> = briefing.stops.iter().map(|stop| &stop.crop).collect();
        let fatal = cautions::fatal_by_crop(&crops);
        Self {
            permissions: sheet
                .sites_with_stops()
                .into_iter()
                .map(|site| SitePermission::of(sheet, site))
                .collect(),
            identification: cautions::standing(false).swap_remove(0),
            fatal: fatal.iter().map(cautions::FatalOfCrop::sentence).collect(),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            @for text in &self.fatal { p.fatal { strong { (text) } } }
            p { (self.identification) }
            @for permission in &self.permissions { (permission.laid_out()) }
        };
        section("before", "What to watch for, and what was agreed", &body)
    }
}

/// Whether the tide matters: by a crop, or by what is said of a site.
pub(super) fn is_on_the_shore(sheet: &WalkSheet) -> bool {
    let by_crop = sheet.briefing.stops.iter().any(|stop| cautions::is_of_the_shore(&stop.crop));
    by_crop
        || sheet.sites().any(|facts| {
            facts.site.record.cautions.as_deref().is_some_and(cautions::names_the_tide)
        })
}

pub(super) fn day_blanks(on_the_shore: bool) -> Vec<Blank> {
    let tide = ["High water", "Low water", "Turn back at"];
    let tide = tide.into_iter().filter(|_| on_the_shore);
    ["Forecast and wind", "Dark at"].into_iter().chain(tide).map(Blank::of).collect()
}
