//! Year beside year: a line a season under each patch and each site, as text and for machines.

use serde_json::{Value, json};

use super::column::{document, in_unit, number, optional};
use super::layout::{hanging, left, paragraph, right, widest};
use super::pressure_table::range;
use super::season::{span_named, sum_of};
use crate::assess::season_report::{PatchYear, PatchYears, SiteYear, SiteYears};
use crate::units::counted;

pub const YEARS_SCHEMA: &str = "stintbook.years/1";

const TAKEN: usize = 10;
const STOOD: usize = 10;
const RANGE: usize = 16;
const DAYS: usize = 5;

/// Every site and its patches, at most `width` cells wide.
pub fn years_table(sites: &[SiteYears], width: usize) -> String {
    let Some(first) = sites.first() else {
        return paragraph("No patch is known that was asked about.", width, "");
    };
    let spans: Vec<String> = first.spans.iter().map(|span| span_named(*span)).collect();
    let mut text = paragraph(&format!("Year beside year: {}", spans.join("; ")), width, "");
    for site in sites {
        text += &of_site(site, &spans, width);
    }
    text + "\n" + &paragraph(HOW_TO_READ, width, "")
}

const HOW_TO_READ: &str = "How to read it: a stretch to a day is held against the same stretch of the other seasons. \
     What stood is what the model has for the last day of it, from what was seen by then, with \
     the range that holds it in some eight cases of ten. Days are those with a cut; people are \
     counted once for each day, as far as anyone wrote it down.";

fn of_site(site: &SiteYears, spans: &[String], width: usize) -> String {
    let mut text = format!("\n{}\n", site.site.as_str().to_uppercase());
    for (span, told) in spans.iter().zip(&site.told) {
        text += &hanging(&format!("{span}: {}", on_site(told)), width, "  ", "    ");
    }
    let span = widest(spans.iter().map(String::as_str), 8, 20);
    let line = |cells: [&str; 6]| {
        let [name, taken, stood, range, days, people] = cells;
        let line = format!(
            "    {} {} {} {} {} {}",
            left(name, span),
            right(taken, TAKEN),
            right(stood, STOOD),
            left(range, RANGE),
            right(days, DAYS),
            people
        );
        line.trim_end().to_owned() + "\n"
    };
    if !site.patches.is_empty() {
        text += &line(["", "taken", "stood", "likely range", "days", "people"]);
    }
    for patch in &site.patches {
        text += &format!("  {}, {}\n", patch.patch.patch(), patch.crop.common_name);
        for (name, told) in spans.iter().zip(&patch.told) {
            let (taken, stood, range) = amounts(patch, told);
            let (days, people) = (told.days.to_string(), people(told));
            text += &line([name, &taken, &stood, &range, &days, &people]);
        }
    }
    text
}

/// `4 days, 23 people; 3.2 kg and 40 heads taken`.
fn on_site(told: &SiteYear) -> String {
    let uncounted = match told.uncounted {
        0 => String::new(),
        n => format!(" and {} on which nobody counted", counted(n as u32, "day")),
    };
    let people =
        if told.people == 1 { "1 person".to_owned() } else { format!("{} people", told.people) };
    let taken = sum_of(told.taken.iter().map(|(crop, amount)| (&**crop, *amount)));
    format!("{}, {people}{uncounted}; {taken} taken", counted(told.days as u32, "day"))
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

pub fn years_json(sites: &[SiteYears]) -> String {
    let site = |site: &SiteYears| {
        let seasons = site.spans.iter().zip(&site.told).map(|(span, told)| {
            let taken = told.taken.iter().map(|(crop, amount)| {
                json!({ "crop": &*crop.name, (in_unit("taken", crop.measure)): number(*amount) })
            });
            json!({
                "season": span.season.to_string(),
                "to": span.to.to_string(),
                "days": told.days,
                "people": told.people,
                "days_uncounted": told.uncounted,
                "taken": taken.collect::<Vec<Value>>(),
            })
        });
        let patches = site.patches.iter().map(|patch| {
            let seasons = site.spans.iter().zip(&patch.told).map(|(span, told)| {
                let measure = patch.crop.measure;
                json!({
                    "season": span.season.to_string(),
                    "to": span.to.to_string(),
                    (in_unit("taken", measure)): number(told.taken),
                    (in_unit("stood", measure)): optional(told.stood.map(|it| it.best)),
                    (in_unit("stood_low", measure)): optional(told.stood.map(|it| it.low)),
                    (in_unit("stood_high", measure)): optional(told.stood.map(|it| it.high)),
                    "days": told.days,
                    "people": told.people,
                    "cuts_uncounted": told.uncounted,
                })
            });
            json!({
                "patch": patch.patch.to_string(),
                "crop": &*patch.crop.name,
                "seasons": seasons.collect::<Vec<Value>>(),
            })
        });
        json!({
            "site": site.site.to_string(),
            "seasons": seasons.collect::<Vec<Value>>(),
            "patches": patches.collect::<Vec<Value>>(),
        })
    };
    document(&json!({
        "schema": YEARS_SCHEMA,
        "sites": sites.iter().map(site).collect::<Vec<Value>>(),
    }))
}
