//! The pressure of a season as a document: a table a site, with its pictures on a page and a strip
//! of the season on a terminal.

use jiff::civil::Date;

use super::by_site::by_site;
use super::page::{Block, Cell, Column, Document, Drawing, Section, Table};
use super::pressure_strip::{SeasonStrip, how_to_read};
use super::pressure_words::{
    add_trodden, hardest, is_quiet, last_day, most_trodden_told, overrun, range, standing, until,
};
use super::season::drawn_through;
use crate::assess::PatchSeason;
use crate::records::{PatchName, SiteName};
use crate::report::plot::PlotError;
use crate::units::{Season, percent};

/// The document as it grows, site by site: of a season only its rows and pictures are kept.
#[derive(Debug)]
pub struct PressureDocument {
    strip: SeasonStrip,
    last_day: Option<Date>,
    sections: Vec<Section>,
    drawings: usize,
    overruns: Vec<String>,
    most_trodden: Vec<(f64, PatchName)>,
}

impl PressureDocument {
    /// Without any patch yet.
    pub fn new(season: Season) -> Self {
        Self::of(SeasonStrip::in_short(season))
    }

    /// The same week by week: what was missing of the crop, and the feet.
    pub fn by_week(season: Season) -> Self {
        Self::of(SeasonStrip::by_week(season))
    }

    fn of(strip: SeasonStrip) -> Self {
        let (sections, overruns, most_trodden) = (Vec::new(), Vec::new(), Vec::new());
        Self { strip, last_day: None, sections, drawings: 0, overruns, most_trodden }
    }

    /// All wanted patches of some sites, which come after those added before.
    pub fn add(&mut self, seasons: &[PatchSeason]) {
        for (site, patches) in by_site(seasons) {
            let blocks = match self.strip.is_by_week() {
                true => vec![weeks(site, &patches, &self.strip)],
                false => {
                    let (quiet, used): (Vec<_>, Vec<_>) =
                        patches.into_iter().partition(|patch| is_quiet(patch));
                    let tables = [
                        (used.is_empty(), table(site, &used, &self.strip)),
                        (quiet.is_empty(), left_alone(site, &quiet)),
                    ];
                    tables.into_iter().filter(|it| !it.0).map(|it| it.1).collect()
                }
            };
            self.sections.push(Section { id: "site", heading: site.to_string(), blocks });
        }
        self.last_day = self.last_day.max(last_day(seasons));
        let of_patch = |patch: &PatchSeason| {
            patch.overruns().map(|ruling| overrun(patch, ruling)).collect::<Vec<_>>()
        };
        self.overruns.extend(seasons.iter().flat_map(of_patch));
        add_trodden(&mut self.most_trodden, seasons);
    }

    /// The same with the pictures of each site below its table.
    ///
    /// # Errors
    /// Those of drawing the plots, which drawing into memory has no cause for.
    pub fn add_drawn(&mut self, seasons: &[PatchSeason], on: Date) -> Result<(), PlotError> {
        for (site, patches) in by_site(seasons) {
            let patches: Vec<PatchSeason> = patches.into_iter().cloned().collect();
            self.add(&patches);
            let drawings =
                drawn_through(site, &patches, self.strip.season(), on, 1 + self.drawings)?;
            self.drawings += drawings.len();
            if let Some(section) = self.sections.last_mut() {
                let of_site = |drawing: Drawing| {
                    let caption = format!("{site}. {}", drawing.caption);
                    Block::Drawing(Drawing { caption, ..drawing })
                };
                section.blocks.extend(drawings.into_iter().map(of_site));
            }
        }
        Ok(())
    }

    /// All that was added, or that there is nothing to show.
    pub fn document(self) -> Document {
        let Self { strip, last_day, sections: of_sites, overruns, most_trodden, .. } = self;
        let season = strip.season();
        let mut sections: Vec<Section> = Vec::new();
        if of_sites.is_empty() {
            let said = format!("No patch to show for the season {season}.");
            sections.push(Section::said(said));
        } else {
            sections.extend(Section::list("over", "Over the limit", overruns));
            sections.extend(of_sites);
            sections.extend(most_trodden_told(&most_trodden).map(Section::said));
            let blocks = how_to_read(&strip);
            sections.push(Section { blocks, ..Section::said(String::new()) });
        }
        let how = if strip.is_by_week() { " week by week" } else { "" };
        Document {
            title: format!("Pressure{how} in the season {season}{}", until(last_day)),
            kind: "Pressure",
            lead: String::new(),
            sections,
            foot: Vec::new(),
        }
    }
}

fn table(site: &SiteName, patches: &[&PatchSeason], strip: &SeasonStrip) -> Block {
    let columns = vec![
        Column::name("patch").over("crop"),
        strip.column(),
        Column::figures("standing").over("likely range"),
        Column::figures("taken").over("visits"),
        Column::figures("hardest").over("missing"),
    ];
    let row = |patch: &&PatchSeason| {
        let crop = &patch.crop;
        let is_over = patch.overruns().next().is_some();
        vec![
            Cell::of(patch.patch.patch()).under(&*crop.name),
            strip.cell(patch),
            Cell::of(standing(patch)).under(likely(patch)),
            Cell::of(crop.show(patch.series.total_cut())).under(patch.visits.to_string()),
            Cell::of(hardest(patch)).under(missing(patch)).marked(is_over),
        ]
    };
    let caption = format!("{site}: what stands by now, and what was cut");
    Block::Table(Table { caption, columns, rows: patches.iter().map(row).collect() })
}

/// Patches that nobody cut, a line each.
fn left_alone(site: &SiteName, patches: &[&PatchSeason]) -> Block {
    let columns = vec![
        Column::name("not cut"),
        Column::name("crop"),
        Column::figures("standing"),
        Column::figures("likely range"),
        Column::figures("missing"),
    ];
    let row = |patch: &&PatchSeason| {
        let told = [patch.crop.name.to_string(), standing(patch), likely(patch), missing(patch)];
        [Cell::of(patch.patch.patch())].into_iter().chain(told.map(Cell::of)).collect()
    };
    let caption = format!("{site}: what stands by now where nobody cut");
    Block::Table(Table { caption, columns, rows: patches.iter().map(row).collect() })
}

fn weeks(site: &SiteName, patches: &[&PatchSeason], strip: &SeasonStrip) -> Block {
    let columns = vec![
        Column::name("patch").over("crop"),
        strip.column(),
        Column::figures("missing").over("feet"),
    ];
    let row = |patch: &&PatchSeason| {
        let now = patch.series.latest().map_or("?".to_owned(), |(_, crop)| percent(crop.depletion));
        let came = patch.series.days.iter().any(|day| day.feet.person_visits > 0);
        let feet = patch.series.feet().part_of_limit.filter(|_| came).map(percent);
        vec![
            Cell::of(patch.patch.patch()).under(&*patch.crop.name),
            strip.cell(patch),
            Cell::of(now).under(feet.unwrap_or_default()),
        ]
    };
    let caption = format!("{site}: what is missing by now, and what the ground bore of feet");
    Block::Table(Table { caption, columns, rows: patches.iter().map(row).collect() })
}

fn likely(patch: &PatchSeason) -> String {
    let now = patch.series.latest();
    now.map_or(String::new(), |(_, now)| range(&patch.crop, now.low, now.high))
}

fn missing(patch: &PatchSeason) -> String {
    patch.series.latest().map_or(String::new(), |(_, now)| percent(now.depletion))
}
