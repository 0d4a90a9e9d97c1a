//! Patch by patch: what stood, what was allowed, what was taken.

use super::condition;
use super::years;
use crate::assess::season_report::{FigureId, OfPatch, PatchReport, SeasonReport};
use crate::crop::Trend;
use crate::report::hardest::part_of_allowed;
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::units::{counted, percent, spoken_day};

/// Whether there is something to say of a patch: it was cut, stands far below its full crop, is
/// trodden out, or gains or loses from year to year.
pub(super) fn is_told(patch: &PatchReport) -> bool {
    !patch.cut_days().is_empty() || is_amiss(patch)
}

fn is_amiss(patch: &PatchReport) -> bool {
    let moves = matches!(patch.evidence.trend, Trend::Declining(_) | Trend::Rising(_));
    moves || condition::is_worn(patch) || patch.feet().is_at_limit()
}

/// A cut that took less of its day's limit leaves nothing to look at through the season: our own
/// choice, no source.
const PRESSED: f64 = 0.9;

/// Whether the course of its season is worth a drawing of its own.
pub(super) fn is_pressed(patch: &PatchReport) -> bool {
    let hard = patch.season.hardest().is_some_and(|(_, part)| part > PRESSED);
    hard || is_amiss(patch)
}

pub(super) fn section(report: &SeasonReport) -> Section {
    let (told, quiet): (Vec<&PatchReport>, Vec<&PatchReport>) =
        report.patches.iter().partition(|patch| is_told(patch));
    let mut blocks = Vec::new();
    if !told.is_empty() {
        blocks.extend([Block::Table(table(report, &told)), Block::Note(HOW.to_owned())]);
    }
    if !quiet.is_empty() {
        let heading = if told.is_empty() { "All are quiet" } else { "The quiet ones" };
        blocks.push(Block::Subheading(format!("{heading}: nothing was cut, and nothing is amiss")));
        blocks.push(Block::Columns(quiet.into_iter().map(in_a_line).collect()));
    }
    if blocks.is_empty() {
        blocks.push(Block::Paragraph("No patch is recorded on this site.".to_owned()));
    }
    blocks.extend(years::blocks(report));
    Section { id: "patches", heading: "Patch by patch".to_owned(), blocks }
}

const HOW: &str = "Standing is the crop on the last day told, with the range that holds it in some \
    eight cases of ten; below full, how much of the full crop is missing. The limit of a day is the \
    lower of what was agreed and what the patch can bear: the most that its share, its season, its \
    surveys, the codes of practice and the ground underfoot let it give. Allowed adds up the limits \
    of the days with a cut; the hardest cut is the largest part of one that was taken, where up to \
    5 % over is put down to field scales. Feet are the passes of the year up to that day, and their \
    limit is what would halve the plant cover there: a rough measure of use, not of wear.";

fn table(report: &SeasonReport, patches: &[&PatchReport]) -> Table {
    Table {
        caption: format!(
            "Each patch with something to say, from {} to {}; the first number is that of the map",
            spoken_day(report.span.from()),
            spoken_day(report.span.to)
        ),
        columns: vec![
            Column::words("Patch"),
            Column::figures("Standing"),
            Column::figures("Below full"),
            Column::figures("Allowed"),
            Column::figures("Taken"),
            Column::figures("Visits"),
            Column::figures("Hardest cut"),
            Column::figures("Feet in a year"),
        ],
        rows: patches.iter().map(|patch| row(patch)).collect(),
    }
}

/// `5 Garden nettles, Common nettle, tops: 24.5 kg, 97 % of the full crop`.
fn in_a_line(patch: &PatchReport) -> String {
    let crop = patch.crop();
    let stands = match patch.season.series.latest() {
        Some((_, now)) => format!(
            "{}, {} of the full crop",
            crop.show(now.standing),
            percent(1.0 - now.depletion)
        ),
        None => "not measured yet".to_owned(),
    };
    format!("{} {} ({}): {stands}", patch.number, patch.name(), crop.common_name)
}

fn row(patch: &PatchReport) -> Vec<Cell> {
    let crop = patch.crop();
    let id = |figure| FigureId::Patch(patch.number, figure).to_string();
    let now = patch.season.series.latest().map(|(_, now)| now);
    let stands = match &now {
        Some(now) => Cell::of(crop.show(now.standing)).under(format!(
            "{} to {}",
            crop.show(now.low),
            crop.show(now.high)
        )),
        None => Cell::of("not known"),
    };
    let below = match &now {
        Some(now) => Cell::of(percent(now.depletion)).under(format!("of {}", crop.show(now.full))),
        None => Cell::of("–"),
    };
    vec![
        Cell::of(format!("{} {}", patch.number, patch.name())).under(&*crop.common_name),
        stands.id(id(OfPatch::Stood)),
        below.id(id(OfPatch::BelowFull)),
        allowed(patch).id(id(OfPatch::Allowed)),
        taken(patch).id(id(OfPatch::Taken)),
        visits(patch).id(id(OfPatch::Visits)),
        hardest(patch).id(id(OfPatch::Hardest)),
        feet(patch).id(id(OfPatch::Feet)),
    ]
}

fn allowed(patch: &PatchReport) -> Cell {
    match (patch.cut_days().len(), patch.allowed()) {
        (0, _) => Cell::of("–"),
        (days, Some(most)) => {
            Cell::of(patch.crop().show(most)).under(format!("on {}", counted(days, "day")))
        }
        (_, None) => Cell::of("no limit"),
    }
}

fn taken(patch: &PatchReport) -> Cell {
    if patch.cut_days().is_empty() {
        return Cell::of("nothing");
    }
    let cell = Cell::of(patch.crop().show(patch.taken()));
    match patch.allowed() {
        Some(most) if most > 0.0 => cell.under(format!("{} of it", percent(patch.taken() / most))),
        _ => cell,
    }
}

fn visits(patch: &PatchReport) -> Cell {
    let season = &patch.season;
    let people = match (season.person_visits, season.visits_without_people) {
        (0, 0) => String::new(),
        (0, _) => "nobody counted".to_owned(),
        (people, 0) => format!("{people} people"),
        (people, bare) => format!("{people}, {bare} uncounted"),
    };
    Cell::of(season.visits.to_string()).under(people)
}

fn hardest(patch: &PatchReport) -> Cell {
    match patch.season.hardest() {
        Some((cut, part)) => {
            Cell::of(part_of_allowed(part)).under(spoken_day(cut.day)).marked(cut.take.is_over())
        }
        None => Cell::of("–"),
    }
}

fn feet(patch: &PatchReport) -> Cell {
    match patch.feet().part_of_limit {
        Some(part) => {
            Cell::of(percent(part)).under("of its limit").marked(patch.feet().is_at_limit())
        }
        None if patch.season.ground.is_some() => Cell::of("–").under("feet wear nothing"),
        None => Cell::of("–").under("not counted"),
    }
}
