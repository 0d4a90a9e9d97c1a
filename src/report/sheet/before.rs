//! What must be so before anybody sets out: the hold, the leave, the weather, and that somebody
//! knows the plants.

use maud::{Markup, html};

use super::WalkSheet;
use super::blank::{Blank, blanks};
use super::permission::SitePermission;
use crate::report::cautions;
use crate::report::page::{bullets, section};
use crate::units::spoken_day;

#[derive(Debug)]
pub(super) struct Before {
    is_held: bool,
    hold: String,
    /// What is wanted and cannot be met.
    short: Vec<String>,
    permissions: Vec<SitePermission>,
    identification: String,
    /// A sentence a crop.
    fatal: Vec<String>,
    day: Vec<Blank>,
}

impl Before {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let briefing = sheet.briefing;
        let crops: Vec<_> = briefing.stops.iter().map(|stop| &stop.crop).collect();
        let fatal = cautions::fatal_by_crop(&crops);
        Self {
            is_held: briefing.is_held,
            hold: hold(sheet),
            short: briefing.short.iter().map(|short| format!("{short}.")).collect(),
            permissions: sheet
                .sites_with_stops()
                .into_iter()
                .map(|site| SitePermission::of(sheet, site))
                .collect(),
            identification: cautions::standing(false).swap_remove(0),
            fatal: fatal.iter().map(cautions::FatalOfCrop::sentence).collect(),
            day: day_blanks(is_on_the_shore(sheet)),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            p.verdict {
                strong { @if self.is_held { "Held. " } @else { "Not held. " } }
                (self.hold)
            }
            @if !self.short.is_empty() {
                h3 { "Not enough for what is wanted" }
                (bullets(&self.short))
            }
            h3 { "The plants" }
            @for text in &self.fatal { p.fatal { strong { (text) } } }
            p { (self.identification) }
            h3 { "Leave" }
            @for permission in &self.permissions { (permission.laid_out()) }
            h3 { "The day" }
            (blanks(&self.day))
        };
        section("before", "Before you set out", &body)
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

fn hold(sheet: &WalkSheet) -> String {
    let (day, made_on) = (spoken_day(sheet.briefing.day), spoken_day(sheet.made_on));
    if sheet.briefing.is_held {
        format!(
            "The amounts below are set aside in the book for this walk on {day}, as it stood on \
             {made_on}. What is not cut that day goes back."
        )
    } else {
        format!(
            "The amounts below are what would be allowed on {day}, as the book stood on {made_on}. \
             Nothing is set aside: another walk may take them. Hold them, and make this sheet anew, \
             before you go."
        )
    }
}

fn day_blanks(on_the_shore: bool) -> Vec<Blank> {
    let tide = ["High water", "Low water", "Turn back at"];
    let tide = tide.into_iter().filter(|_| on_the_shore);
    ["Forecast and wind", "Dark at"].into_iter().chain(tide).map(Blank::of).collect()
}
