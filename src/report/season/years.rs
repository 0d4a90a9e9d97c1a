//! Year beside year: what each patch gave and how it stood, season by season.

use super::before::span_named;
use crate::assess::season_report::{PatchYear, PatchYears, SeasonReport};
use crate::report::page::{Cell, Column, Table};
use crate::report::years::{amounts, people};
use crate::units::counted;

/// `None` where there is but one season to tell of, or nothing was ever cut.
pub(super) fn table(report: &SeasonReport) -> Option<Table> {
    let years = &report.years;
    let was_cut = |patch: &&PatchYears| patch.told.iter().any(|told| told.days > 0);
    let rows: Vec<Vec<Cell>> = years.patches.iter().filter(was_cut).map(row).collect();
    (years.spans.len() > 1 && !rows.is_empty()).then(|| Table {
        caption:
            "Year beside year, each season to the same day: what was taken, and under it what \
                  stood on that day, with its range, and who came; patches that were cut in any of \
                  them"
                .to_owned(),
        columns: std::iter::once(Column::words("Patch"))
            .chain(years.spans.iter().map(|span| Column::headed(span_named(*span))))
            .collect(),
        rows,
    })
}

fn row(patch: &PatchYears) -> Vec<Cell> {
    let name = Cell::of(patch.patch.patch()).under(&*patch.crop.common_name);
    std::iter::once(name).chain(patch.told.iter().map(|told| cell(patch, told))).collect()
}

fn cell(patch: &PatchYears, told: &PatchYear) -> Cell {
    let (taken, stood, range) = amounts(patch, told);
    let taken = if told.days == 0 { "nothing taken".to_owned() } else { taken };
    let stood = match range.as_str() {
        "" => "standing crop not known".to_owned(),
        range => format!("{stood} stood ({range})"),
    };
    let came = match told.days {
        0 => String::new(),
        days => format!("; {}, {} people", counted(days, "day"), people(told)),
    };
    Cell::of(taken).under(format!("{stood}{came}"))
}
