//! `stintbook walk plan`: which patches, and how much from each.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

use jiff::civil::Date;

use super::recorded::{asked_on, ready_for, walk_called};
use super::route::route;
use super::start::{Start, start_of};
use super::wanted::{Wants, all_wants, wants};
use crate::assess::{Outing, Route, crops_for, plan_outing};
use crate::book::Scope;
use crate::cli::args::{day, length, people};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::format::Format;
use crate::cli::one_site::{of_sites, of_walk_in};
use crate::records::{Directory, Ledger, Purpose, WalkName};
use crate::report::{walk_plan_document, walk_plan_geojson, walk_plan_json};
use crate::units::Metres;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk plan --on 2027-03-20 --want \"ramsons-leaf=1.5kg,green leaf=2kg,sour=300g\"\n  \
    stintbook walk plan --on 2027-03-20 --site \"north wood\" --start -3.21,54.05 --max-distance 4km\n  \
    stintbook walk plan --walk \"spring walk\" --route walk.gpx --corridor 50m --format json\n\n\
    --on is the day of the walk. The least falls short; then no patch gives a higher share of \
    its limit than it must; then there is little walking. Another crop for the same use is \
    named where something falls short, and never taken unasked. Nothing is set aside.")]
pub struct PlanWanted {
    /// Plan this recorded walk, with its day, sites, people and wants.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["site", "want", "people"])]
    walk: Option<String>,
    /// Only this site; may be given several times.
    #[arg(long, value_name = "SITE")]
    site: Vec<String>,
    /// What to bring home: crops or kitchen roles, like `ramsons-leaf=1.5kg,green leaf=2kg`
    /// (default: all that may be cut).
    #[arg(long, value_name = "WHAT=AMOUNT", value_parser = wants)]
    want: Vec<Wants>,
    /// How many people come.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    people: Option<u32>,
    /// What for: `walk`, `sale` or `own use`; ground whose permission does not say so is left
    /// alone.
    #[arg(long = "for", value_name = "USE", default_value = "walk", conflicts_with = "walk")]
    purpose: Purpose,
    /// Where the walk begins: a landmark, or LON,LAT in degrees (default: where one parks, a gate,
    /// or the first patch).
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    start: Option<Start>,
    /// Leave out patches further from the start than this, as the crow flies.
    #[arg(
        long,
        value_name = "LENGTH",
        value_parser = length,
        requires = "start",
        allow_hyphen_values = true
    )]
    max_distance: Option<Metres>,
    /// Keep to the track or route of this GPX file.
    #[arg(long, value_name = "FILE")]
    route: Option<PathBuf>,
    /// How far off the route a patch may lie.
    #[arg(
        long,
        value_name = "LENGTH",
        default_value = "50m",
        value_parser = length,
        requires = "route",
        allow_hyphen_values = true
    )]
    corridor: Metres,
    /// Ask as on that day: what was set aside for earlier days has lapsed (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json, Format::Geojson]))]
    format: Format,
}

pub fn run(context: &Context, asked: &PlanWanted) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let ledger = match &asked.walk {
        Some(walk) => of_walk_in(&book, walk)?,
        None => match asked.crops(context)? {
            Some(crops) => book.ledger(&Scope::Crops(crops), None)?,
            None => of_sites(&asked.site, |scope| book.ledger(scope, None))?,
        },
    };
    let (outing, walk) = asked.outing(context, &ledger)?;
    let today = asked_on(context, outing.day, asked.recorded_on);
    let prepared = ready_for(context, &ledger, outing.day, today, walk.as_ref())?;
    let plan = plan_outing(&outing, &prepared, context.catalogue()?).map_err(Failure::wrong)?;
    context.print(&match asked.format {
        Format::Json => walk_plan_json(&plan),
        Format::Geojson => walk_plan_geojson(&plan),
        format => context.laid_out(format, &walk_plan_document(&plan)),
    })?;
    Ok(Status::Done)
}

impl PlanWanted {
    /// The crops whose patches alone decide the plan; `None` where others have a say: on sites that
    /// are named they are read in any case, and too far off may be any.
    fn crops(&self, context: &Context) -> Result<Option<BTreeSet<Arc<str>>>, Failure> {
        if self.want.is_empty() || !self.site.is_empty() || self.max_distance.is_some() {
            return Ok(None);
        }
        let catalogue = context.catalogue()?;
        Ok(Some(crops_for(&all_wants(&self.want, catalogue)?, catalogue)))
    }

    fn outing(
        &self,
        context: &Context,
        ledger: &Ledger,
    ) -> Result<(Outing, Option<WalkName>), Failure> {
        let recorded = self.walk.as_deref().map(|name| walk_called(ledger, name)).transpose()?;
        let plain = match recorded {
            Some(walk) => Outing::of(&walk.record),
            None => self.typed(context, ledger)?,
        };
        let start = start_of(self.start.as_ref(), ledger, &plain.sites)?;
        let line = self.route.as_deref().map(route).transpose()?;
        let outing = Outing {
            start,
            within: self.max_distance,
            route: line.map(|line| Route { line, corridor: self.corridor }),
            ..plain
        };
        Ok((outing, recorded.map(|walk| walk.record.name.clone())))
    }

    fn typed(&self, context: &Context, ledger: &Ledger) -> Result<Outing, Failure> {
        let known = Directory::of(ledger);
        let sites: Result<Vec<_>, _> =
            self.site.iter().map(|name| known.site_meant(name).cloned()).collect();
        Ok(Outing {
            day: context.on,
            people: self.people.unwrap_or(1),
            purpose: self.purpose,
            sites: sites?,
            wants: all_wants(&self.want, context.catalogue()?)?,
            left_out: Vec::new(),
            start: None,
            within: None,
            route: None,
        })
    }
}
