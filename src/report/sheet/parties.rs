//! Each party's slip: where it starts, what it may take where, and blanks for what it took.

use maud::{Markup, html};

use super::WalkSheet;
use super::limit::counted;
use crate::assess::{PartyStint, StopShare};
use crate::report::page::{Cell, Column, Table, section, table};
use crate::report::people::heads;

#[derive(Debug)]
pub(super) struct Parties(Vec<Slip>);

#[derive(Debug)]
struct Slip {
    heading: String,
    starts: String,
    table: Table,
}

const COLUMNS: [Column; 5] = [
    Column::words("Where"),
    Column::words("Turn"),
    Column::words("May take"),
    Column::words("Took"),
    Column::words("Ring one"),
];

impl Parties {
    pub(super) fn of(sheet: &WalkSheet) -> Self {
        Self(sheet.briefing.parties.iter().map(|stint| Slip::of(sheet, stint)).collect())
    }

    pub(super) fn laid_out(&self) -> Markup {
        let body = html! {
            p {
                "A slip for each party, to keep or to cut off. Write what it took, and ring “all” \
                 if it took all that the count allowed there, “part” if it stopped short. Take \
                 less where there is less than you thought; never more."
            }
            div.slips {
                @for slip in &self.0 {
                    article.slip {
                        h3 { (slip.heading) span.line.who { span.unseen { "names, by hand" } } }
                        p { (slip.starts) }
                        (table(&slip.table))
                    }
                }
            }
        };
        section("parties", "The parties", &body)
    }
}

impl Slip {
    fn of(sheet: &WalkSheet, stint: &PartyStint) -> Self {
        let number = stint.number;
        Self {
            heading: format!("Party {number}: {}", heads(&stint.party)),
            starts: starts(sheet, stint),
            table: Table {
                caption: format!("What party {number} may take, and what it took"),
                columns: COLUMNS.to_vec(),
                rows: rows(sheet, stint),
            },
        }
    }
}

fn starts(sheet: &WalkSheet, stint: &PartyStint) -> String {
    let first = stint.starts_at().and_then(|n| Some((n, sheet.briefing.stops.get(n)?)));
    match first {
        Some((n, stop)) => format!("Starts at stop {}, {}.", n + 1, stop.patch.patch()),
        None => "Has no share: this party cuts nothing on this walk.".to_owned(),
    }
}

fn rows(sheet: &WalkSheet, stint: &PartyStint) -> Vec<Vec<Cell>> {
    let rows: Vec<Vec<Cell>> = stint.shares.iter().filter_map(|share| row(sheet, share)).collect();
    if rows.is_empty() {
        return rows;
    }
    let elsewhere = ["Elsewhere:", "", "", ""].map(Cell::of).into_iter();
    rows.into_iter().chain([elsewhere.chain([all_or_part()]).collect()]).collect()
}

fn row(sheet: &WalkSheet, share: &StopShare) -> Option<Vec<Cell>> {
    let stop = sheet.briefing.stops.get(share.stop)?;
    Some(vec![
        Cell::of(format!("{} {}", share.stop + 1, stop.patch.patch()))
            .under(stop.crop.common_name.to_string()),
        Cell::of(share.turn.to_string()),
        Cell::of(stop.crop.show(share.amount)).under(counted(stop).unwrap_or_default()),
        Cell::of(""),
        all_or_part(),
    ])
}

fn all_or_part() -> Cell {
    Cell::of("all / part")
}
