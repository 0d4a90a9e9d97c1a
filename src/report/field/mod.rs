//! The field page: one HTML file for a phone without a signal.
//!
//! It shows the answers that the rules gave for the coming days, and keeps what people record
//! until the book takes it in. Nothing is fetched. The script works out no limit: it shows what
//! stands in the data, and takes what was recorded on the phone off the most of that day.

mod app;
mod care;
mod data;
mod day;
mod policy;
mod round;
mod still;
mod texts;
mod walk;
mod words;

use jiff::civil::Date;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::assess::{Briefing, PatchComing};
use crate::records::{FactId, Landmark, Ledger, Patch, SiteFacts, Zone};
use crate::report::page::{skip, top};
use crate::report::{MapOf, MapPatch, Placing, Shade, placed_site_map};
pub use app::{App, ICON, WORKER, manifest, version};
use data::Answers;
use policy::Policy;

/// Named in the page's data; another number where a field changes its meaning.
pub const FIELD_SCHEMA: &str = "stintbook-field-page/1";

/// The sheet of the page.
pub const STYLE: &str = include_str!("field.css");

/// In the order in which they rest on one another; one closure holds them all.
const SCRIPT: [&str; 15] = [
    include_str!("script/page.js"),
    include_str!("script/figure.js"),
    include_str!("script/clock.js"),
    include_str!("script/store.js"),
    include_str!("script/left.js"),
    include_str!("script/ground.js"),
    include_str!("script/here.js"),
    include_str!("script/form.js"),
    include_str!("script/deeds.js"),
    include_str!("script/list.js"),
    include_str!("script/map.js"),
    include_str!("script/walk.js"),
    include_str!("script/records.js"),
    include_str!("script/outbox.js"),
    include_str!("script/start.js"),
];

/// What a field page is made of.
#[derive(Clone, Copy, Debug)]
pub struct FieldPage<'a> {
    /// Ground, landmarks and emergency cards of the sites shown.
    pub ledger: &'a Ledger,
    /// The days that it answers for, in order.
    pub days: &'a [Date],
    /// Each on all of the days; by site and name.
    pub patches: &'a [PatchComing],
    /// Where it is made for one walk: then it shows what that walk may take and nothing else.
    pub walk: Option<&'a Briefing>,
    /// The day on which the book was asked.
    pub made_on: Date,
    /// By which pages of one book know what they keep; letters and digits.
    pub book: &'a str,
    /// What was recorded on phones and is in the book already.
    pub known: &'a [FactId],
    /// Whether the occupier's telephone number goes in.
    pub with_telephone: bool,
    /// Where the desk serves it.
    pub app: Option<App<'a>>,
}

/// A site with its map.
struct Drawn<'a> {
    facts: &'a SiteFacts,
    svg: String,
    placing: Option<Placing>,
}

/// The whole page; nothing is fetched, whatever shows it.
pub fn field_page(page: &FieldPage) -> String {
    let sites = drawn(page);
    let answers = Answers::of(page, &sites);
    let script = script();
    let styles = std::iter::once(STYLE.to_owned())
        .chain(sites.iter().flat_map(|site| policy::styles_in(&site.svg)));
    let policy = Policy::of(&script, styles);
    let title = title(page);
    let rest = html! {
        // A served page has its policy from who serves it.
        @if page.app.is_none() {
            meta http-equiv="Content-Security-Policy" content=(policy.text());
        }
        meta name="referrer" content="no-referrer";
        @match page.app {
            Some(app) => (app.head(page)),
            None => style { (PreEscaped(STYLE)) },
        }
    };
    let html = html! {
        (DOCTYPE)
        html lang="en-GB" {
            (top(&format!("{title} · {}", words::FIELD_PAGE), &rest))
            body {
                (skip())
                header #head {
                    h1 { (title) }
                    p #day { (words::made_on(page)) }
                }
                main #content tabindex="-1" {
                    (still::still(page))
                    section #list hidden aria-label=(words::PATCHES) {}
                    section #maps hidden aria-label=(words::MAP) { (maps(&sites)) }
                    section #records hidden aria-label=(words::RECORDS) {}
                }
                footer #care { (care::care(page)) }
                script type="application/json" id="answers" { (PreEscaped(policy::inert(&answers))) }
                @if page.app.is_none() { script { (PreEscaped(&script)) } }
            }
        }
    };
    html.into_string() + "\n"
}

/// All that the page runs.
pub fn script() -> String {
    format!("(() => {{\n\"use strict\";\n{}}})();\n", SCRIPT.concat())
}

fn title(page: &FieldPage) -> String {
    match page.walk {
        Some(walk) => walk.walk.to_string(),
        None => {
            let names = page.ledger.sites.iter().map(|facts| facts.site.record.name.to_string());
            let names: Vec<String> = names.collect();
            if names.len() > 2 { words::sites(names.len()) } else { crate::units::listed(&names) }
        }
    }
}

fn drawn<'a>(page: &FieldPage<'a>) -> Vec<Drawn<'a>> {
    let has_patch = |facts: &&SiteFacts| {
        page.patches.iter().any(|patch| {
            patch.days.first().is_some_and(|day| *day.patch.site() == facts.site.record.name)
        })
    };
    let sites = page.ledger.sites.iter().filter(has_patch).enumerate();
    sites.map(|(n, facts)| draw(page, n, facts)).collect()
}

fn draw<'a>(page: &FieldPage<'a>, position: usize, facts: &'a SiteFacts) -> Drawn<'a> {
    let site = &facts.site.record;
    let zones: Vec<&Zone> = facts.zones.iter().map(|zone| &zone.record).collect();
    let landmarks: Vec<&Landmark> = facts.landmarks.iter().map(|fact| &fact.record).collect();
    let numbered = page.patches.iter().zip(1..);
    let on_map = numbered.filter_map(|(coming, number)| {
        let name = &coming.days.first()?.patch;
        let patch = patch_called(facts, name)?;
        Some(MapPatch { number, patch, shade: Shade::Plain, said: String::new() })
    });
    let patches: Vec<MapPatch> = on_map.collect();
    let (svg, placing) = placed_site_map(&MapOf {
        site,
        zones: &zones,
        patches: &patches,
        landmarks: &landmarks,
        shading: None,
        start: page.walk.and_then(|walk| walk.start).filter(|_| position == 0),
        walked: false,
        keyed: true,
        narrow: true,
        id: &format!("map-{}", position + 1),
    });
    Drawn { facts, svg, placing }
}

fn patch_called<'a>(facts: &'a SiteFacts, name: &crate::records::PatchName) -> Option<&'a Patch> {
    let mut patches = facts.patches.iter().map(|patch| &patch.patch.record);
    patches.find(|patch| patch.name == *name)
}

fn maps(sites: &[Drawn]) -> Markup {
    html! {
        div #where {}
        @for (n, site) in sites.iter().enumerate() {
            section.site id=(format!("site-{n}")) {
                h2 { (site.facts.site.record.name) }
                div.scrolls role="region" tabindex="0" aria-label=(words::map_of(&site.facts.site.record.name)) {
                    (PreEscaped(&site.svg))
                }
            }
        }
    }
}
