//! `stintbook report`: a season on one site, for those who own the land.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use indicatif::{ParallelProgressIterator, ProgressBar, ProgressStyle};
use jiff::civil::Date;
use rayon::prelude::*;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::stem;
use super::one_site::{peers, site_alone};
use super::writing::write_all as write_files;
use crate::assess::season_report::{
    Background, FigureId, NothingTold, Righted, SeasonReport, Span, UnknownFigure, last_day_told,
    season_report,
};
use crate::assess::{Prepared, guessed, prepare};
use crate::book::{Book, Scope};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::report::{
    season_document, season_geojson, season_patches_csv, season_visits_csv, trace_section,
};
use crate::units::Season;

/// From so many sites on, a bar shows how far it is.
const MANY_SITES: usize = 20;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook report shore --season 2026/27\n  \
    stintbook report --all --season 2026/27\n  \
    stintbook report shore --season 2026/27 --trace p3-taken\n\n\
    The report tells the season to its last day, or to the last day on which anything was seen \
    or cut if that is earlier; --on names another. The clock has no say in it: the same book \
    gives the same bytes on any day. Nobody is named in it; its \
    places are exact.")]
pub struct Report {
    /// The site.
    #[arg(required_unless_present = "all")]
    site: Option<String>,
    /// Every site of the book.
    #[arg(long, conflicts_with = "site")]
    all: bool,
    /// The season, from 1 September to 31 August (default: that of the last day told).
    #[arg(long, value_name = "YEAR/YEAR")]
    season: Option<Season>,
    /// Where the reports go.
    #[arg(long, value_name = "FOLDER", default_value = "reports")]
    reports: PathBuf,
    /// html (one page, with CSV and GeoJSON beside it), or md (Markdown, for e-mail).
    #[arg(long, value_enum, default_value = "html")]
    format: PageFormat,
    /// List the facts behind a figure instead, by the name that the report gives it.
    #[arg(long, value_name = "FIGURE", conflicts_with = "all")]
    trace: Option<FigureId>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PageFormat {
    Html,
    Md,
}

impl From<NothingTold> for Failure {
    fn from(nothing: NothingTold) -> Self {
        Self::wrong(nothing)
    }
}

impl From<UnknownFigure> for Failure {
    fn from(unknown: UnknownFigure) -> Self {
        Self::wrong(unknown)
    }
}

pub fn run(context: &Context, asked: &Report) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let make = |report: &SeasonReport| match asked.trace {
        Some(figure) => {
            let facts = report.trace(figure)?;
            Ok(trace_section(report, figure, &facts).alone(context.width))
        }
        None => {
            let files = write_report(context, report, &asked.reports, asked.format)?;
            Ok(written(&files, context.width))
        }
    };
    let made = match &asked.site {
        Some(name) => vec![report_of(context, &book, name, asked.season, make)?],
        None => each_report(context, &book, asked.season, make)?,
    };
    said(context, made)?;
    if asked.trace.is_none() {
        context.print(&paragraph(receipt::PLACES_ARE_EXACT, context.width, ""))?;
    }
    Ok(Status::Done)
}

/// Writes the page and tables of every site, and says where they went.
pub fn write_all(
    context: &Context,
    book: &Book,
    season: Season,
    folder: &Path,
) -> Result<(), Failure> {
    let write = |report: &SeasonReport| {
        let files = write_report(context, report, folder, PageFormat::Html)?;
        Ok(written(&files[..1], context.width))
    };
    said(context, each_report(context, book, Some(season), write)?)
}

/// Prints what was made, also where something else went wrong.
fn said(context: &Context, made: Vec<Result<String, Failure>>) -> Result<(), Failure> {
    let (texts, failures): (Vec<_>, Vec<_>) = made.into_iter().partition(Result::is_ok);
    context.print(&texts.into_iter().flatten().collect::<String>())?;
    Failure::all(failures.into_iter().filter_map(Result::err))
}

/// What is made of the report of the site that is called so, from what bears on it alone.
fn report_of(
    context: &Context,
    book: &Book,
    site: &str,
    season: Option<Season>,
    make: impl Fn(&SeasonReport) -> Result<String, Failure>,
) -> Result<Result<String, Failure>, Failure> {
    let (name, ledger) = site_alone(book, site)?;
    let to = match context.asked_on {
        Some(day) => Some(day),
        None => book.last_day_told()?,
    };
    let (span, catalogue) = (span(to, season)?, context.catalogue()?);
    let prepared = prepare(&ledger, catalogue, span.to)?;
    let here = |patch: &Prepared| patch.site.site.record.name == name;
    let peers = peers(book, guessed(&prepared, here, span.to))?;
    let peers = prepare(&peers, catalogue, span.to)?;
    let (walks, righted) = (book.walks(None)?, righted(book)?);
    let background =
        Background::of_site(&prepared, &peers, walks.walks().collect(), &righted, span);
    let facts = ledger.sites.iter().find(|facts| facts.site.record.name == name);
    let facts = facts.ok_or_else(|| Failure::wrong(format!("`{name}` is not known any more")))?;
    Ok(make(&season_report(facts, &background)))
}

fn righted(book: &Book) -> Result<Vec<Righted>, Failure> {
    let lines = book.corrected()?.into_iter().map(|line| (line.fact, line.correction));
    Ok(Righted::all(&lines.collect::<Vec<_>>()))
}

/// What is made of the report of each site, in the order of the sites.
fn each_report(
    context: &Context,
    book: &Book,
    season: Option<Season>,
    make: impl Fn(&SeasonReport) -> Result<String, Failure> + Sync,
) -> Result<Vec<Result<String, Failure>>, Failure> {
    let ledger = book.ledger(&Scope::All, None)?;
    let span = span(context.asked_on.or_else(|| last_day_told(&ledger)), season)?;
    let prepared = prepare(&ledger, context.catalogue()?, span.to)?;
    let righted = righted(book)?;
    let background = Background::new(&ledger, &prepared, &righted, span);
    let reports = ledger.sites.par_iter().progress_with(bar(ledger.sites.len()));
    Ok(reports.map(|site| make(&season_report(site, &background))).collect())
}

fn span(to: Option<Date>, season: Option<Season>) -> Result<Span, NothingTold> {
    let to = to.ok_or(NothingTold::NoRecords)?;
    Span::new(season.unwrap_or(Season::containing(to)), to)
}

fn bar(sites: usize) -> ProgressBar {
    if sites < MANY_SITES || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(sites as u64);
    match ProgressStyle::with_template("{pos} of {len} sites {bar:30} {percent:>3} %") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// The files written, the page first; all of them or none.
fn write_report(
    context: &Context,
    report: &SeasonReport,
    folder: &Path,
    format: PageFormat,
) -> Result<Vec<PathBuf>, Failure> {
    let document = season_document(report).map_err(Failure::wrong)?;
    let name = format!("{}-{}", stem(report.site_name().as_str()), report.span.season.file_name());
    let files = match format {
        PageFormat::Md => vec![(format!("{name}.md"), document.markdown())],
        PageFormat::Html => vec![
            (format!("{name}.html"), context.page(&document)),
            (format!("{name}-patches.csv"), season_patches_csv(report).map_err(Failure::wrong)?),
            (format!("{name}-visits.csv"), season_visits_csv(report).map_err(Failure::wrong)?),
            (format!("{name}-patches.geojson"), season_geojson(report)),
        ],
    };
    context.hand_over(&files, || write_files(folder, &files))
}

fn written(files: &[PathBuf], width: usize) -> String {
    let line = |file: &PathBuf| paragraph(&format!("Written: {}", file.display()), width, "");
    files.iter().map(line).collect()
}
