//! A season as a strip of letters: what was missing of the crop, what was cut, who came.

use std::fmt::Write as _;

use super::page::{Block, Cell, Column};
use super::sparkline::{CUT, CUT_OVER_LIMIT, SURVEY, SeasonLine, block};
use super::steps::{MISSING, SHADES, shades_in_words, step};
use crate::assess::PatchSeason;
use crate::pressure::{PressureDay, PressureWeek};
use crate::units::{Season, Week};

const TOO_OLD: char = '-';

/// Strips of one season, in as many sizes as there may be room for.
#[derive(Debug)]
pub struct SeasonStrip {
    season: Season,
    /// Of a strip of weeks, the largest of all; empty where there is none.
    weeks: Vec<Week>,
}

impl SeasonStrip {
    /// Of quarters of months and less.
    pub fn in_short(season: Season) -> Self {
        Self { season, weeks: Vec::new() }
    }

    /// Of weeks, and less where there is no room for them.
    pub fn by_week(season: Season) -> Self {
        Self { season, weeks: season.weeks().collect() }
    }

    /// The season that it is a strip of.
    pub fn season(&self) -> Season {
        self.season
    }

    /// Whether it shows weeks where it has room.
    pub fn is_by_week(&self) -> bool {
        !self.weeks.is_empty()
    }

    /// Under the names of the months.
    pub fn column(&self) -> Column {
        let weeks = self.is_by_week().then(|| self.months());
        Column::strip(weeks.into_iter().chain(self.lines().map(SeasonLine::months)).collect())
    }

    /// Of a patch; a line of which nothing is to be told is left out, if it is none of the first.
    pub fn cell(&self, patch: &PatchSeason) -> Cell {
        let weeks = self.is_by_week().then(|| {
            let lines = [shade, mark, feet].map(|letter| self.line(patch, letter));
            let told = if lines[2].trim().is_empty() { 2 } else { 3 };
            lines.into_iter().take(told).collect()
        });
        let series = &patch.series;
        let short = self.lines().map(|line| vec![line.missing(series), line.marks(series)]);
        Cell::strip(weeks.into_iter().chain(short).collect())
    }

    fn lines(&self) -> impl Iterator<Item = SeasonLine> + use<> {
        let season = self.season;
        let finest_first = (SeasonLine::COARSEST..=SeasonLine::FINEST).rev();
        finest_first.map(move |cells| SeasonLine::new(season, cells))
    }

    fn line(&self, patch: &PatchSeason, letter: fn(&PressureWeek) -> Option<char>) -> String {
        let mut cells = vec![' '; self.weeks.len()];
        for week in patch.series.weeks() {
            let at = self.weeks.iter().position(|known| *known == week.week);
            if let Some((cell, letter)) = at.and_then(|n| cells.get_mut(n)).zip(letter(&week)) {
                *cell = letter;
            }
        }
        cells.into_iter().collect()
    }

    /// Each month's name from the week of its first day on.
    fn months(&self) -> String {
        let mut line = String::new();
        for first in self.season.days().filter(|day| day.day() == 1) {
            let week = Week::containing(first);
            let at = self.weeks.iter().position(|known| *known == week).unwrap_or(0);
            let gap = " ".repeat(at.saturating_sub(line.len()));
            let _ = write!(line, "{gap}{}", first.strftime("%b"));
        }
        line
    }
}

fn shade(week: &PressureWeek) -> Option<char> {
    Some(SHADES[step(week.end()?.crop?.depletion, &MISSING)])
}

/// The gravest of what happened; else whether the survey was too old.
fn mark(week: &PressureWeek) -> Option<char> {
    let too_old = week.end().and_then(|day| day.crop).is_some_and(|crop| !crop.survey_holds);
    match week {
        week if week.days.iter().any(PressureDay::is_over) => Some(CUT_OVER_LIMIT),
        week if week.cuts().next().is_some() => Some(CUT),
        week if week.days.iter().any(|day| day.surveyed) => Some(SURVEY),
        _ => too_old.then_some(TOO_OLD),
    }
}

fn feet(week: &PressureWeek) -> Option<char> {
    let part = week.end()?.feet.part_of_limit?;
    (part > 0.0).then(|| block(part))
}

/// What the strips mean, on a terminal, and the figures beside them.
pub(super) fn how_to_read(strip: &SeasonStrip) -> Vec<Block> {
    let shades = shades_in_words();
    let said = match strip.is_by_week() {
        true => format!(
            "How to read it: a column is a week, or more where there is less room. In a patch's \
             first line, how much of the full crop was missing at its end: {shades}. Below it: \
             {CUT} a cut, {CUT_OVER_LIMIT} a cut over its limit, {SURVEY} a survey, {TOO_OLD} the \
             survey was too old by then. Below that the feet: a year's passes, from ▁ (few) to █ \
             (all that the ground bears)."
        ),
        false => format!(
            "How to read it: a letter is a quarter of a month, or more where there is less room, \
             and shows how much of the full crop was missing: {shades}. Under it: {CUT} a cut, \
             {CUT_OVER_LIMIT} a cut over its limit, {SURVEY} a survey."
        ),
    };
    let figures = if strip.is_by_week() { OF_WEEKS } else { OF_FIGURES };
    let letters = vec![Block::Paragraph(format!("{said} {figures}"))];
    vec![Block::Either { letters, page: vec![Block::Paragraph(figures.to_owned())] }]
}

const OF_WEEKS: &str = "The figures tell how much of the full crop is missing now, and how much of \
    what the ground bears in a year was trodden: a rough measure of use, not of wear.";
const OF_FIGURES: &str = "The likely range holds the crop in some eight cases of ten. The hardest \
    cut is given as a part of what all rules together allowed that day; missing is how much of the \
    full crop is missing now.";
