//! What a leader prints or carries on a phone: one page with a walk's map, its limits, its
//! parties, its cautions, and blanks to write in.
//!
//! Each part is first put into words and then laid out. It names no participant: parties go by
//! their numbers.

mod afterwards;
mod before;
mod blank;
mod care;
mod crops;
mod emergency;
mod found;
mod geo_link;
mod limit;
mod parties;
mod permission;
mod stops;
mod way;

use jiff::civil::Date;
use maud::{Markup, html};

use super::page::{Head, styled_page};
use crate::assess::{Briefing, Stop};
use crate::records::{Ledger, Patch, PatchName, SiteFacts, SiteName};
use crate::units::{counted, listed, spoken_day};

const STYLE: &str = include_str!("sheet.css");

/// What a walk sheet is made of.
#[derive(Clone, Copy, Debug)]
pub struct WalkSheet<'a> {
    /// The walk, all sums done.
    pub briefing: &'a Briefing,
    /// Where the ground, the terms and the cautions of the sites are found.
    pub ledger: &'a Ledger,
    /// The day on which the sheet is made.
    pub made_on: Date,
}

/// The sheet as one HTML page with nothing to fetch or run.
pub fn walk_sheet(sheet: &WalkSheet) -> String {
    let Briefing { walk, day, .. } = sheet.briefing;
    let title = format!("{walk}, {}", day.strftime("%A %-d %B %Y"));
    let head = Head { title: &title, kind: "Walk sheet", lead: &lead(sheet.briefing) };
    // What is allowed where and what to watch for come first, what is written down last.
    let body = html! {
        (found::Found::of(sheet).laid_out())
        (stops::Stops::of(sheet).laid_out())
        (before::Before::of(sheet).laid_out())
        (crops::Crops::of(sheet).laid_out())
        (way::WaySection::of(sheet).laid_out())
        (parties::Parties::of(sheet).laid_out())
        (care::Care::of(sheet).laid_out())
        (emergency::Card::of(sheet).laid_out())
        (afterwards::Afterwards::of(sheet).laid_out())
    };
    styled_page(&head, &style(sheet.briefing), &body, &foot(sheet))
}

/// `North wood and shore; 4 stops; 1.2 km from stop to stop in straight lines; 11 people in 4
/// parties.`
fn lead(briefing: &Briefing) -> String {
    let sites: Vec<String> = briefing.sites.iter().map(ToString::to_string).collect();
    let mut facts = vec![listed(&sites), counted(briefing.stops.len(), "stop")];
    if briefing.stops.len() > 1 {
        facts.push(format!("{} from stop to stop in straight lines", briefing.length));
    }
    let parties = counted(briefing.parties.len(), "party");
    facts.push(format!("{} in {parties}", counted(briefing.people(), "person")));
    facts.join(" · ")
}

/// Each printed sheet of paper says which walk it belongs to, for when they come apart. A walk's
/// name has no quotes and no backslash in it.
fn style(briefing: &Briefing) -> String {
    let name = format!("{}, {}", briefing.walk, spoken_day(briefing.day));
    format!("{STYLE}@page{{@bottom-left{{content:\"{name}\";font:8pt sans-serif;color:#1a1a1a}}}}")
}

fn foot(sheet: &WalkSheet) -> Markup {
    html! {
        p {
            "Made on " (spoken_day(sheet.made_on)) " by Stintbook, which identifies no plant and \
            gives no leave. Amounts are the most that a patch can bear, never a goal, and never a \
            word on what is safe to eat. Ties were settled with the number "
            (sheet.briefing.seed) "."
        }
    }
}

impl<'a> WalkSheet<'a> {
    fn site(&self, name: &SiteName) -> Option<&'a SiteFacts> {
        self.ledger.sites.iter().find(|facts| facts.site.record.name == *name)
    }

    /// Where the walk goes, in its order; those that the ledger does not have are left out.
    fn sites(&self) -> impl Iterator<Item = &'a SiteFacts> {
        self.briefing.sites.iter().filter_map(|name| self.site(name))
    }

    /// Those where something is cut, in the order of their first stops.
    fn sites_with_stops(&self) -> Vec<&'a SiteFacts> {
        let mut names: Vec<&SiteName> = Vec::new();
        for stop in &self.briefing.stops {
            if !names.contains(&stop.patch.site()) {
                names.push(stop.patch.site());
            }
        }
        names.into_iter().filter_map(|name| self.site(name)).collect()
    }

    fn patch(&self, name: &PatchName) -> Option<&'a Patch> {
        let mut patches = self.site(name.site())?.patches.iter();
        patches.find(|facts| facts.patch.record.name == *name).map(|facts| &facts.patch.record)
    }

    /// Those of one site, with their position in the walk.
    fn stops_on(&self, site: &'a SiteName) -> impl Iterator<Item = (usize, &'a Stop)> {
        let stops = self.briefing.stops.iter().enumerate();
        stops.filter(move |(_, stop)| stop.patch.site() == site)
    }
}
