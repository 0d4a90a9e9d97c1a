//! The pressure of a season as pictures, one a site: small multiples with a panel a patch, and
//! a strip with a row a patch and a column a week.

mod bends;
mod brief;
mod calendar;
mod course;
mod dress;
mod fan;
mod head;
mod ink;
mod layout;
mod panel;
mod pen;
mod proof;
mod scale;
mod strip;
mod whole;

pub(super) use calendar::calendar_figure;
pub use calendar::calendar_svg;
pub use fan::rehearsal_svg;
pub use pen::PlotError;
pub use proof::proof_svg;
pub use scale::{CropScale, Scale};
pub(super) use strip::week_strip_sheets;
pub use strip::week_strip_svg;

use jiff::civil::Date;

use crate::assess::PatchSeason;
use crate::records::SiteName;
use crate::units::Season;
use course::Course;
use dress::{Dress, Words};
use layout::{Page, Run};
use pen::Pen;

/// An SVG of the site's patches over the season, in crop order. Patches of one crop share one
/// scale. `on` is marked; what comes after it is left blank.
///
/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn pressure_svg(
    site: &SiteName,
    seasons: &[PatchSeason],
    season: Season,
    on: Date,
) -> Result<String, PlotError> {
    let patches: Vec<&PatchSeason> =
        seasons.iter().filter(|patch| patch.patch.site() == site).collect();
    let words = Words::of(site, &patches, season);
    sheet(&patches, words, season, on)
}

/// The same in pictures that each fit a printed page, fit for one HTML page; the patches of a
/// crop stay together where they fit. `first` is the number of the first on its page.
///
/// # Errors
/// As [`pressure_svg`].
pub(super) fn pressure_sheets(
    site: &SiteName,
    seasons: &[PatchSeason],
    season: Season,
    on: Date,
    first: usize,
) -> Result<Vec<String>, PlotError> {
    let sheets = layout::sheets(seasons).into_iter().zip(first..);
    let drawn = sheets.map(|(patches, number)| {
        let words = Words::of(site, &patches, season).on_sheet(number);
        sheet(&patches, words, season, on)
    });
    drawn.collect()
}

fn sheet(
    patches: &[&PatchSeason],
    words: Words,
    season: Season,
    on: Date,
) -> Result<String, PlotError> {
    let page = Page::of(patches);
    let mut drawing = String::new();
    {
        let pen = Pen::on(&mut drawing, page.width, page.height)?;
        head::draw(&pen, &words, season, on)?;
        for run in &page.runs {
            draw_run(&pen, run, season, on)?;
        }
        pen.finish()?;
    }
    let Page { width, height, .. } = page;
    Ok(dress::accessible(&drawing, &Dress { words: &words, width, height }))
}

/// Panels of one crop side by side, under one heading and on one grid.
fn draw_run(pen: &Pen, run: &Run, season: Season, on: Date) -> Result<(), PlotError> {
    panel::draw_heading(pen, run)?;
    panel::draw_grid(pen, run)?;
    for (frame, patch) in &run.panels {
        panel::draw(pen, frame, patch, season, on)?;
        Course { pen, frame, scale: &run.scale, season }.draw(&patch.series)?;
    }
    Ok(())
}
