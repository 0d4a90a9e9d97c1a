//! The pressure of a season week by week for the terminal: up to three lines a patch.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::by_site::by_site;
use super::layout::{left, paragraph};
use super::pressure_table::{last_day, push_named, until};
use super::sparkline::{CUT, CUT_OVER_LIMIT, SURVEY, block};
use super::steps::{MISSING, SHADES, shades_in_words, step};
use crate::assess::PatchSeason;
use crate::pressure::{PressureDay, PressureWeek};
use crate::units::{Season, Week, percent};

const GAP: &str = "  ";
const FIGURE: usize = 7;
const TOO_OLD: char = '-';

/// One column a week of the season.
#[derive(Debug)]
struct Strip {
    name: usize,
    weeks: Vec<Week>,
}

/// Every patch, grouped by site, in lines of at most `width` columns (80 or more; below that it
/// keeps to 80).
pub fn pressure_weeks(seasons: &[PatchSeason], season: Season, width: usize) -> String {
    let mut table = PressureWeeks::new(season, width);
    table.add(seasons);
    table.text()
}

/// The table as it grows, site by site: of a season only its lines are kept.
#[derive(Debug)]
pub struct PressureWeeks {
    season: Season,
    width: usize,
    strip: Strip,
    last_day: Option<Date>,
    sites: String,
}

impl PressureWeeks {
    /// An empty table, for lines of at most `width` cells, or 80 if that is more.
    pub fn new(season: Season, width: usize) -> Self {
        let width = width.max(80);
        let strip = Strip::within(width, season);
        Self { season, width, strip, last_day: None, sites: String::new() }
    }

    /// All wanted patches of some sites, which come after those added before.
    pub fn add(&mut self, seasons: &[PatchSeason]) {
        let Self { season, strip, sites, .. } = self;
        for (site, patches) in by_site(seasons) {
            push_named(sites, site.as_str(), strip.name, &[&strip.months(*season), "missing"]);
            for patch in patches {
                strip.push_patch(sites, patch);
            }
            sites.push('\n');
        }
        self.last_day = self.last_day.max(last_day(seasons));
    }

    /// The whole table with how to read it, or that there is nothing to show.
    pub fn text(self) -> String {
        let Self { season, width, last_day, sites, .. } = self;
        if sites.is_empty() {
            return paragraph(&format!("No patch to show for the season {season}."), width, "");
        }
        let until = until(last_day);
        format!(
            "Pressure week by week in the season {season}{until}\n\n{sites}{}",
            how_to_read(width)
        )
    }
}

impl Strip {
    fn within(width: usize, season: Season) -> Self {
        let weeks: Vec<Week> = season.weeks().collect();
        let name = width.saturating_sub(weeks.len() + FIGURE + 2 * GAP.len());
        Self { name, weeks }
    }

    fn push_patch(&self, text: &mut String, patch: &PatchSeason) {
        let series = &patch.series;
        let missing = series.latest().map_or("?".to_owned(), |(_, crop)| percent(crop.depletion));
        let lines = [
            (patch.patch.patch().to_owned(), self.line(patch, shade), missing),
            (format!("  {}", patch.crop.name), self.line(patch, mark), String::new()),
        ];
        for (name, weeks, figure) in lines {
            push_named(text, &name, self.name, &[&weeks, &figure]);
        }
        let came = series.days.iter().any(|day| day.feet.person_visits > 0);
        if let Some(part) = series.feet().part_of_limit.filter(|_| came) {
            push_named(text, "  feet", self.name, &[&self.line(patch, feet), &percent(part)]);
        }
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

    /// Each month's name from the week of its first day on, as far as there is room.
    fn months(&self, season: Season) -> String {
        let mut line = String::new();
        for first in season.days().filter(|day| day.day() == 1) {
            let week = Week::containing(first);
            let at = self.weeks.iter().position(|known| *known == week).unwrap_or(0);
            let _ = write!(
                line,
                "{}{}",
                " ".repeat(at.saturating_sub(line.len())),
                first.strftime("%b")
            );
        }
        left(&line, self.weeks.len())
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

fn how_to_read(width: usize) -> String {
    let shades = shades_in_words();
    let text = format!(
        "How to read it: a column is a week. In a patch's first line, how much of the full crop \
         was missing at the week's end: {shades}. Below it: {CUT} a cut, {CUT_OVER_LIMIT} a cut over its limit, {SURVEY} a survey, {TOO_OLD} the \
         survey was too old by then. Feet: a year's passes, from ▁ (few) to █ (all that the \
         ground bears); a rough measure of use, not of wear. At the end of a line, where it \
         stands now.",
    );
    paragraph(&text, width, "")
}
