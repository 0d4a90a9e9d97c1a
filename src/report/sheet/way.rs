//! Where the walk goes: a map of each site, the same as a list, and where nobody cuts.

use geo::Point;
use maud::{Markup, html};

use super::WalkSheet;
use super::geo_link::{degrees, geo_link};
use super::limit::limit;
use crate::ground::grid_reference;
use crate::records::{Closure, Landmark, LandmarkKind, SiteFacts, Zone};
use crate::report::page::{Figure, bullets, figure, section};
use crate::report::{MapOf, MapPatch, Shade, landmark_letter, landmark_place, site_map};
use crate::units::spoken_day;

#[derive(Debug)]
pub(super) struct WaySection {
    sites: Vec<SiteWay>,
    /// More than one site has headings of its own.
    headed: bool,
}

#[derive(Debug)]
struct SiteWay {
    name: String,
    map: String,
    caption: String,
    stops: Vec<OnTheWay>,
    landmarks: Vec<Sign>,
    /// Ground and patches that are left alone, a sentence each.
    left_alone: Vec<String>,
}

/// A landmark, with its letter on the map.
#[derive(Debug)]
struct Sign {
    letter: String,
    name: String,
    /// Its kind, and what is said of it.
    said: String,
    place: Option<Point>,
    is_hazard: bool,
}

#[derive(Debug)]
struct OnTheWay {
    number: usize,
    name: String,
    /// The crop, and where it stands.
    said: String,
    place: Option<Point>,
}

impl WaySection {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let sites = sheet
            .sites_with_stops()
            .into_iter()
            .enumerate()
            .map(|(n, facts)| SiteWay::of(sheet, n, facts));
        let sites: Vec<SiteWay> = sites.collect();
        Self { headed: sites.len() > 1, sites }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! { @for site in &self.sites { (site.laid_out(self.headed)) } };
        section("way", "The way", &body)
    }
}

impl SiteWay {
    fn of(sheet: &WalkSheet, position: usize, facts: &SiteFacts) -> Self {
        let site = &facts.site.record;
        let stops: Vec<OnTheWay> = on_the_way(sheet, facts).collect();
        let has_zones = !facts.zones.is_empty();
        let hatched = if has_zones { " Hatched: nothing is cut." } else { "" };
        Self {
            name: site.name.to_string(),
            map: map(sheet, position, facts),
            caption: format!("{}: the stops, numbered as they are walked.{hatched}", site.name),
            stops,
            landmarks: signs(facts),
            left_alone: left_alone(sheet, facts),
        }
    }

    fn laid_out(&self, headed: bool) -> Markup {
        let drawing =
            Figure { svg: &self.map, caption: &self.caption, wide: false, on_paper: false };
        html! {
            @if headed { h3 { (self.name) } }
            div.beside {
                div {
                    ol.route {
                        @for stop in &self.stops {
                            li value=(stop.number) { strong { (stop.name) } " " (stop.said) (linked(stop.place)) }
                        }
                    }
                    @if !self.landmarks.is_empty() {
                        ul.signs {
                            @for sign in &self.landmarks {
                                li class=[sign.is_hazard.then_some("hazard")] {
                                    b { (sign.letter) } " " strong { (sign.name) } (sign.said) (linked(sign.place))
                                }
                            }
                        }
                    }
                    @if !self.left_alone.is_empty() {
                        p { strong { "Left alone" } }
                        (bullets(&self.left_alone))
                    }
                }
                (figure(&drawing))
            }
        }
    }
}

/// Degrees that a phone opens in its map.
fn linked(place: Option<Point>) -> Markup {
    let link = place.and_then(|place| Some((geo_link(place)?, degrees(place))));
    html! { @if let Some((link, shown)) = link { "; " a href=(link) { (shown) } } }
}

/// What is dangerous first; letters are those of the map.
fn signs(facts: &SiteFacts) -> Vec<Sign> {
    let all = (1..).map(landmark_letter).zip(&facts.landmarks);
    let mut signs: Vec<Sign> = all
        .map(|(letter, fact)| {
            let landmark = &fact.record;
            let is_hazard = landmark.what == LandmarkKind::Hazard;
            let kind = if is_hazard { "HAZARD" } else { landmark.what.told() };
            let note = landmark.note.iter().map(|note| format!("; {note}")).collect::<String>();
            Sign {
                letter,
                name: landmark.name.to_string(),
                said: format!(", {kind}{note}"),
                place: landmark_place(landmark),
                is_hazard,
            }
        })
        .collect();
    signs.sort_by_key(|sign| !sign.is_hazard);
    signs
}

fn on_the_way(sheet: &WalkSheet, facts: &SiteFacts) -> impl Iterator<Item = OnTheWay> {
    let stops = sheet.briefing.stops.iter().enumerate();
    let here = stops.filter(|(_, stop)| *stop.patch.site() == facts.site.record.name);
    here.map(|(n, stop)| OnTheWay {
        number: n + 1,
        name: stop.patch.patch().to_owned(),
        place: stop.centre,
        said: match stop.centre.and_then(grid_reference) {
            Some(reference) => format!("{}; {reference}", stop.crop.common_name),
            None => stop.crop.common_name.to_string(),
        },
    })
}

fn map(sheet: &WalkSheet, position: usize, facts: &SiteFacts) -> String {
    let site = &facts.site.record;
    let zones: Vec<&Zone> = facts.zones.iter().map(|zone| &zone.record).collect();
    let landmarks: Vec<&Landmark> = facts.landmarks.iter().map(|fact| &fact.record).collect();
    let stops = sheet.stops_on(&site.name);
    let patches: Vec<MapPatch> = stops
        .filter_map(|(n, stop)| {
            let said = format!("{}, {}", stop.crop.common_name, limit(sheet, n, stop).join(", "));
            let patch = sheet.patch(&stop.patch)?;
            Some(MapPatch { number: n + 1, patch, shade: Shade::Plain, said })
        })
        .collect();
    let begins_here =
        sheet.briefing.stops.first().is_some_and(|first| *first.patch.site() == site.name);
    site_map(&MapOf {
        site,
        zones: &zones,
        patches: &patches,
        landmarks: &landmarks,
        shading: None,
        start: sheet.briefing.start.filter(|_| begins_here),
        walked: true,
        keyed: false,
        narrow: true,
        id: &format!("map-{}", position + 1),
    })
}

fn left_alone(sheet: &WalkSheet, facts: &SiteFacts) -> Vec<String> {
    let day = sheet.briefing.day;
    let zones = facts.zones.iter().map(|zone| left_zone(&zone.record));
    let closures = facts.closures.iter().map(|closure| &closure.record);
    let closures = closures.filter(|closure| closure.holds_on(day)).map(left_closed);
    let protected = facts.site.record.protected.iter();
    let protected = protected.map(|reason| format!("The whole site is protected: {reason}."));
    protected.chain(closures).chain(zones).collect()
}

/// `Path edge, and 2 m round it: trodden.`
fn left_zone(zone: &Zone) -> String {
    let round =
        if zone.buffer.0 > 0.0 { format!(", and {} round it", zone.buffer) } else { String::new() };
    let reason = zone.reason.iter().map(|reason| format!(": {reason}")).collect::<String>();
    format!("{}{round}{reason}.", zone.name)
}

fn left_closed(closure: &Closure) -> String {
    let what = closure.patch.as_deref().unwrap_or("the whole site");
    let until = match closure.to {
        Some(last) => format!("until {}", spoken_day(last)),
        None => "until further notice".to_owned(),
    };
    format!("{what} is shut {until}: {}.", closure.reason)
}
