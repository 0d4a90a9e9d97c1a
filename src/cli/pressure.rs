//! `stintbook pressure`: how hard each patch was used over a season.

use std::path::{Path, PathBuf};

use jiff::civil::Date;
use rayon::prelude::*;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::stem;
use super::format::Format;
use super::named;
use super::one_site::site_alone;
use super::week::shared_by_all;
use super::writing::write_all;
use crate::assess::season_report::{Span, site_years};
use crate::assess::{PatchSeason, Prepared, prepare, prepare_part, season_of};
use crate::book::{Book, STRETCH, Scope};
use crate::records::{Fact, Ledger, SiteFacts, SiteName, Walk};
use crate::report::layout::hanging_with_links;
use crate::report::{
    PressureDocument, pressure_csv, pressure_csv_more, pressure_json, pressure_json_around,
    pressure_json_of, pressure_map_svg, pressure_svg, week_strip_svg, years_document, years_json,
};
use crate::units::Season;

/// Of so many patches the days are made at once: some 30 kB each.
const AT_ONCE: usize = 64;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook pressure --season 2026/27 --site shore\n  \
    stintbook pressure --beside 2025/26")]
pub struct Pressure {
    /// The season, from 1 September to 31 August (default: that of --on).
    #[arg(long, value_name = "YEAR/YEAR")]
    season: Option<Season>,
    /// Only this site.
    #[arg(long)]
    site: Option<String>,
    /// Only this crop.
    #[arg(long)]
    crop: Option<String>,
    /// The table week by week: what was missing of the crop, and the feet.
    #[arg(long)]
    weeks: bool,
    /// Show this season beside that one, each to the same day of the year; may be given several
    /// times.
    #[arg(long, value_name = "YEAR/YEAR", conflicts_with = "weeks")]
    beside: Vec<Season>,
    /// Where the two SVGs of each site go.
    #[arg(long, value_name = "FOLDER", default_value = "reports")]
    reports: PathBuf,
    /// table (draws the SVGs too), csv or json.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Pressure) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let season = asked.season.unwrap_or(Season::containing(context.on));
    let crop = asked.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
    let site = asked.site.as_deref().map(|name| site_alone(&book, name)).transpose()?;
    match asked.format {
        Format::Csv | Format::Json if asked.weeks => {
            return Err(Failure::wrong("`--weeks` is for reading; csv and json hold every day"));
        }
        Format::Csv if !asked.beside.is_empty() => {
            return Err(Failure::wrong(
                "`--beside` makes no `csv`; ask for `--format json`, table, html or md",
            ));
        }
        _ => {}
    }
    if !asked.beside.is_empty() {
        let (site, ledger) = match site {
            Some((site, ledger)) => (Some(site), ledger),
            None => (None, book.ledger(&Scope::All, None)?),
        };
        return asked.year_beside_year(context, &ledger, season, site.as_ref(), crop.as_deref());
    }
    let Some((site, ledger)) = site else {
        return asked.of_all(&AllSites { context, book: &book, season, crop });
    };
    let mut seasons = seasons(context, &ledger, season)?;
    seasons.retain(|found| {
        *found.patch.site() == site && crop.as_ref().is_none_or(|crop| *found.crop.name == **crop)
    });
    let text = match asked.format {
        Format::Json => pressure_json(&seasons, season),
        Format::Csv => pressure_csv(&seasons).map_err(Failure::wrong)?,
        format => {
            let mut found = asked.document(season);
            let drawn = match format {
                Format::Table => {
                    found.add(&seasons);
                    draw(context, &ledger, &seasons, season, &asked.reports)?
                }
                _ => {
                    found.add_drawn(&seasons, context.on).map_err(Failure::wrong)?;
                    String::new()
                }
            };
            context.laid_out(format, &found.document()) + &drawn
        }
    };
    context.print(&text)?;
    Ok(Status::Done)
}

impl Pressure {
    fn document(&self, season: Season) -> PressureDocument {
        if self.weeks { PressureDocument::by_week(season) } else { PressureDocument::new(season) }
    }

    /// What each season came to up to the same day, and those that are over as a whole.
    fn year_beside_year(
        &self,
        context: &Context,
        ledger: &Ledger,
        season: Season,
        site: Option<&SiteName>,
        crop: Option<&str>,
    ) -> Result<Status, Failure> {
        let span = Span::new(season, context.on).map_err(Failure::wrong)?;
        let mut spans = vec![span];
        for other in &self.beside {
            if *other == season {
                return Err(Failure::wrong(format!(
                    "--beside {other} is the season itself; name another one"
                )));
            }
            Span::new(*other, context.on).map_err(Failure::wrong)?;
            let stretches = [span.of_season(*other), Span::whole(*other)];
            let told = stretches.into_iter().filter(|it| it.to <= context.on);
            spans.extend(told.filter(|it| !spans.contains(it)).collect::<Vec<_>>());
        }
        let until = spans.iter().map(|span| span.to).max().unwrap_or(span.to);
        let prepared = prepare(ledger, context.catalogue()?, until)?;
        let walks: Vec<&Fact<Walk>> = ledger.walks().collect();
        let asked_for =
            |facts: &&SiteFacts| site.is_none_or(|site| facts.site.record.name == *site);
        let of_site = |facts: &SiteFacts| {
            let own = prepared.iter().filter(|patch| {
                patch.site.site.record.name == facts.site.record.name
                    && crop.is_none_or(|crop| *patch.crop().name == *crop)
            });
            site_years(facts, &own.collect::<Vec<_>>(), &walks, &spans)
        };
        let mut years: Vec<_> = ledger.sites.iter().filter(asked_for).map(of_site).collect();
        years.retain(|site| crop.is_none() || !site.patches.is_empty());
        context.print(&match self.format {
            Format::Json => years_json(&years),
            format => context.laid_out(format, &years_document(&years)),
        })?;
        Ok(Status::Done)
    }

    /// Of every site, a stretch of the book at a time: all days of all patches may be more than
    /// memory holds.
    fn of_all(&self, all: &AllSites) -> Result<Status, Failure> {
        let AllSites { context, season, .. } = *all;
        match self.format {
            Format::Csv => {
                context.print(&pressure_csv(&[]).map_err(Failure::wrong)?)?;
                all.each_few(|few| {
                    let lines = few.par_iter().map(|patch| {
                        pressure_csv_more(std::slice::from_ref(patch)).map_err(Failure::wrong)
                    });
                    context.print(&lines.collect::<Result<Vec<_>, _>>()?.concat())
                })?;
            }
            Format::Json => {
                let [start, end] = pressure_json_around(season);
                context.print(&start)?;
                let mut comma = "";
                all.each_few(|few| {
                    let texts: Vec<String> = few.par_iter().map(pressure_json_of).collect();
                    let text = format!("{}{}", std::mem::replace(&mut comma, ","), texts.join(","));
                    context.print(&text)
                })?;
                context.print(&end)?;
            }
            Format::Table => {
                let mut found = self.document(season);
                let drawn = self.drawn(all, |seasons| found.add(seasons))?;
                context.print(&(found.document().text(context.width) + &drawn))?;
            }
            format => {
                let mut found = self.document(season);
                all.each_site(|_, prepared| {
                    let seasons = all.seasons_of(prepared);
                    found.add_drawn(&seasons, context.on).map_err(Failure::wrong)
                })?;
                context.print(&context.laid_out(format, &found.document()))?;
            }
        }
        Ok(Status::Done)
    }

    /// Draws each site, and shows its seasons to `see`; says where the drawings went.
    fn drawn(
        &self,
        all: &AllSites,
        mut see: impl FnMut(&[PatchSeason]),
    ) -> Result<String, Failure> {
        let mut files = Vec::new();
        all.each_site(|site, prepared| {
            let seasons = all.seasons_of(prepared);
            see(&seasons);
            files.extend(draw_site(all.context, site, &seasons, all.season, &self.reports)?);
            Ok(())
        })?;
        Ok(said_where(&files, all.context.width))
    }
}

/// Every site of a book, in the order of their names.
struct AllSites<'a> {
    context: &'a Context,
    book: &'a Book,
    season: Season,
    /// The only crop that is asked about.
    crop: Option<String>,
}

impl AllSites<'_> {
    fn until(&self) -> Date {
        self.context.on.min(self.season.last_day())
    }

    /// Each site that has a patch asked about, with those patches.
    fn each_site(
        &self,
        mut of: impl FnMut(&SiteFacts, &[&Prepared]) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        let (until, catalogue) = (self.until(), self.context.catalogue()?);
        let book = self.book.stretches(None, STRETCH)?;
        let shared = shared_by_all(&book, catalogue, until)?;
        book.in_turn(|ledger| {
            let prepared = prepare_part(ledger, catalogue, until, &shared)?;
            for site in &ledger.sites {
                let name = &site.site.record.name;
                let asked = |patch: &&Prepared| {
                    patch.facts.patch.record.name.site() == name
                        && patch.is_kept_on(self.season.first_day())
                        && self.crop.as_ref().is_none_or(|crop| *patch.crop().name == **crop)
                };
                let patches: Vec<&Prepared> = prepared.iter().filter(asked).collect();
                if !patches.is_empty() {
                    of(site, &patches)?;
                }
            }
            Ok(())
        })
    }

    /// The seasons of a few patches at a time, none twice.
    fn each_few(
        &self,
        mut of: impl FnMut(&[PatchSeason]) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        self.each_site(|_, patches| {
            patches.chunks(AT_ONCE).try_for_each(|few| of(&self.seasons_of(few)))
        })
    }

    fn seasons_of(&self, patches: &[&Prepared]) -> Vec<PatchSeason> {
        let (season, until) = (self.season, self.until());
        patches.par_iter().map(|patch| season_of(patch, season, until)).collect()
    }
}

/// Every patch of the book over a season, up to `--on`.
pub fn seasons(
    context: &Context,
    ledger: &Ledger,
    season: Season,
) -> Result<Vec<PatchSeason>, Failure> {
    let until = context.on.min(season.last_day());
    let prepared = prepare(ledger, context.catalogue()?, until)?;
    let kept = prepared.par_iter().filter(|patch| patch.is_kept_on(season.first_day()));
    Ok(kept.map(|patch| season_of(patch, season, until)).collect())
}

/// Draws the plots and the map of each site and says where they went.
pub fn draw(
    context: &Context,
    ledger: &Ledger,
    seasons: &[PatchSeason],
    season: Season,
    folder: &Path,
) -> Result<String, Failure> {
    let mut files = Vec::new();
    for site in &ledger.sites {
        let name = &site.site.record.name;
        let of_site: Vec<PatchSeason> =
            seasons.iter().filter(|found| found.patch.site() == name).cloned().collect();
        if !of_site.is_empty() {
            files.extend(draw_site(context, site, &of_site, season, folder)?);
        }
    }
    Ok(said_where(&files, context.width))
}

/// The files of one site: all of them or none.
fn draw_site(
    context: &Context,
    site: &SiteFacts,
    seasons: &[PatchSeason],
    season: Season,
    folder: &Path,
) -> Result<Vec<PathBuf>, Failure> {
    let (name, day) = (&site.site.record.name, context.on);
    let drawings = [
        ("", pressure_svg(name, seasons, season, day).map_err(Failure::wrong)?),
        ("-weeks", week_strip_svg(name, seasons, season, day).map_err(Failure::wrong)?),
        ("-map", pressure_map_svg(site, seasons, season)),
    ];
    let start = format!("{}-{}", stem(name.as_str()), season.file_name());
    let files = drawings.map(|(ending, svg)| (format!("{start}{ending}.svg"), svg));
    write_all(folder, &files)
}

fn said_where(files: &[PathBuf], width: usize) -> String {
    if files.is_empty() {
        return String::new();
    }
    let line =
        |path: &PathBuf| hanging_with_links(&format!("Drawn: {}", path.display()), width, "", "");
    format!("\n{}", files.iter().map(line).collect::<String>())
}
