//! A rehearsed season as one picture: for each patch the part of its undisturbed twin that
//! stands, as a fan over all runs.

use jiff::civil::Date;

use super::course::part_of;
use super::dress::{Dress, Words, accessible};
use super::ink;
use super::layout::{Frame, PAGE_WIDTH, head_line, height_for, key_place};
use super::panel::{FIGURES_RISE, PATCH_RISE, draw_months};
use super::pen::{Anchor, Drawn, Pen, Place, PlotError};
use super::whole::bound;
use crate::rehearsal::{Outcome, PatchOutcome};
use crate::report::rehearsal_words::in_100;
use crate::units::{Season, agreeing, percent};

/// The top of the scale, a little over the whole twin, and its grid.
const TOP: f64 = 1.1;
const GRID: [f64; 3] = [0.0, 0.5, 1.0];
/// Below this part of its twin a patch dips.
const HALF: f64 = 0.5;
const TITLE_LINE: f64 = 24.0;
const LEAD_LINE: f64 = 42.0;
const KEY_LINE: f64 = 68.0;
/// Its key takes a line where those of other plots take three, and its panels stand that much higher.
const RISE: f64 = 32.0;
const SAMPLE: f64 = 20.0;
const WORDS: f64 = 26.0;
const LEVEL: f64 = 3.0;
const FIGURE_GAP: f64 = 5.0;

/// A patch that in nine of ten seasons keeps this part of its twin does not move.
const STILL: f64 = 0.95;
/// Where none moves, so many of the lowest are drawn all the same.
const LEAST_DRAWN: usize = 4;

/// An SVG with a panel for each patch that is cut and moves, what dips most often first.
///
/// # Errors
/// The drawing library's own, which a drawing into memory has no cause for.
pub fn rehearsal_svg(outcome: &Outcome, season: Season, from: Date) -> Result<String, PlotError> {
    let cut = outcome.patches.iter().filter(|patch| patch.is_cut());
    let mut patches: Vec<&PatchOutcome> = cut.collect();
    patches.sort_by(|a, b| {
        b.dips.hits.cmp(&a.dips.hits).then_with(|| a.lowest().total_cmp(&b.lowest()))
    });
    let words = words(outcome, &patches, season);
    patches.truncate(drawn(&patches));
    let (width, height) = (PAGE_WIDTH, height_for(patches.len()) - RISE);
    let mut drawing = String::new();
    {
        let pen = Pen::on(&mut drawing, width, height)?;
        draw_head(&pen, &words)?;
        for (slot, patch) in patches.iter().enumerate() {
            let frame = Frame::at(slot);
            let (top, bottom) = (frame.top - RISE, frame.bottom - RISE);
            let frame = Frame { top, bottom, floor: bottom, ..frame };
            Fan { pen: &pen, frame, season, from, weeks: &outcome.weeks }.draw(patch)?;
        }
        pen.finish()?;
    }
    Ok(accessible(&drawing, &Dress { words: &words, width, height }))
}

/// How many of them, the worst first.
fn drawn(patches: &[&PatchOutcome]) -> usize {
    let moves = |patch: &&&PatchOutcome| patch.dips.hits > 0 || patch.lowest() < STILL;
    patches.iter().take_while(moves).count().max(patches.len().min(LEAST_DRAWN))
}

fn words(outcome: &Outcome, patches: &[&PatchOutcome], season: Season) -> Words {
    let left_out = match patches.len() - drawn(patches) {
        0 => String::new(),
        n => {
            let still = agreeing(n, "patch that hardly moves", "patches that hardly move");
            format!(" Not drawn: {n} {still}.")
        }
    };
    let lead = format!(
        "The part of its undisturbed twin that stands on each patch, over {} seasons that might \
         be.{left_out}",
        outcome.runs
    );
    let each = patches.iter().map(|patch| {
        let (name, crop) = (patch.patch.patch(), &patch.crop.common_name);
        format!(" {name} ({crop}): {}.", figures(patch))
    });
    let description = lead.clone() + &each.collect::<String>();
    let title = format!("Rehearsal of the season {season}");
    Words { id: "rehearsal".to_owned(), title, lead, description, on_page: false }
}

/// `dips in 3.1 of 100, low 44 %`: the tenth lowest of a hundred seasons.
fn figures(patch: &PatchOutcome) -> String {
    if patch.is_invasive() {
        return "invasive: no limit".to_owned();
    }
    format!("dips in {} of 100, low {}", in_100(patch.dips), percent(patch.lowest()))
}

fn draw_head(pen: &Pen, words: &Words) -> Drawn {
    pen.text(&words.title, head_line(TITLE_LINE), ink::TITLE, Anchor::Start)?;
    pen.text(&words.lead, head_line(LEAD_LINE), ink::LEAD, Anchor::Start)?;
    let key = ["the middle of all seasons", "half of them", "8 in 10", "half of the twin: a dip"];
    for (n, words) in key.into_iter().enumerate() {
        let (x, y) = key_place(n, KEY_LINE);
        let line = [(x, y - 3.0), (x + SAMPLE, y - 3.0)];
        let block = [(x, y - 7.0), (x + SAMPLE, y - 7.0), (x + SAMPLE, y + 1.0), (x, y + 1.0)];
        match n {
            0 => pen.line(&line, ink::CROP_LINE)?,
            1 => pen.fill(&block, ink::INNER_BAND)?,
            2 => pen.fill(&block, ink::BAND)?,
            _ => pen.dashes(&line, ink::LIMIT_LINE, ink::LIMIT_DASH)?,
        }
        pen.text(words, (x + WORDS, y), ink::KEY, Anchor::Start)?;
    }
    Ok(())
}

/// One panel.
struct Fan<'a, 'p> {
    pen: &'a Pen<'p>,
    frame: Frame,
    season: Season,
    from: Date,
    weeks: &'a [Date],
}

impl Fan<'_, '_> {
    fn draw(&self, patch: &PatchOutcome) -> Drawn {
        self.draw_titles(patch)?;
        self.draw_grid()?;
        let edge = |quantile: usize| -> Vec<Place> {
            let start = (self.frame.across(part_of(self.season, self.from)), self.up(1.0));
            let weeks = self.weeks.iter().zip(&patch.fan);
            let places = weeks.map(|(day, fan)| self.place(*day, fan[quantile]));
            std::iter::once(start).chain(places).collect()
        };
        let band = |low: usize, high: usize| -> Vec<Place> {
            edge(low).into_iter().chain(edge(high).into_iter().rev()).collect()
        };
        self.pen.fill(&band(0, 4), ink::BAND)?;
        self.pen.fill(&band(1, 3), ink::INNER_BAND)?;
        self.pen.line(&edge(2), ink::CROP_LINE)?;
        let half = self.up(HALF);
        let ends = [(self.frame.left, half), (self.frame.right, half)];
        self.pen.dashes(&ends, ink::LIMIT_LINE, ink::LIMIT_DASH)?;
        draw_months(self.pen, &self.frame, self.season)
    }

    fn draw_titles(&self, patch: &PatchOutcome) -> Drawn {
        let frame = &self.frame;
        let line = |text: &str, rise: f64, lettering: ink::Type| {
            let text = bound(text, frame.right - frame.edge, lettering);
            self.pen.text(&text, (frame.edge, frame.top - rise), lettering, Anchor::Start)
        };
        let title = format!("{}, {}", patch.patch.patch(), patch.crop.name);
        line(&title, PATCH_RISE, ink::PATCH)?;
        line(&figures(patch), FIGURES_RISE, ink::FIGURES)
    }

    fn draw_grid(&self) -> Drawn {
        for part in GRID {
            let y = self.up(part);
            self.pen.line(&[(self.frame.left, y), (self.frame.right, y)], ink::GRID_LINE)?;
            let at = (self.frame.left - FIGURE_GAP, y + LEVEL);
            self.pen.text(&percent(part), at, ink::TICK, Anchor::End)?;
        }
        Ok(())
    }

    fn place(&self, day: Date, part: f64) -> Place {
        (self.frame.across(part_of(self.season, day)), self.up(part))
    }

    fn up(&self, part: f64) -> f64 {
        self.frame.up((part / TOP).min(1.0))
    }
}
