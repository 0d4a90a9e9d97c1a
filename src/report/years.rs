//! Year beside year: a line a season under each patch and each site, in words and for machines.

use std::sync::Arc;

use jiff::civil::Date;

use super::page::{Block, Cell, Column, Document, Section, Table};
use super::pressure_words::range;
use super::season::{span_named, sum_of};
use crate::assess::season_report::{PatchYear, PatchYears, SiteYear, SiteYears};
use crate::json::{Declared, InUnit, Shape, object, written};
use crate::records::Crop;
use crate::units::counted;

/// The name and version of what [`years_json`] writes.
pub const YEARS_SCHEMA: &str = "stintbook.years/1";

/// Every site and its patches.
pub fn years_document(sites: &[SiteYears]) -> Document {
    let title = match sites.first() {
        None => "No patch is known that was asked about.".to_owned(),
        Some(first) => {
            let spans: Vec<String> = first.spans.iter().map(|span| span_named(*span)).collect();
            format!("Year beside year: {}", spans.join("; "))
        }
    };
    let how_to_read = (!sites.is_empty()).then(|| Section::said(HOW_TO_READ.to_owned()));
    let sections = sites.iter().map(of_site).chain(how_to_read).collect();
    Document { title, kind: "Years", lead: String::new(), sections, foot: Vec::new() }
}

const HOW_TO_READ: &str = "How to read it: a stretch to a day is held against the same stretch of \
    the other seasons. What stood is what the model has for the last day of it, from what was \
    seen by then, with the range that holds it in some eight cases of ten. Days are those with a \
    cut; people are counted once for each day, as far as anyone wrote it down.";

fn of_site(site: &SiteYears) -> Section {
    let spans: Vec<String> = site.spans.iter().map(|span| span_named(*span)).collect();
    let told =
        spans.iter().zip(&site.told).map(|(span, told)| format!("{span}: {}", on_site(told)));
    let columns = vec![
        Column::name(""),
        Column::figures("taken"),
        Column::figures("stood"),
        Column::figures("likely range"),
        Column::figures("days"),
        Column::words("people"),
    ];
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for patch in &site.patches {
        let name = format!("{}, {}", patch.patch.patch(), patch.crop.common_name);
        rows.push(vec![Cell::of(name)]);
        rows.extend(spans.iter().zip(&patch.told).map(|(span, told)| {
            let (taken, stood, range) = amounts(patch, told);
            let (days, people) = (told.days.to_string(), people(told));
            [span.clone(), taken, stood, range, days, people].map(Cell::of).to_vec()
        }));
    }
    let caption = format!("Patches of {}, season by season", site.site);
    let blocks = vec![Block::List(told.collect()), Block::Table(Table { caption, columns, rows })];
    Section { id: "site", heading: site.site.to_string(), blocks }
}

/// `4 days, 23 people; 3.2 kg and 40 heads taken`.
fn on_site(told: &SiteYear) -> String {
    let uncounted = match told.uncounted {
        0 => String::new(),
        n => format!(" and {} on which nobody counted", counted(n, "day")),
    };
    let people = counted(told.people, "person");
    let taken = sum_of(told.taken.iter().map(|(crop, amount)| (&**crop, *amount)));
    format!("{}, {people}{uncounted}; {taken} taken", counted(told.days, "day"))
}

pub(super) fn amounts(patch: &PatchYears, told: &PatchYear) -> (String, String, String) {
    let show = |amount| patch.crop.show(amount);
    match told.stood {
        Some(stood) => {
            (show(told.taken), show(stood.best), range(&patch.crop, stood.low, stood.high))
        }
        None => (show(told.taken), "not known".to_owned(), String::new()),
    }
}

/// `23`, `23 and more` where some were not counted.
fn people(told: &PatchYear) -> String {
    match (told.people, told.uncounted) {
        (0, 0) => "0".to_owned(),
        (0, _) => "not counted".to_owned(),
        (n, 0) => n.to_string(),
        (n, _) => format!("{n} and more"),
    }
}

object! {
    /// The whole answer.
    struct YearsData<'a> {
        sites: Vec<SiteData<'a>>,
    }

    struct SiteData<'a> {
        site: String,
        seasons: Vec<SiteSeason<'a>>,
        patches: Vec<PatchData<'a>>,
    }

    struct SiteSeason<'a> {
        season: String,
        /// The last day that is told of.
        to: Date,
        days: usize,
        people: u32,
        /// On which nobody counted.
        days_uncounted: usize,
        taken: Vec<Taken<'a>>,
    }

    struct Taken<'a> {
        crop: &'a str,
        taken: InUnit<f64>,
    }

    struct PatchData<'a> {
        patch: String,
        crop: &'a str,
        seasons: Vec<PatchSeason>,
    }

    struct PatchSeason {
        season: String,
        to: Date,
        taken: InUnit<f64>,
        stood: InUnit<Option<f64>>,
        stood_low: InUnit<Option<f64>>,
        stood_high: InUnit<Option<f64>>,
        days: u32,
        people: u32,
        cuts_uncounted: u32,
    }
}

/// Each stretch of each patch and each site.
pub fn years_json(sites: &[SiteYears]) -> String {
    written(YEARS_SCHEMA, YearsData { sites: sites.iter().map(site_data).collect() })
}

pub(super) fn declared() -> Declared {
    (YEARS_SCHEMA, Shape::of_version::<YearsData>(YEARS_SCHEMA))
}

fn site_data(site: &SiteYears) -> SiteData<'_> {
    let seasons = site.spans.iter().zip(&site.told).map(|(span, told)| SiteSeason {
        season: span.season.to_string(),
        to: span.to,
        days: told.days,
        people: told.people,
        days_uncounted: told.uncounted,
        taken: told.taken.iter().map(taken).collect(),
    });
    let patches = site.patches.iter().map(|patch| PatchData {
        patch: patch.patch.to_string(),
        crop: &patch.crop.name,
        seasons: site
            .spans
            .iter()
            .zip(&patch.told)
            .map(|(span, told)| PatchSeason {
                season: span.season.to_string(),
                to: span.to,
                taken: InUnit(patch.crop.measure, told.taken),
                stood: InUnit(patch.crop.measure, told.stood.map(|it| it.best)),
                stood_low: InUnit(patch.crop.measure, told.stood.map(|it| it.low)),
                stood_high: InUnit(patch.crop.measure, told.stood.map(|it| it.high)),
                days: told.days,
                people: told.people,
                cuts_uncounted: told.uncounted,
            })
            .collect(),
    });
    SiteData { site: site.site.to_string(), seasons: seasons.collect(), patches: patches.collect() }
}

fn taken((crop, amount): &(Arc<Crop>, f64)) -> Taken<'_> {
    Taken { crop: &crop.name, taken: InUnit(crop.measure, *amount) }
}
