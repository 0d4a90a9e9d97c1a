//! Patch by patch: what stood, what was allowed, what was taken.

use super::words::number_of;
use crate::assess::season_report::{FigureId, OfPatch, PatchReport, SeasonReport};
use crate::report::hardest::part_of_allowed;
use crate::report::page::{Block, Cell, Column, Section, Table};
use crate::units::{percent, spoken_day};

pub(super) fn section(report: &SeasonReport) -> Section {
    let table = Table {
        caption: format!(
            "Each patch from {} to {}; the first number is that of the map",
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
        rows: report.patches.iter().map(row).collect(),
    };
    let how = "Standing is the crop on the last day told, with the range that holds it in some eight \
               cases of ten; below full, how much of the full crop is missing. Allowed adds up what \
               the rules together allowed on the days with a cut. The hardest cut is the largest \
               part of one day's limit that was taken; up to 5 % over a limit is put down to field \
               scales. Feet are the passes of the year up to that day, and their limit is what \
               would halve the plant cover there: a rough measure of use, not of wear.";
    let blocks = if report.patches.is_empty() {
        vec![Block::Paragraph("No patch is recorded on this site.".to_owned())]
    } else {
        vec![Block::Table(table), Block::Paragraph(how.to_owned())]
    };
    Section { id: "patches", heading: "Patch by patch".to_owned(), blocks }
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
        (days, Some(most)) => Cell::of(patch.crop().show(most))
            .under(format!("on {}", number_of(days, "day", "days"))),
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
        (people, 0) => format!("{people} person-visits"),
        (people, bare) => format!("{people} person-visits, {bare} uncounted"),
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
