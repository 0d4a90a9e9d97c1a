//! What the leader writes down at each stop before leaving it.

use maud::{Markup, html};

use super::WalkSheet;
use super::before::{day_blanks, is_on_the_shore};
use super::blank::{Blank, blanks};
use crate::report::page::{Cell, Column, Table, section, table};

#[derive(Debug)]
pub(super) struct Afterwards {
    table: Table,
    rest: Vec<Blank>,
}

const COLUMNS: [Column; 5] = [
    Column::words("Stop"),
    Column::words("At most"),
    Column::words("Taken by all"),
    Column::words("Left, by eye"),
    Column::words("Ground worn?"),
];

impl Afterwards {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        let stops = sheet.briefing.stops.iter().enumerate();
        let rows = stops.map(|(n, stop)| {
            vec![
                Cell::of(format!("{} {}", n + 1, stop.patch.patch()))
                    .under(stop.crop.common_name.to_string()),
                Cell::of(stop.crop.show(stop.quota)),
                Cell::default(),
                Cell::default(),
                Cell::default(),
            ]
        });
        Self {
            table: Table {
                caption: "Each stop as it was left".to_owned(),
                columns: COLUMNS.to_vec(),
                rows: rows.collect(),
            },
            rest: day_blanks(is_on_the_shore(sheet))
                .into_iter()
                .chain(
                    ["Weather as it was", "Back at, and all counted", "Anything amiss"]
                        .map(Blank::of),
                )
                .collect(),
        }
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            p {
                "Weigh or count each basket before it leaves, and write it on its party's slip; \
                 here the sum. "
                code { "stintbook walk settle" } " enters it in the book."
            }
            div.record { (table(&self.table)) }
            (blanks(&self.rest))
        };
        section("afterwards", "The day, and what was taken", &body)
    }
}
