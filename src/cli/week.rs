//! `stintbook week`: which patches can be cut, how much, and why.

use std::collections::HashMap;

use jiff::civil::Date;
use rayon::prelude::*;

use super::args::{Format, LonLat, day, length};
use super::context::Context;
use super::failure::{Failure, Status};
use crate::assess::{Assessment, Prepared, WeekAnswer, assess, prepare, week};
use crate::book::Scope;
use crate::ground::PatchIndex;
use crate::records::{Directory, PatchName, SiteName};
use crate::report::{cautions, week_csv, week_geojson, week_json, week_table};
use crate::units::Metres;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook week --on 2027-03-15\n  \
    stintbook week --crop ramsons-leaf --near -3.21,54.05 --within 800m --format json")]
pub struct WeekQuestion {
    /// Only this site.
    #[arg(long)]
    site: Option<String>,
    /// Only this crop.
    #[arg(long)]
    crop: Option<String>,
    /// Only patches near this place: LON,LAT in degrees.
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true)]
    near: Option<LonLat>,
    /// How near.
    #[arg(long, value_name = "LENGTH", default_value = "1km", value_parser = length, requires = "near")]
    within: Metres,
    /// How many people would come.
    #[arg(long, value_name = "N")]
    people: Option<u32>,
    /// How they would cut, where a permission asks: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    /// Answer from what was known on that day.
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_known_on: Option<Date>,
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

pub fn run(context: &Context, asked: &WeekQuestion) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let filter = Filter::of(context, asked, || Ok(book.directory()?))?;
    let ledger = book.ledger(&Scope::All, asked.as_known_on)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let distances = distances(&prepared, asked);
    let wanted = prepared.par_iter().filter(|patch| filter.wants(patch)).filter_map(|patch| {
        let name = &patch.facts.patch.record.name;
        let distance = match &distances {
            None => None,
            Some(near) => Some(*near.get(name)?),
        };
        let found = assess(patch, context.on, asked.people, asked.method.as_deref());
        Some(Assessment { distance, ..found })
    });
    let answer = week(context.on, wanted.collect());
    context.print(&match asked.format {
        Format::Table => as_text(&answer, context.width),
        Format::Csv => week_csv(&answer).map_err(Failure::wrong)?,
        Format::Json => week_json(&answer),
        Format::Geojson => week_geojson(&answer),
    })?;
    Ok(Status::Done)
}

/// The table with its notes and, where it invites anyone to pick, the cautions.
pub fn as_text(answer: &WeekAnswer, width: usize) -> String {
    let mut text = week_table(answer, width);
    if answer.open().next().is_some() {
        text += &format!("\n{}", cautions::short(answer.open().map(|patch| &patch.crop), width));
    }
    text
}

/// Which patches are asked about.
struct Filter {
    site: Option<SiteName>,
    crop: Option<String>,
}

impl Filter {
    fn of(
        context: &Context,
        asked: &WeekQuestion,
        directory: impl FnOnce() -> Result<Directory, Failure>,
    ) -> Result<Self, Failure> {
        let site = match &asked.site {
            Some(name) => Some(directory()?.site(name)?.clone()),
            None => None,
        };
        let crop = match &asked.crop {
            Some(name) => Some(known_crop(context, name)?),
            None => None,
        };
        Ok(Self { site, crop })
    }

    fn wants(&self, patch: &Prepared) -> bool {
        let record = &patch.facts.patch.record;
        self.site.as_ref().is_none_or(|site| record.name.site() == site)
            && self.crop.as_ref().is_none_or(|crop| *record.crop == **crop)
    }
}

/// # Errors
/// A crop that the catalogue does not have, with the nearest one it has.
pub fn known_crop(context: &Context, name: &str) -> Result<String, Failure> {
    let catalogue = context.catalogue()?;
    let name = name.to_lowercase();
    if catalogue.crop(&name).is_some() {
        return Ok(name);
    }
    let near = catalogue.nearest(&name);
    let hint = near.map(|near| format!("; did you mean `{near}`?"));
    let hint = hint.unwrap_or("; `stintbook crops` lists them".to_owned());
    Err(Failure::wrong(format!("no crop is called `{name}`{hint}")))
}

/// Patches within reach and how far they are; `None` where no place was asked about.
fn distances(prepared: &[Prepared], asked: &WeekQuestion) -> Option<HashMap<PatchName, Metres>> {
    let place = asked.near?;
    let index = PatchIndex::new(prepared.iter().map(|patch| &patch.facts.patch.record));
    let near = index.near(place.lon, place.lat, asked.within);
    Some(near.into_iter().map(|(n, distance)| (index.patch(n).name.clone(), distance)).collect())
}
