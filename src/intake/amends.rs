//! What was put right or withdrawn, as an export tells it: one row for each fact that no
//! longer counts. No kind of record: facts about facts.

use std::io::Read;

use super::column::BY;
use super::fields::Fields;
use super::problem::Problems;
use super::slip;
use super::tally::Reported;
use super::value;
use super::write::line;
use crate::records::{Column, Correction, FactId, Kind, Need, Replacement};

const EXPECTED_ID: &str = "the id of a fact, as `export` writes it";

const COLUMNS: &[Column] = &[
    Column::text("replaced", Need::Telling, EXPECTED_ID, ""),
    Column::text("kind", Need::Filled, "what the fact is, like `cut`", ""),
    Column::text(
        "replacement",
        Need::Optional,
        "the id of the fact that takes its place; empty where it was withdrawn",
        "",
    ),
    Column::text("why", Need::Filled, "why it was wrong", ""),
    Column::text("recorded_on", Need::Filled, "the day from which this counts as known", ""),
    BY,
    Column::text("correction", Need::Filled, "the id of the correction itself", ""),
];

/// A correction, and the kind of what it corrects.
pub type Amend = (Kind, Correction);

/// Whether the text is a table of corrections, by the first line that is no comment.
pub fn is_of_amends(head: &str) -> bool {
    let lines = head.lines().map(|line| line.trim_start_matches('\u{feff}').trim());
    let first = lines.into_iter().find(|line| !line.is_empty() && !line.starts_with('#'));
    first.is_some_and(|line| line.split(',').any(|name| name.trim() == "replaced"))
}

/// Reads such a table; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_amends(file: &str, text: impl Read) -> Result<Vec<Amend>, Problems> {
    slip::read(file, text, COLUMNS, amend)
}

fn amend(fields: &mut Fields<'_>) -> Result<Amend, Reported> {
    let replaced = fields.required("replaced", id);
    let kind = fields.required("kind", |text| {
        let kind = Kind::ALL.into_iter().find(|kind| kind.name() == text);
        kind.ok_or_else(|| format!("`{text}` is no kind of fact"))
    });
    let replacement = fields.optional("replacement", id);
    let why = fields.filled("why").map(str::to_owned);
    let recorded_on = fields.required("recorded_on", value::day);
    let by = fields.filled("by").map(str::to_owned);
    let correction = fields.required("correction", id);
    let correction = Correction {
        id: correction?,
        replaced: replaced?,
        replacement: replacement?.map_or(Replacement::Withdrawn, Replacement::By),
        why: why?.into(),
        recorded_on: recorded_on?,
        by: by?.into(),
    };
    Ok((kind?, correction))
}

fn id(text: &str) -> Result<FactId, String> {
    let id = text.parse().map(FactId);
    id.map_err(|_| format!("`{text}` is no id"))
}

/// The table of these corrections; [`read_amends`] makes the same of it.
pub fn write_amends<'a>(amends: impl IntoIterator<Item = &'a Amend>) -> String {
    let mut text = line(COLUMNS.iter().map(|column| column.name));
    for (kind, made) in amends {
        let replacement = match made.replacement {
            Replacement::By(id) => id.to_string(),
            Replacement::Withdrawn => String::new(),
        };
        let (replaced, day) = (made.replaced.to_string(), made.recorded_on.to_string());
        let id = made.id.to_string();
        let cells = [&replaced, kind.name(), &replacement, &made.why, &day, &made.by, &id];
        text.push_str(&line(cells.into_iter()));
    }
    text
}
