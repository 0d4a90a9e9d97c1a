//! A season in one line of block characters.

use jiff::civil::Date;

use super::over_limit::is_over_limit;
use crate::pressure::{ModelledCrop, PressureDay, PressureSeries};
use crate::units::Season;

const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const UNKNOWN: char = ' ';
pub(super) const CUT: char = '^';
pub(super) const CUT_OVER_LIMIT: char = '!';
pub(super) const SURVEY: char = 'o';

/// How the days of a season fall into the cells of a line, one terminal column each.
#[derive(Clone, Copy, Debug)]
pub struct SeasonLine {
    season: Season,
    cells: usize,
}

impl SeasonLine {
    /// One cell a week.
    pub const WEEKS: usize = 52;

    pub fn new(season: Season, cells: usize) -> Self {
        Self { season, cells: cells.max(1) }
    }

    /// About how many days one cell stands for.
    pub fn days_a_cell(self) -> usize {
        (self.days() + self.cells / 2) / self.cells
    }

    /// The first letter of each month, over the cell of its first day.
    pub fn months(self) -> String {
        let firsts = self.season.days().filter(|day| day.day() == 1);
        let letters = firsts.map(|day| (self.nearest_edge(day), initial(day)));
        self.line(letters)
    }

    /// The standing crop as a part of the full crop, at the last known day of each cell.
    pub fn crop(self, series: &PressureSeries) -> String {
        let known = series.days.iter();
        let known = known.filter_map(|day| Some((self.cell(day.day)?, block(&day.crop?))));
        self.line(known)
    }

    /// A mark for each cell with a cut or a survey; the gravest where several fall together.
    pub fn marks(self, series: &PressureSeries) -> String {
        let mut marked: Vec<&PressureDay> =
            series.days.iter().filter(|day| day.cut > 0.0 || day.surveyed).collect();
        marked.sort_by_key(|day| (day.cut > 0.0, is_over_limit(day)));
        self.line(marked.into_iter().filter_map(|day| Some((self.cell(day.day)?, mark(day)))))
    }

    /// Where two fall into one cell, the later in the iteration stays.
    fn line(self, letters: impl Iterator<Item = (usize, char)>) -> String {
        let mut cells = vec![UNKNOWN; self.cells];
        for (at, letter) in letters {
            if let Some(cell) = cells.get_mut(at) {
                *cell = letter;
            }
        }
        cells.into_iter().collect()
    }

    /// The cell a day falls into; `None` before the season.
    fn cell(self, day: Date) -> Option<usize> {
        Some(self.days_before(day)? * self.cells / self.days())
    }

    /// The cell whose start is nearest to the day's.
    fn nearest_edge(self, day: Date) -> usize {
        let days = self.days();
        (self.days_before(day).unwrap_or(0) * self.cells + days / 2) / days
    }

    fn days_before(self, day: Date) -> Option<usize> {
        usize::try_from((day - self.season.first_day()).get_days()).ok()
    }

    fn days(self) -> usize {
        let span = self.season.last_day() - self.season.first_day();
        span.get_days().unsigned_abs() as usize + 1
    }
}

fn initial(day: Date) -> char {
    day.strftime("%b").to_string().chars().next().unwrap_or(UNKNOWN)
}

fn block(crop: &ModelledCrop) -> char {
    let part = if crop.full > 0.0 { (crop.standing / crop.full).clamp(0.0, 1.0) } else { 0.0 };
    let highest = BLOCKS.len() - 1;
    BLOCKS[(part * highest as f64).round() as usize]
}

fn mark(day: &PressureDay) -> char {
    match day {
        day if is_over_limit(day) => CUT_OVER_LIMIT,
        day if day.cut > 0.0 => CUT,
        _ => SURVEY,
    }
}
