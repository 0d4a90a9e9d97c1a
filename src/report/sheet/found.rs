//! What was found growing at the stops that is taken for a crop: it stands before all else.

use maud::{Markup, html};

use super::WalkSheet;
use crate::report::found_growing::sentence;
use crate::report::page::section;

#[derive(Debug)]
pub(super) struct Found {
    /// What may kill, and the rest.
    fatal: Vec<String>,
    others: Vec<String>,
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
        Self { fatal, others }
    }

    pub(super) fn laid_out(&self) -> Markup {
        if self.fatal.is_empty() && self.others.is_empty() {
            return html! {};
        }
        let body = html! {
            @for text in &self.fatal { p.fatal { strong { (text) } } }
            @for text in &self.others { p { (text) } }
        };
        section("found", "Found growing there", &body)
    }
}
