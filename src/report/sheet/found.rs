//! What was found growing at the stops that is taken for a crop: it stands before all else.

use maud::{Markup, html};

use super::WalkSheet;
use crate::assess::still_growing;
use crate::records::{PatchName, SiteFacts};
use crate::report::found_growing::sentence;
use crate::report::page::section;
use crate::units::spoken_day;

#[derive(Debug)]
pub(super) struct Found {
    /// What may kill, and the rest.
    fatal: Vec<String>,
    others: Vec<String>,
    /// On the sites' other ground, where the walk comes by.
    by_the_way: Vec<String>,
}

impl Found {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let found = sheet.briefing.stops.iter().flat_map(|stop| {
            let told = |found| (found, sentence(found, &stop.patch, &stop.crop));
            stop.found_growing.iter().map(told)
        });
        let (fatal, others): (Vec<_>, Vec<_>) = found.partition(|(found, _)| found.may_kill());
        let mut words = [fatal, others].map(|told| {
            let mut words: Vec<String> = told.into_iter().map(|(_, words)| words).collect();
            words.sort();
            words.dedup();
            words
        });
        let [fatal, others] = std::mem::take(&mut words);
        Self { fatal, others, by_the_way: by_the_way(sheet) }
    }

    pub(super) fn laid_out(&self) -> Markup {
        if [&self.fatal, &self.others, &self.by_the_way].into_iter().all(Vec::is_empty) {
            return html! {};
        }
        let body = html! {
            @for text in &self.fatal { p.fatal { strong { (text) } } }
            @for text in &self.others { p { (text) } }
            @for text in &self.by_the_way { p.fatal { strong { (text) } } }
        };
        section("found", "Found growing there", &body)
    }
}

/// What grows on patches of the sites that are no stops, until someone clears it: people pass
/// there, and a hand goes out to whatever looks right.
fn by_the_way(sheet: &WalkSheet) -> Vec<String> {
    let day = sheet.briefing.day;
    let of_site = |facts: &SiteFacts| {
        let site = &facts.site.record.name;
        let is_stop =
            |name: &PatchName| sheet.briefing.stops.iter().any(|stop| stop.patch == *name);
        let others = facts.patches.iter().map(|patch| &patch.patch.record.name);
        let others: Vec<&PatchName> = others.filter(|name| !is_stop(name)).collect();
        let on_patches = others.into_iter().flat_map(|name| {
            let found = still_growing(&facts.visits, Some(name.patch()), day);
            found.into_iter().map(move |found| (name.to_string(), found))
        });
        // On a site without a stop nothing else says what grows on all of it.
        let has_stop = sheet.stops_on(site).next().is_some();
        let on_all = still_growing(&facts.visits, None, day);
        let on_all = on_all.into_iter().filter(|_| !has_stop);
        on_patches.chain(on_all.map(|found| (site.to_string(), found))).collect::<Vec<_>>()
    };
    let told = sheet.sites().flat_map(of_site).map(|(place, (name, found_on))| {
        format!(
            "On the way: {name} was found growing on {place} on {}. Nothing is picked there, and \
             children pass it at hand.",
            spoken_day(found_on)
        )
    });
    told.collect()
}
