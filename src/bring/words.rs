//! What people write over a column and into its cells, and what files have instead.
//!
//! Whatever `records` calls a column is understood without being listed here, in any case and with
//! blanks or hyphens for `_`. Common practice, no source: words of notebooks and of the trade.

use crate::records::Column;

/// An amount in its cell's own unit, or its column's: grams or pieces by what the crop is
/// reckoned in.
pub const AMOUNT: &str = "amount";

/// Words over a column, and the columns of files that they may mean, the likeliest first.
const OVER_COLUMNS: [(&str, &[&str]); 102] = [
    ("when", &["date"]),
    ("day", &["day", "date"]),
    ("date of visit", &["date"]),
    ("visit date", &["date"]),
    ("date picked", &["date"]),
    ("date cut", &["date"]),
    ("date surveyed", &["date"]),
    ("survey date", &["date"]),
    ("picked on", &["date"]),
    ("who", &["by"]),
    ("picker", &["by"]),
    ("forager", &["by"]),
    ("gatherer", &["by"]),
    ("recorder", &["by"]),
    ("recorded by", &["by"]),
    ("observer", &["by"]),
    ("surveyor", &["by"]),
    ("leader", &["by"]),
    ("picked by", &["by"]),
    ("cut by", &["by"]),
    ("seen by", &["by"]),
    ("initials", &["by"]),
    ("person", &["by"]),
    ("place", &["patch", "site"]),
    ("spot", &["patch"]),
    ("stand", &["patch"]),
    ("bed", &["patch"]),
    ("plot", &["patch"]),
    ("location", &["patch", "site"]),
    ("where", &["patch", "site"]),
    ("patch name", &["patch"]),
    ("hedge", &["patch"]),
    ("land", &["site"]),
    ("holding", &["site"]),
    ("estate", &["site"]),
    ("farm", &["site"]),
    ("wood", &["site"]),
    ("site name", &["site"]),
    ("plant", &["crop"]),
    ("species", &["crop"]),
    ("crop name", &["crop"]),
    ("what", &["crop"]),
    ("ripeness", &["ripe"]),
    ("% ripe", &["ripe"]),
    ("ripe %", &["ripe"]),
    ("amount", &[AMOUNT]),
    ("quantity", &[AMOUNT]),
    ("qty", &[AMOUNT]),
    ("weight", &[AMOUNT]),
    ("fresh weight", &[AMOUNT]),
    ("wt", &[AMOUNT]),
    ("mass", &[AMOUNT]),
    ("harvest", &[AMOUNT]),
    ("harvested", &[AMOUNT]),
    ("yield", &[AMOUNT]),
    ("picked", &[AMOUNT]),
    ("gathered", &[AMOUNT]),
    ("cut", &[AMOUNT]),
    ("basket", &[AMOUNT]),
    ("how much", &[AMOUNT]),
    ("how much picked", &[AMOUNT]),
    ("amount picked", &[AMOUNT]),
    ("grams", &["mass_g"]),
    ("number", &["count"]),
    ("how many", &["count"]),
    ("pieces", &["count"]),
    ("stems", &["count"]),
    ("heads", &["count"]),
    ("by eye", &["standing", "judged_g"]),
    ("estimate", &["standing", "judged_g"]),
    ("estimated", &["standing", "judged_g"]),
    ("standing crop", &["standing"]),
    ("what stands", &["standing"]),
    ("group size", &["people"]),
    ("pickers", &["people"]),
    ("no of people", &["people"]),
    ("number of people", &["people"]),
    ("party size", &["people"]),
    ("tool", &["method"]),
    ("how cut", &["method"]),
    ("walk name", &["walk"]),
    ("outing", &["walk"]),
    ("quadrat area", &["frame_area_m2"]),
    ("quadrat", &["frame_area_m2"]),
    ("frame", &["frame_area_m2"]),
    ("frame area", &["frame_area_m2"]),
    ("frame size", &["frame_area_m2"]),
    ("frame length", &["frame_length_m"]),
    ("zone", &["stratum"]),
    ("remarks", &["note"]),
    ("notes", &["note"]),
    ("comment", &["note"]),
    ("comments", &["note"]),
    ("agreed", &["basis"]),
    ("kind of permission", &["basis"]),
    ("purpose", &["for"]),
    ("start", &["from"]),
    ("valid from", &["from"]),
    ("until", &["to"]),
    ("end", &["to"]),
    ("latitude", &["lat"]),
    ("longitude", &["lon"]),
];

/// What people write into a column, and what is recorded of it.
const IN_CELLS: [(&str, &[(&str, &str)]); 4] = [
    (
        "basis",
        &[
            ("verbal", "spoken"),
            ("verbally", "spoken"),
            ("oral", "spoken"),
            ("by word of mouth", "spoken"),
            ("by phone", "spoken"),
            ("phone", "spoken"),
            ("in writing", "written"),
            ("letter", "written"),
            ("by letter", "written"),
            ("email", "written"),
            ("e-mail", "written"),
            ("right of common", "right"),
            ("common right", "right"),
            ("customary", "custom"),
        ],
    ),
    (
        "for",
        &[
            ("personal", "own use"),
            ("home", "own use"),
            ("private", "own use"),
            ("ourselves", "own use"),
            ("walks", "walk"),
            ("sales", "sale"),
            ("boxes", "sale"),
        ],
    ),
    ("taken", &[("everything", "all"), ("all of it", "all"), ("some", "part"), ("partly", "part")]),
    ("crops", &[("all", ""), ("any", ""), ("everything", ""), ("all crops", "")]),
];

const YES: [&str; 5] = ["y", "yes", "true", "x", "✓"];
const NO: [&str; 3] = ["n", "no", "false"];

/// The columns of files that a header may mean, whose words are parted by single blanks.
pub(super) fn over_column(words: &str) -> &'static [&'static str] {
    OVER_COLUMNS.iter().find(|(said, _)| *said == words).map_or(&[], |(_, columns)| columns)
}

/// What files have for a word in a column; `None` where the word stands for itself.
pub(super) fn in_cell(column: &Column, said: &str) -> Option<&'static str> {
    let said = said.to_lowercase();
    if column.expected.starts_with("`yes`") {
        return match () {
            () if YES.contains(&&*said) => Some("yes"),
            () if NO.contains(&&*said) => Some("no"),
            () => None,
        };
    }
    let (_, words) = IN_CELLS.iter().find(|(name, _)| *name == column.name)?;
    words.iter().find(|(word, _)| *word == said).map(|(_, meant)| *meant)
}

/// Rows that sum up others begin so.
pub(super) fn sums_up(cell: &str) -> bool {
    const WORDS: [&str; 10] = [
        "total",
        "totals",
        "subtotal",
        "sub-total",
        "grand total",
        "sum",
        "average",
        "mean",
        "in all",
        "total:",
    ];
    let said = cell.trim_end_matches([':', '=', ' ']).to_lowercase();
    WORDS.contains(&&*said) || said.starts_with("total ")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::intake::{SHEETS, columns};

    #[test]
    fn every_word_is_listed_once_and_means_columns_that_files_have() {
        let known: BTreeSet<&str> =
            SHEETS.into_iter().flat_map(columns).map(|column| column.name).collect();
        let mut words = BTreeSet::new();
        for (word, meant) in OVER_COLUMNS {
            assert!(words.insert(word), "`{word}` twice");
            for column in meant.iter().filter(|column| **column != AMOUNT) {
                assert!(known.contains(column), "`{word}`: no column `{column}`");
            }
        }
        for (column, _) in IN_CELLS {
            assert!(known.contains(column), "no column `{column}`");
        }
    }
}
