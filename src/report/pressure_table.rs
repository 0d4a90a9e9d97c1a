//! The pressure of a season as a table for the terminal: two lines a patch that was cut, one for
//! each that was left alone.

use std::fmt::Write as _;

use jiff::civil::Date;
use unicode_width::UnicodeWidthStr;

use super::by_site::by_site;
use super::charge::where_allowed;
use super::layout::{left, paragraph};
use super::sparkline::{CUT, CUT_OVER_LIMIT, SURVEY, SeasonLine};
use super::steps::shades_in_words;
use crate::assess::{DayRuling, PatchSeason};
use crate::records::{Crop, PatchName};
use crate::units::{Amount, Season, counted, percent, spoken_day};

const STANDING: usize = 13;
const TAKEN: usize = 8;
const HARDEST: usize = 10;
const GAP: &str = "  ";
const SHORTEST_NAME: usize = 20;
/// So many of the most trodden patches are named.
const MOST_TRODDEN: usize = 3;

/// What gives way to the width asked for.
#[derive(Clone, Copy)]
struct Layout {
    name: usize,
    line: SeasonLine,
}

/// The fewest cells that a line of it takes; narrower, the document tells the same.
pub const PRESSURE_TABLE_WIDTH: usize = 80;

/// Every patch, grouped by site, in lines of at most `width` columns, or 80 if that is more.
pub fn pressure_table(seasons: &[PatchSeason], season: Season, width: usize) -> String {
    let mut table = PressureTable::new(season, width);
    table.add(seasons);
    table.text()
}

/// The table as it grows, site by site: of a season only its lines are kept.
#[derive(Debug)]
pub struct PressureTable {
    season: Season,
    width: usize,
    last_day: Option<Date>,
    sites: String,
    overruns: String,
    most_trodden: Vec<(f64, PatchName)>,
}

impl PressureTable {
    /// An empty table, for lines of at most `width` cells, or 80 if that is more.
    pub fn new(season: Season, width: usize) -> Self {
        Self {
            season,
            width: width.max(PRESSURE_TABLE_WIDTH),
            last_day: None,
            sites: String::new(),
            overruns: String::new(),
            most_trodden: Vec::new(),
        }
    }

    /// All wanted patches of some sites, which come after those added before.
    pub fn add(&mut self, seasons: &[PatchSeason]) {
        let layout = Layout::within(self.width, self.season);
        for (site, patches) in by_site(seasons) {
            push_named(&mut self.sites, site.as_str(), layout.name, &[&layout.line.months()]);
            let (quiet, used): (Vec<_>, Vec<_>) = patches.into_iter().partition(|it| is_quiet(it));
            for patch in used {
                push_used(&mut self.sites, patch, layout);
            }
            for patch in quiet {
                push_quiet(&mut self.sites, patch, layout, self.width);
            }
            self.sites.push('\n');
        }
        self.last_day = self.last_day.max(last_day(seasons));
        self.overruns.push_str(&overruns(seasons, self.width));
        add_trodden(&mut self.most_trodden, seasons);
    }

    /// The whole table with how to read it, or that there is nothing to show.
    pub fn text(self) -> String {
        let Self { season, width, last_day, sites, mut overruns, most_trodden } = self;
        if sites.is_empty() {
            return paragraph(&format!("No patch to show for the season {season}."), width, "");
        }
        let layout = Layout::within(width, season);
        if !overruns.is_empty() {
            overruns.push('\n');
        }
        let trodden = most_trodden_told(&most_trodden);
        let trodden = trodden.map_or(String::new(), |text| paragraph(&text, width, "") + "\n");
        let how_to_read = how_to_read(layout.line, width);
        [heading(last_day, season, layout), sites, overruns, trodden, how_to_read].concat()
    }
}

impl Layout {
    fn within(width: usize, season: Season) -> Self {
        let fixed = STANDING + TAKEN + HARDEST + 4 * GAP.len();
        let free = width.saturating_sub(fixed);
        let finenesses = (SeasonLine::COARSEST..=SeasonLine::FINEST).rev();
        let mut lines = finenesses.map(|cells| SeasonLine::new(season, cells));
        let line = lines
            .find(|line| line.width() + SHORTEST_NAME <= free)
            .unwrap_or(SeasonLine::new(season, SeasonLine::COARSEST));
        Self { name: free.saturating_sub(line.width()), line }
    }
}

fn heading(last_day: Option<Date>, season: Season, layout: Layout) -> String {
    let mut text = format!("Pressure in the season {season}{}\n\n", until(last_day));
    let (name, cells) = (layout.name, layout.line.width());
    let mut heads = |name_head: &str, line_head: &str, heads: [&str; 3]| {
        let [standing, taken, hardest] = heads;
        let cells = [
            left(name_head, name),
            left(line_head, cells),
            left(standing, STANDING),
            left(taken, TAKEN),
            hardest.to_owned(),
        ];
        push_line(&mut text, &cells.each_ref().map(String::as_str));
    };
    heads("patch", "missing of full crop", ["standing", "taken", "hardest"]);
    heads("  crop", "cuts, surveys", ["likely range", "visits", "missing"]);
    text.push('\n');
    text
}

/// The last day on which any is told.
pub(super) fn last_day(seasons: &[PatchSeason]) -> Option<Date> {
    seasons.iter().filter_map(|patch| Some(patch.series.days.last()?.day)).max()
}

/// `, to 15 Mar 2027`, after the name of a season that has begun.
pub(super) fn until(last_day: Option<Date>) -> String {
    last_day.map_or(String::new(), |day| format!(", to {}", spoken_day(day)))
}

/// Nobody cut it.
pub(super) fn is_quiet(patch: &PatchSeason) -> bool {
    patch.visits == 0 && patch.series.total_cut() <= 0.0
}

fn push_used(table: &mut String, patch: &PatchSeason, Layout { name, line }: Layout) {
    let crop = &patch.crop;
    let now = patch.series.latest().map(|(_, crop)| crop);
    let range = now.map_or(String::new(), |now| range(crop, now.low, now.high));
    let missing = now.map_or(String::new(), |now| percent(now.depletion));
    let first = [
        &line.missing(&patch.series),
        &left(&standing(patch), STANDING),
        &left(&crop.show(patch.series.total_cut()), TAKEN),
        &hardest(patch),
    ];
    push_named(table, patch.patch.patch(), name, &first.map(String::as_str));
    let second = [
        &line.marks(&patch.series),
        &left(&range, STANDING),
        &left(&counted(patch.visits, "visit"), TAKEN),
        &missing,
    ];
    push_named(table, &format!("  {}", crop.name), name, &second.map(String::as_str));
}

/// What stands there, and what it is.
fn push_quiet(table: &mut String, patch: &PatchSeason, layout: Layout, width: usize) {
    let Layout { name, line } = layout;
    let cells = [&line.missing(&patch.series), &left(&standing(patch), STANDING)];
    let room = width - name - line.width() - STANDING - 3 * GAP.len();
    let crop = &*patch.crop.name;
    match crop.width() <= room {
        true => {
            let cells = [cells[0].as_str(), cells[1], crop];
            push_named(table, patch.patch.patch(), name, &cells);
        }
        false => {
            push_named(table, patch.patch.patch(), name, &cells.map(String::as_str));
            push_line(table, &[&format!("  {crop}")]);
        }
    }
}

pub(super) fn standing(patch: &PatchSeason) -> String {
    let now = patch.series.latest().map(|(_, crop)| crop);
    now.map_or("not known".to_owned(), |now| patch.crop.show(now.standing))
}

/// A name that is too long for its column stands on a line of its own.
pub(super) fn push_named(table: &mut String, name: &str, room: usize, cells: &[&str]) {
    let mut beside = left(name, room);
    if name.width() > room {
        push_line(table, &[name]);
        beside = " ".repeat(room);
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            return;
        }
    }
    let all: Vec<&str> = [&*beside].into_iter().chain(cells.iter().copied()).collect();
    push_line(table, &all);
}

/// The hardest cut as a part of what was allowed that day.
pub(super) fn hardest(patch: &PatchSeason) -> String {
    match patch.hardest() {
        None if patch.visits > 0 => "no limit".to_owned(),
        None => "-".to_owned(),
        Some((_, part)) if part.is_infinite() => "OVER, of 0".to_owned(),
        Some((ruling, part)) if ruling.take.is_over() => format!("{} OVER", percent(part)),
        Some((_, part)) => percent(part),
    }
}

/// `0.9–1.6 kg`, the unit once where both ends have the same; counts without it.
pub(super) fn range(crop: &Crop, low: f64, high: f64) -> String {
    let [low, high] = [low, high].map(|value| Amount { value, measure: crop.measure }.to_string());
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number}–{high}"),
        _ => format!("{low}–{high}"),
    }
}

fn overruns(seasons: &[PatchSeason], width: usize) -> String {
    let lines = seasons
        .iter()
        .flat_map(|patch| patch.overruns().map(|day| paragraph(&overrun(patch, day), width, "")));
    lines.collect()
}

pub(super) fn overrun(patch: &PatchSeason, ruling: &DayRuling) -> String {
    format!(
        "Over the limit: {} on {}, {} cut {}.",
        patch.patch,
        spoken_day(ruling.day),
        patch.crop.show(ruling.take.taken),
        where_allowed(ruling, &patch.crop)
    )
}

/// What part of the ground's limit feet come to, where any came.
fn trodden(patch: &PatchSeason) -> Option<(f64, PatchName)> {
    let part = patch.series.feet().part_of_limit.filter(|part| *part > 0.0)?;
    Some((part, patch.patch.clone()))
}

/// Keeps the few patches that feet press most.
pub(super) fn add_trodden(most: &mut Vec<(f64, PatchName)>, seasons: &[PatchSeason]) {
    most.extend(seasons.iter().filter_map(trodden));
    most.sort_by(|a, b| b.0.total_cmp(&a.0));
    most.truncate(MOST_TRODDEN);
}

/// The few patches that feet press most; `None` where nobody came.
pub(super) fn most_trodden_told(trodden: &[(f64, PatchName)]) -> Option<String> {
    let named: Vec<String> =
        trodden.iter().map(|(part, patch)| format!("{patch} {}", percent(*part))).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Most trodden: {} of what the ground there bears in a year; a rough measure of use, \
             not of wear.",
            named.join(", ")
        )
    })
}

fn how_to_read(line: SeasonLine, width: usize) -> String {
    let text = format!(
        "How to read it: each cell is {}, and shows how much of the full crop was missing: {}. \
         Under it: {CUT} a cut, {CUT_OVER_LIMIT} a cut over its limit, {SURVEY} a survey. A patch \
         of one line was not cut. The likely range holds the crop in some eight cases of ten. The \
         hardest cut is given as a part of what all rules together allowed that day; missing is \
         how much of the full crop is missing now.",
        line.cell_in_words(),
        shades_in_words(),
    );
    paragraph(&text, width, "")
}

/// Without the blanks behind the last cell.
fn push_line(table: &mut String, cells: &[&str]) {
    let line = cells.join(GAP);
    let _ = writeln!(table, "{}", line.trim_end());
}
