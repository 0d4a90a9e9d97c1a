//! `stintbook pressure`: how hard each patch was used over a season.

use std::path::{Path, PathBuf};

use super::args::Format;
use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::stem;
use super::week::known_crop;
use super::writing::write_all;
use crate::assess::{PatchSeason, prepare, season_of};
use crate::book::Scope;
use crate::records::Ledger;
use crate::report::layout::paragraph;
use crate::report::{
    pressure_csv, pressure_json, pressure_map_svg, pressure_svg, pressure_table, pressure_weeks,
    week_strip_svg,
};
use crate::units::Season;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook pressure --season 2026/27 --site shore")]
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
    /// Where the two SVGs of each site go.
    #[arg(long, value_name = "FOLDER", default_value = "reports")]
    reports: PathBuf,
    /// table (draws the SVGs too), csv or json.
    #[arg(long, value_enum, default_value = "table")]
    format: Format,
}

pub fn run(context: &Context, asked: &Pressure) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let season = asked.season.unwrap_or(Season::containing(context.on));
    let site = match &asked.site {
        Some(name) => Some(book.directory()?.site(name)?.clone()),
        None => None,
    };
    let crop = asked.crop.as_deref().map(|name| known_crop(context, name)).transpose()?;
    let ledger = book.ledger(&Scope::All, None)?;
    let mut seasons = seasons(context, &ledger, season)?;
    seasons.retain(|found| {
        site.as_ref().is_none_or(|site| found.patch.site() == site)
            && crop.as_ref().is_none_or(|crop| *found.crop.name == **crop)
    });
    let text = match asked.format {
        Format::Csv | Format::Json if asked.weeks => {
            return Err(Failure::wrong("`--weeks` shows a table; csv and json hold every day"));
        }
        Format::Json => pressure_json(&seasons, season),
        Format::Csv => pressure_csv(&seasons).map_err(Failure::wrong)?,
        Format::Table => {
            let table = if asked.weeks { pressure_weeks } else { pressure_table };
            table(&seasons, season, context.width)
                + &draw(context, &ledger, &seasons, season, &asked.reports)?
        }
        Format::Geojson => {
            return Err(Failure::wrong("`pressure` writes `table`, `csv` or `json`"));
        }
    };
    context.print(&text)?;
    Ok(Status::Done)
}

/// Every patch of the book over a season, up to `--on`.
pub fn seasons(
    context: &Context,
    ledger: &Ledger,
    season: Season,
) -> Result<Vec<PatchSeason>, Failure> {
    let until = context.on.min(season.last_day());
    let prepared = prepare(ledger, context.catalogue()?, until)?;
    Ok(prepared.iter().map(|patch| season_of(patch, season, until)).collect())
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
        if of_site.is_empty() {
            continue;
        }
        let day = context.on;
        let drawings = [
            ("", pressure_svg(name, &of_site, season, day).map_err(Failure::wrong)?),
            ("-weeks", week_strip_svg(name, &of_site, season, day).map_err(Failure::wrong)?),
            ("-map", pressure_map_svg(site, &of_site, season)),
        ];
        let start = format!("{}-{}", stem(name.as_str()), season.file_name());
        files.extend(drawings.map(|(ending, svg)| (format!("{start}{ending}.svg"), svg)));
    }
    if files.is_empty() {
        return Ok(String::new());
    }
    let drawn = write_all(folder, &files)?;
    let line = |path: &PathBuf| paragraph(&format!("Drawn: {}", path.display()), context.width, "");
    Ok(format!("\n{}", drawn.iter().map(line).collect::<String>()))
}
