//! What may be written on the command line.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

use super::{
    backup, boxes, check, correct, crops, cut, demo, export, glance, history, load, merge, new,
    pressure, rehearse, report, restore, survey, walk, week,
};
use crate::intake::YEARS;
use crate::units::Metres;

/// Which wild patches may be cut this week, how much, and why.
///
/// Stintbook keeps surveys, cuts and permissions in one book and answers before each walk
/// what may be cut. It never identifies a plant.
#[derive(Debug, Parser)]
#[command(name = "stintbook", version, max_term_width = 100)]
pub struct Arguments {
    /// The book.
    #[arg(long, global = true, env = "STINTBOOK", default_value = "stintbook.sqlite")]
    pub book: PathBuf,

    /// Crops of your own (default: sites/crops.toml beside the book, if it is there).
    #[arg(long, global = true, value_name = "FILE")]
    pub catalogue: Option<PathBuf>,

    /// The day asked about, or on which it happened (default: today).
    #[arg(long, global = true, value_name = "DATE", value_parser = day)]
    pub on: Option<Date>,

    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Build the demo book, show its week, and draw its pressure plots.
    Demo(demo::Demo),
    /// Start a folder of your own: templates, reports, an empty book.
    New(new::New),
    /// Take in sites, patches, surveys, cuts… from GeoJSON and CSV files.
    Load(load::Load),
    /// Say which patches can be cut this week, how much, and why.
    Week(week::WeekQuestion),
    /// Say everything about one patch; exit status 0 if it may be cut, 1 if not.
    Check(check::Check),
    /// Record what a visit took.
    Cut(cut::CutMade),
    /// Record what was measured on one patch; `survey plan` draws places for quadrats, `survey
    /// advise` says where a survey gains most.
    Survey(survey::SurveyAsked),
    /// Record a judgement by eye.
    Glance(glance::GlanceMade),
    /// Put a recorded fact right by a new one; the old one stays visible.
    Correct(correct::Correct),
    /// Say that a recorded fact should not count; it stays visible.
    Withdraw(correct::Withdraw),
    /// List what was recorded, with every correction.
    History(history::History),
    /// Plan a walk, split and set aside its quota, and settle what came back.
    Walk(walk::WalkAsked),
    /// Plan a month's boxes for subscribers, week by week, within the same limits.
    Box(boxes::BoxesWanted),
    /// Show how hard each patch was used over a season; draw it as SVG.
    Pressure(pressure::Pressure),
    /// Write the season report for a site's owner: one page that prints, with its tables.
    Report(report::Report),
    /// Play a planned season many times: what walks may find, which patch is the weak one.
    Rehearse(rehearse::Rehearse),
    /// List the crop catalogue, or one crop with the source of each value.
    Crops(crops::Crops),
    /// Write the book's facts as GeoJSON and CSV files that can be loaded again.
    Export(export::Export),
    /// Take in another book: the union of both, with what they see differently named.
    Merge(merge::Merge),
    /// Check that the book is whole, and name facts that contradict each other.
    Verify,
    /// Copy the book safely, also while others write to it.
    Backup(backup::BackedUp),
    /// Put a backup in the place of the book; the one that was there is kept aside.
    Restore(restore::Restoring),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Table,
    Csv,
    Json,
    Geojson,
}

/// When and by whom a fact was written down.
#[derive(Debug, clap::Args)]
pub struct Signed {
    /// Who saw or did it.
    #[arg(long, value_name = "NAME", value_parser = words)]
    pub by: String,

    /// The day from which it counts as known (default: today, or --on if that is later).
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub recorded_on: Option<Date>,
}

impl Signed {
    /// As a file would have it; empty where nothing was said.
    pub fn recorded_on(&self) -> String {
        self.recorded_on.map(|day| day.to_string()).unwrap_or_default()
    }
}

/// A day, year first.
pub fn day(text: &str) -> Result<Date, String> {
    let unreadable = |_| format!("`{text}` is not a day; write year-month-day, like `2027-03-15`");
    let day: Date = text.parse().map_err(unreadable)?;
    if YEARS.contains(&day.year()) {
        return Ok(day);
    }
    let (first, last) = (YEARS.start(), YEARS.end());
    Err(format!("`{text}` is too far off; write a year from {first} to {last}"))
}

/// How many people come along.
pub fn people(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|people| *people > 0)
        .ok_or_else(|| format!("`{text}` is not a number of people; write 1 or more"))
}

/// Words that are kept with a fact, and shown with it later.
pub fn words(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("nothing is there; write it in words".to_owned());
    }
    Ok(text.to_owned())
}

/// A length such as `800m` or `1.2km`.
pub fn length(text: &str) -> Result<Metres, String> {
    let (number, metres) = match text.strip_suffix("km") {
        Some(number) => (number, 1000.0),
        None => (text.strip_suffix('m').unwrap_or(text), 1.0),
    };
    let value: Option<f64> = number.trim().parse().ok();
    match value.map(|value| value * metres) {
        Some(metres) if metres.is_finite() && metres >= 0.0 => Ok(Metres(metres)),
        _ => Err(format!("`{text}` is not a length; write `800m` or `1.2km`")),
    }
}

/// Longitude and latitude in degrees, as `-3.21,54.05`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LonLat {
    pub lon: f64,
    pub lat: f64,
}

impl FromStr for LonLat {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers: Option<Vec<f64>> =
            text.split(',').map(|number| number.trim().parse().ok()).collect();
        match numbers.as_deref() {
            Some(&[lon, lat]) if lon.abs() <= 180.0 && lat.abs() <= 90.0 => Ok(Self { lon, lat }),
            Some(&[lon, lat]) if lat.abs() <= 180.0 && lon.abs() <= 90.0 => Err(format!(
                "`{text}` has a latitude of {lat}; write longitude first, like `-3.21,54.05`"
            )),
            _ => Err(format!(
                "`{text}` is not a place; write longitude and latitude, like `-3.21,54.05`"
            )),
        }
    }
}
