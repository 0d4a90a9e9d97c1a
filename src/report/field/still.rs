//! The day on which the page was made, as a list that needs no script: what stands there until the
//! script runs, and for whom none does.

use maud::{Markup, html};

use super::{FieldPage, words};
use crate::assess::Assessment;
use crate::report::counting::goes_by_sentence;
use crate::report::{cautions, found_growing};

pub(super) fn still(page: &FieldPage) -> Markup {
    let first = page.patches.iter().filter_map(|patch| patch.days.first());
    let (open, shut): (Vec<&Assessment>, Vec<&Assessment>) =
        first.partition(|patch| is_open(page, patch));
    html! {
        section #still aria-labelledby="still-heading" {
            h2 #still-heading { (words::only_for(page)) }
            noscript { p.warning { (words::NO_SCRIPT) } }
            p { (words::whose(page)) }
            @if open.is_empty() { p { (words::NOTHING_OPEN) } }
            @for patch in open { (card(page, patch)) }
            @if !shut.is_empty() {
                h3 { (words::SHUT) }
                ul { @for patch in shut { li { (patch.patch) ": " (patch.ruling.verdict.name()) } } }
            }
        }
    }
}

/// On a walk's page its stops, and no other patch.
fn is_open(page: &FieldPage, patch: &Assessment) -> bool {
    match page.walk {
        Some(walk) => walk.stops.iter().any(|stop| stop.patch == patch.patch),
        None => patch.is_open(),
    }
}

fn card(page: &FieldPage, patch: &Assessment) -> Markup {
    let (most, goes_by) = limit(page, patch);
    let found = patch.found_growing.iter();
    let found = found.map(|found| found_growing::sentence(found, &patch.patch, &patch.crop));
    let fatal = cautions::fatal_by_crop(&[&patch.crop]);
    let fatal = fatal.iter().map(cautions::FatalOfCrop::sentence);
    html! {
        article.patch {
            h3 { (patch.patch) " " span.crop { (patch.crop.common_name) } }
            @for text in found.chain(fatal) { p.fatal { (text) } }
            p.most { (words::AT_MOST) " " strong { (most) } }
            @if !goes_by.is_empty() { p { (goes_by) } }
            @if patch.ask_first { p { (words::ASK_FIRST) } }
        }
    }
}

fn limit(page: &FieldPage, patch: &Assessment) -> (String, String) {
    let stops = page.walk.into_iter().flat_map(|walk| &walk.stops);
    match stops.into_iter().find(|stop| stop.patch == patch.patch) {
        Some(stop) => (patch.crop.show(stop.quota), String::new()),
        None => {
            let most = patch.ruling.most;
            let most = most.map_or("no upper limit".to_owned(), |most| patch.crop.show(most));
            (most, goes_by_sentence(patch).trim_start_matches(", ").to_owned())
        }
    }
}
