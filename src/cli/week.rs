//! `stintbook week`: which patches can be cut, how much, and why.

use std::collections::{HashMap, HashSet};
use std::fmt;

use jiff::civil::Date;
use rayon::prelude::*;

use super::args::{LonLat, day, length, people};
use super::blurred;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::places_on_map::{Reader, places_on};
use crate::assess::{
    AllEyes, Assessment, Prepared, Shared, WeekAnswer, WeekPlace, assess_case,
    assess_case_in_brief, prepare, prepare_part, sites_that_meet, week,
};
use crate::book::{Book, BookError, Refusal, STRETCH, Scope, Stretches};
use crate::catalogue::Catalogue;
use crate::ground::{Blur, PatchIndex};
use crate::maps;
use crate::records::{Directory, Ledger, PatchName, Purpose, SiteFacts, SiteName};
use crate::report::page::Section;
use crate::report::{
    Detail, Place, Telling, day_map, no_patch_known, week_csv, week_csv_headings, week_csv_lines,
    week_document, week_json, week_maps,
};
use crate::rules::Case;
use crate::units::Metres;

/// Lines of some hundred bytes.
const PRINTED_AT_ONCE: usize = 400;

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
    #[arg(
        long,
        value_name = "LENGTH",
        default_value = "1km",
        value_parser = length,
        requires = "near",
        allow_hyphen_values = true
    )]
    within: Metres,
    /// Tell of each shut patch too what decides.
    #[arg(long)]
    all: bool,
    /// Tell the reasons in full.
    #[arg(long)]
    why: bool,
    /// On a page, show the maps of the sites too.
    #[arg(long)]
    map: bool,
    /// How many people would come.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// How they would cut, where a permission asks: scissors, by hand.
    #[arg(long)]
    method: Option<String>,
    /// What for, where a permission must say so: `walk`, `sale` or `own use` (default: whatever
    /// there is leave for).
    #[arg(long = "for", value_name = "USE")]
    purpose: Option<Purpose>,
    /// Answer from what was known on that day.
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_known_on: Option<Date>,
    /// For people who are not to know where: squares of this size in the place of places (1km,
    /// 2km, 10km, 50km, 100km), other names, no shapes, open or shut.
    #[arg(
        long,
        value_name = "SIZE",
        value_parser = blurred::blur,
        allow_hyphen_values = true,
        conflicts_with_all = ["near", "why", "all", "map", "people", "method", "purpose", "as_known_on"]
    )]
    blur: Option<Blur>,
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json, Format::Geojson]))]
    format: Format,
}

pub fn run(context: &Context, asked: &WeekQuestion) -> Result<Status, Failure> {
    if let Some(blur) = asked.blur {
        let (site, crop) = (asked.site.as_deref(), asked.crop.as_deref());
        let answer = blurred::answer(context, blur, site, crop)?;
        context.print(&blurred::said(context, &answer, asked.format)?)?;
        return Ok(Status::Done);
    }
    let book = context.open_to_read()?;
    let wanted = asked.wanted(context, &book)?;
    if let (None, Format::Csv) = (&wanted.site, asked.format) {
        return asked.lines_of_all(context, &book, &wanted);
    }
    let found = match &wanted.site {
        Some((_, ledger)) => {
            let prepared = prepare(ledger, context.catalogue()?, context.on)?;
            asked.assess(&prepared, &wanted, context.on)
        }
        None => asked.assess_all(context, &book, &wanted)?,
    };
    let answer = week(context.on, found.patches);
    context.print(&match asked.format {
        Format::Csv => week_csv(&answer).map_err(Failure::wrong)?,
        Format::Json => week_json(&answer),
        Format::Geojson => maps::geojson(&day_map(&answer, found.places, Telling::All)),
        format => {
            let nothing_found = asked.nothing_found(&answer, &wanted, found.known);
            let mut document = week_document(&answer, asked.detail(), nothing_found);
            if asked.map && format == Format::Html {
                document.sections.extend(asked.maps(&book, &wanted, &answer)?);
            }
            let document = document.as_known_on(asked.as_known_on);
            context.laid_out(format, &document)
        }
    })?;
    Ok(Status::Done)
}

/// The patches of an answer, among so many.
struct Found {
    patches: Vec<Assessment>,
    /// For a map: the sites of these patches and what lies on them.
    places: Vec<Place>,
    known: usize,
}

impl WeekQuestion {
    fn maps(
        &self,
        book: &Book,
        wanted: &Wanted,
        answer: &WeekAnswer,
    ) -> Result<Vec<Section>, Failure> {
        Ok(match &wanted.site {
            Some((_, ledger)) => week_maps(answer, &ledger.sites),
            None => week_maps(answer, &book.ledger(&Scope::All, self.as_known_on)?.sites),
        })
    }

    fn detail(&self) -> Detail {
        match (self.why, self.all) {
            (true, _) => Detail::Why,
            (false, true) => Detail::All,
            (false, false) => Detail::Short,
        }
    }

    fn wanted(&self, context: &Context, book: &Book) -> Result<Wanted, Failure> {
        let site = match &self.site {
            None => None,
            Some(name) => {
                let ledger = self.ledger(name, book)?;
                Some((Directory::of(&ledger).site_meant(name)?.clone(), ledger))
            }
        };
        let crop = self.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
        Ok(Wanted { site, crop })
    }

    /// Of one site alone: it is less to read, and answers even where another site's facts are
    /// damaged.
    fn ledger(&self, site: &str, book: &Book) -> Result<Ledger, Failure> {
        let scope = SiteName::new(site).map_or(Scope::All, Scope::Site);
        match book.ledger(&scope, self.as_known_on) {
            // The whole book knows what may have been meant.
            Err(BookError::Refused(Refusal::NotFound(_))) => {
                Ok(book.ledger(&Scope::All, self.as_known_on)?)
            }
            read => Ok(read?),
        }
    }

    /// What is made of what is found of every site, a stretch of the book at a time.
    fn of_all<T: Send>(
        &self,
        context: &Context,
        book: &Book,
        make: impl Fn(&[Prepared]) -> Result<T, Failure> + Sync,
    ) -> Result<Vec<T>, Failure> {
        let (on, catalogue) = (context.on, context.catalogue()?);
        let book = book.stretches(self.as_known_on, STRETCH)?;
        let shared = shared_by_all(&book, catalogue, on)?;
        let made = book.each(|ledger| make(&prepare_part(ledger, catalogue, on, &shared)?))?;
        made.into_iter().collect()
    }

    /// Prints the line of every patch. Each is made where its patch is read and assessed: to hold
    /// all assessments of a large book would take more memory and time than anything else.
    fn lines_of_all(
        &self,
        context: &Context,
        book: &Book,
        wanted: &Wanted,
    ) -> Result<Status, Failure> {
        let lines = self.of_all(context, book, |prepared| {
            let assess = self.assessing(prepared, wanted, context.on);
            let mut places = Vec::with_capacity(prepared.len());
            let patches = prepared.iter().filter_map(assess);
            let patches = patches.inspect(|patch| places.push(WeekPlace::of(patch)));
            let lines = week_csv_lines(patches).map_err(Failure::wrong)?;
            Ok((places, lines))
        })?;
        let stretches = lines.par_iter();
        let of_all = stretches.flat_map_iter(|(places, lines)| places.iter().zip(lines.iter()));
        let mut lines: Vec<(&WeekPlace, &str)> = of_all.collect();
        lines.par_sort_by_key(|(place, _)| *place);
        context.print(&week_csv_headings().map_err(Failure::wrong)?)?;
        for some in lines.chunks(PRINTED_AT_ONCE) {
            context.print(&some.iter().map(|(_, line)| *line).collect::<String>())?;
        }
        Ok(Status::Done)
    }

    fn assess_all(
        &self,
        context: &Context,
        book: &Book,
        wanted: &Wanted,
    ) -> Result<Found, Failure> {
        let assess = |prepared: &[Prepared]| Ok(self.assess(prepared, wanted, context.on));
        let found = self.of_all(context, book, assess)?;
        let patches = found.iter().map(|found| found.patches.len()).sum();
        let mut all = Found { patches: Vec::with_capacity(patches), places: Vec::new(), known: 0 };
        for Found { patches, places, known } in found {
            all.patches.extend(patches);
            all.places.extend(places);
            all.known += known;
        }
        Ok(all)
    }

    fn assess(&self, prepared: &[Prepared], wanted: &Wanted, on: Date) -> Found {
        // Stretches are assessed side by side already.
        let all = prepared.par_iter().with_min_len(STRETCH);
        let found = all.filter_map(self.assessing(prepared, wanted, on));
        let patches: Vec<Assessment> = found.collect();
        let places = match self.format {
            Format::Geojson => places_of(prepared, &patches, on),
            _ => Vec::new(),
        };
        Found { patches, places, known: prepared.len() }
    }

    /// Assesses one of the patches; `None` where it is not asked about.
    fn assessing<'q>(
        &'q self,
        prepared: &[Prepared],
        wanted: &'q Wanted,
        on: Date,
    ) -> impl Fn(&Prepared) -> Option<Assessment> + Sync + use<'q> {
        let distances = distances(prepared, self);
        let assess = match self.format {
            // These give every rule's reason.
            Format::Json | Format::Geojson => assess_case,
            _ => assess_case_in_brief,
        };
        move |patch| {
            if !patch.is_kept_on(on) || !wanted.has(patch) {
                return None;
            }
            let distance = match &distances {
                None => None,
                Some(near) => Some(*near.get(&patch.facts.patch.record.name)?),
            };
            let case = patch.case(on, self.people, self.method.as_deref());
            let found = assess(patch, &Case { purpose: self.purpose, ..case });
            Some(Assessment { distance, ..found })
        }
    }

    /// Why a week is empty, in one sentence; nothing of one that is not.
    fn nothing_found(&self, answer: &WeekAnswer, wanted: &Wanted, known: usize) -> Option<String> {
        let why = match (known, self.as_known_on) {
            (0, known_on) => no_patch_known(known_on),
            _ => format!("No patch{wanted} {}.", self.reach()),
        };
        answer.patches.is_empty().then_some(why)
    }

    fn reach(&self) -> String {
        match self.near {
            Some(place) => format!("lies within {} of {},{}", self.within, place.lon, place.lat),
            None => "is in the book".to_owned(),
        }
    }
}

/// The sites on which these patches lie, and what lies on them.
fn places_of(prepared: &[Prepared], patches: &[Assessment], on: Date) -> Vec<Place> {
    let asked: HashSet<&SiteName> = patches.iter().map(|patch| patch.patch.site()).collect();
    let mut sites: Vec<&SiteFacts> = prepared.iter().map(|patch| patch.site).collect();
    sites.dedup_by_key(|site| &site.site.record.name);
    let asked = sites.into_iter().filter(|site| asked.contains(&site.site.record.name));
    asked.flat_map(|site| places_on(site, on, &mut Reader::Week)).collect()
}

/// Which patches are asked about.
struct Wanted {
    /// Where only one is, with what is known of it.
    site: Option<(SiteName, Ledger)>,
    crop: Option<String>,
}

impl Wanted {
    fn has(&self, patch: &Prepared) -> bool {
        let record = &patch.facts.patch.record;
        self.site.as_ref().is_none_or(|(site, _)| record.name.site() == site)
            && self.crop.as_ref().is_none_or(|crop| *record.crop == **crop)
    }
}

/// ` of sloe on Hill`, or nothing for every patch.
impl fmt::Display for Wanted {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(crop) = &self.crop {
            write!(out, " of {crop}")?;
        }
        if let Some((site, _)) = &self.site {
            write!(out, " on {site}")?;
        }
        Ok(())
    }
}

/// What the patches of different sites share by a day.
///
/// # Errors
/// A storage error where the book cannot be read; a patch whose crop is not in the catalogue.
pub fn shared_by_all(
    book: &Stretches,
    catalogue: &Catalogue,
    until: Date,
) -> Result<Shared, Failure> {
    let mut eyes = AllEyes::default();
    for learnt in book.each_judged(|ledger| AllEyes::learn(ledger, catalogue, until))? {
        eyes.join(learnt?);
    }
    Ok(Shared::new(&book.land_of(sites_that_meet)?, eyes, until))
}

/// Patches within reach and how far they are; `None` where no place was asked about.
fn distances(prepared: &[Prepared], asked: &WeekQuestion) -> Option<HashMap<PatchName, Metres>> {
    let place = asked.near?;
    let index = PatchIndex::new(prepared.iter().map(|patch| &patch.facts.patch.record));
    let near = index.near(place.lon, place.lat, asked.within);
    Some(near.into_iter().map(|(n, distance)| (index.patch(n).name.clone(), distance)).collect())
}
