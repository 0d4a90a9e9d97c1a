//! A season in one line of shades.

use jiff::civil::Date;

use super::steps::{MISSING, SHADES, step};
use crate::pressure::{ModelledCrop, PressureDay, PressureSeries};
use crate::units::Season;

const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const UNKNOWN: char = ' ';
pub(super) const CUT: char = '^';
pub(super) const CUT_OVER_LIMIT: char = '!';
pub(super) const SURVEY: char = 'o';

const MONTHS: usize = 12;
/// September.
const FIRST_MONTH: usize = 9;

/// How the days of a season fall into the cells of a line, one terminal column each. Every
/// month has as many.
#[derive(Clone, Copy, Debug)]
pub struct SeasonLine {
    season: Season,
    cells_a_month: usize,
}

impl SeasonLine {
    /// Cells of about a week.
    pub const FINEST: usize = 4;
    /// Fewer, and the letters of the months would touch.
    pub const COARSEST: usize = 2;

    /// A line of so many cells a month, one at least.
    pub fn new(season: Season, cells_a_month: usize) -> Self {
        Self { season, cells_a_month: cells_a_month.max(1) }
    }

    /// How many cells a line takes.
    pub fn width(self) -> usize {
        MONTHS * self.cells_a_month
    }

    /// The first letter of each month, over the cell of its first day.
    pub fn months(self) -> String {
        let firsts = self.season.days().filter(|day| day.day() == 1);
        self.line(firsts.filter_map(|day| Some((self.cell(day)?, initial(day)))))
    }

    /// How much of the full crop was missing, at the last known day of each cell.
    pub fn missing(self, series: &PressureSeries) -> String {
        let shade = |crop: ModelledCrop| SHADES[step(crop.depletion, &MISSING)];
        let known = series.days.iter();
        let known = known.filter_map(|day| Some((self.cell(day.day)?, shade(day.crop?))));
        self.line(known)
    }

    /// A mark for each cell with a cut or a survey; the gravest where several fall together.
    pub fn marks(self, series: &PressureSeries) -> String {
        let mut marked: Vec<&PressureDay> =
            series.days.iter().filter(|day| day.cut > 0.0 || day.surveyed).collect();
        marked.sort_by_key(|day| (day.cut > 0.0, day.is_over()));
        self.line(marked.into_iter().filter_map(|day| Some((self.cell(day.day)?, mark(day)))))
    }

    /// Where two fall into one cell, the later in the iteration stays.
    fn line(self, letters: impl Iterator<Item = (usize, char)>) -> String {
        let mut cells = vec![UNKNOWN; self.width()];
        for (at, letter) in letters {
            if let Some(cell) = cells.get_mut(at) {
                *cell = letter;
            }
        }
        cells.into_iter().collect()
    }

    /// `None` outside the season.
    fn cell(self, day: Date) -> Option<usize> {
        let month = usize::try_from(day.month()).ok()? + MONTHS - FIRST_MONTH;
        let days_before = usize::try_from(day.day()).ok()?.checked_sub(1)?;
        let days = usize::try_from(day.days_in_month()).ok()?;
        let cell = (month % MONTHS) * self.cells_a_month + days_before * self.cells_a_month / days;
        self.season.contains(day).then_some(cell)
    }
}

fn initial(day: Date) -> char {
    day.strftime("%b").to_string().chars().next().unwrap_or(UNKNOWN)
}

/// The lowest block for nothing or less, the highest for 1 or more.
pub(super) fn block(part: f64) -> char {
    let highest = BLOCKS.len() - 1;
    BLOCKS[(part.clamp(0.0, 1.0) * highest as f64).round() as usize]
}

fn mark(day: &PressureDay) -> char {
    match day {
        day if day.is_over() => CUT_OVER_LIMIT,
        day if day.cut > 0.0 => CUT,
        _ => SURVEY,
    }
}
