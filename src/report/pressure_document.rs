//! The pressure of a season as a document: a table a site, with its pictures on a page.

use jiff::civil::Date;

use super::by_site::by_site;
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::pressure_table::{
    add_trodden, hardest, is_quiet, last_day, most_trodden_told, overrun, range, standing, until,
};
use super::season::drawn_through;
use crate::assess::PatchSeason;
use crate::records::PatchName;
use crate::report::plot::PlotError;
use crate::units::{Season, percent};

/// The document as it grows, site by site: of a season only its rows and pictures are kept.
#[derive(Debug)]
pub struct PressureDocument {
    season: Season,
    last_day: Option<Date>,
    sections: Vec<Section>,
    drawings: usize,
    overruns: Vec<String>,
    most_trodden: Vec<(f64, PatchName)>,
}

impl PressureDocument {
    /// Without any patch yet.
    pub fn new(season: Season) -> Self {
        Self {
            season,
            last_day: None,
            sections: Vec::new(),
            drawings: 0,
            overruns: Vec::new(),
            most_trodden: Vec::new(),
        }
    }

    /// All wanted patches of some sites, which come after those added before.
    pub fn add(&mut self, seasons: &[PatchSeason]) {
        for (site, mut patches) in by_site(seasons) {
            patches.sort_by_key(|patch| is_quiet(patch));
            let table = table(&patches);
            let heading = site.to_string();
            self.sections.push(Section { id: "site", heading, blocks: vec![Block::Table(table)] });
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
            let drawings = drawn_through(site, &patches, self.season, on, 1 + self.drawings)?;
            self.drawings += drawings.len();
            if let Some(section) = self.sections.last_mut() {
                section.blocks.extend(drawings.into_iter().map(Block::Drawing));
            }
        }
        Ok(())
    }

    /// All that was added, or that there is nothing to show.
    pub fn document(self) -> Document {
        let Self { season, last_day, mut sections, overruns, most_trodden, .. } = self;
        if sections.is_empty() {
            let said = format!("No patch to show for the season {season}.");
            sections.push(Section::said(said));
        } else {
            sections.extend(Section::list("over", "Over the limit", overruns));
            sections.extend(most_trodden_told(&most_trodden).map(Section::said));
            sections.push(Section::said(HOW_TO_READ.to_owned()));
        }
        Document {
            title: format!("Pressure in the season {season}{}", until(last_day)),
            kind: "Pressure",
            lead: String::new(),
            sections,
            foot: Vec::new(),
        }
    }
}

const HOW_TO_READ: &str = "The likely range holds the crop in some eight cases of ten. The hardest \
    cut is given as a part of what all rules together allowed that day; missing is how much of the \
    full crop is missing now.";

fn table(patches: &[&PatchSeason]) -> Table {
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::figures("standing"),
        Column::figures("likely range"),
        Column::figures("missing"),
        Column::figures("visits"),
        Column::figures("taken"),
        Column::figures("hardest"),
    ];
    let caption = "What stands by now, and what was cut".to_owned();
    Table { caption, columns, rows: patches.iter().map(|patch| row(patch)).collect() }
}

/// Of what nobody came to cut no cut is told.
fn row(patch: &PatchSeason) -> Vec<Cell> {
    let crop = &patch.crop;
    let now = patch.series.latest().map(|(_, crop)| crop);
    let cut = |said: String| if is_quiet(patch) { String::new() } else { said };
    let texts = [
        patch.patch.patch().to_owned(),
        crop.name.to_string(),
        standing(patch),
        now.map_or(String::new(), |now| range(crop, now.low, now.high)),
        now.map_or(String::new(), |now| percent(now.depletion)),
        cut(patch.visits.to_string()),
        cut(crop.show(patch.series.total_cut())),
        cut(hardest(patch)),
    ];
    let is_over = patch.overruns().next().is_some();
    let cells = texts.into_iter().enumerate();
    cells.map(|(n, text)| Cell::of(text).marked(is_over && n == 7)).collect()
}
