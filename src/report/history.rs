//! What was recorded, and what became of it: in words and for machines.

use jiff::civil::Date;

use super::column::{Column, Columned, Line, Measured, csv, for_a_spreadsheet};
use super::page::{Block, Cell, Column as Head, Document, Section, Table};
use crate::json::{Declared, Shape, object, written};
use crate::records::{Correction, FactId, HistoryLine, Kind, Replacement};
use crate::units::counted;

/// The name and version of what [`history_json`] writes.
pub const HISTORY_SCHEMA: &str = "stintbook.history/1";

/// Every fact on a line of its own, in the order in which they were recorded. `of` is what they
/// are about; nothing for the whole book.
pub fn history_document(of: Option<&str>, lines: &[HistoryLine]) -> Document {
    let title = match (lines.len(), of) {
        (0, None) => NOTHING_YET.to_owned(),
        (n, None) => format!("The book from its beginning: {}", counted(n, "fact")),
        (n, Some(of)) => format!("{of} from the beginning: {}", counted(n, "fact")),
    };
    let columns = vec![Head::name("id"), Head::words("day"), Head::note("what was recorded")];
    let row = |line: &HistoryLine| {
        let day = line.fact.happened_on.to_string();
        [line.fact.id.short(), day, said(line)].map(Cell::of).to_vec()
    };
    let rows = lines.iter().map(row).collect();
    let table = Table { caption: "What was recorded".to_owned(), columns, rows };
    let facts = Section { id: "facts", heading: String::new(), blocks: vec![Block::Table(table)] };
    let sections = if lines.is_empty() { Vec::new() } else { vec![facts] };
    Document { title, kind: "History", lead: String::new(), sections, foot: Vec::new() }
}

const NOTHING_YET: &str = "Nothing is recorded yet.";

/// `9f3a01c7  2027-03-14  cut by Ida: 650 g …`, and what took its place.
pub fn fact_line(line: &HistoryLine) -> String {
    format!("{}  {}  {}", line.fact.id.short(), line.fact.happened_on, said(line))
}

fn said(line: &HistoryLine) -> String {
    let fact = &line.fact;
    let late = if fact.recorded_on == fact.happened_on {
        String::new()
    } else {
        format!(" (written down {})", fact.recorded_on)
    };
    let (kind, by, gist) = (fact.record.kind().name(), &fact.by, fact.record.gist());
    format!("{kind} by {by}: {gist}{late}{}", fate(line))
}

fn fate(line: &HistoryLine) -> String {
    match (&line.correction, line.beaten_by) {
        (None, None) => String::new(),
        (None, Some(other)) => format!(
            "; DOES NOT COUNT: put right in two ways, and {} stands until that is settled",
            other.short()
        ),
        (Some(correction), _) => {
            let what = match correction.replacement {
                Replacement::By(id) => format!("replaced by {}", id.short()),
                Replacement::Withdrawn => "withdrawn".to_owned(),
            };
            let (on, by, why) = (correction.recorded_on, &correction.by, &correction.why);
            format!("; NO LONGER COUNTS: {what} on {on} by {by}: {why}")
        }
    }
}

const COLUMNS: [Column<HistoryLine>; 13] = [
    Column::text("id", |line| line.fact.id.to_string()),
    Column::text("short_id", |line| line.fact.id.short()),
    Column::day("day", |line| line.fact.happened_on),
    Column::day("recorded_on", |line| line.fact.recorded_on),
    Column::coded::<Kind>("kind", |line| line.fact.record.kind().name()),
    Column::text("by", |line| line.fact.by.to_string()),
    Column::text("said", |line| line.fact.record.gist()),
    Column::yes("counts", HistoryLine::counts),
    Column::maybe_text("counts_instead", |line| Some(instead(line)?.to_string())),
    Column::yes("withdrawn", is_withdrawn),
    Column::maybe_day("put_right_on", put_right_on),
    Column::maybe_text("put_right_by", |line| Some(right(line)?.by.to_string())),
    Column::maybe_text("why", |line| Some(right(line)?.why.to_string())),
];

fn put_right_on(line: &HistoryLine) -> Option<Date> {
    Some(right(line)?.recorded_on)
}

impl Columned for HistoryLine {
    fn columns() -> Vec<Column<Self>> {
        COLUMNS.into()
    }
}

object! {
    /// The whole answer.
    struct HistoryData<'a> {
        facts: Vec<Line<'a, HistoryLine>>,
    }
}

impl Measured for HistoryLine {}

fn right(line: &HistoryLine) -> Option<&Correction> {
    line.correction.as_ref()
}

/// The fact, or the correction, that counts in its place.
fn instead(line: &HistoryLine) -> Option<FactId> {
    match right(line).map(|correction| correction.replacement) {
        Some(Replacement::By(id)) => Some(id),
        Some(Replacement::Withdrawn) => None,
        None => line.beaten_by,
    }
}

fn is_withdrawn(line: &HistoryLine) -> bool {
    right(line).is_some_and(|correction| correction.replacement == Replacement::Withdrawn)
}

/// An object a fact.
pub fn history_json(lines: &[HistoryLine]) -> String {
    written(HISTORY_SCHEMA, HistoryData { facts: lines.iter().map(Line).collect() })
}

pub(super) fn declared() -> Declared {
    (HISTORY_SCHEMA, Shape::of_version::<HistoryData>(HISTORY_SCHEMA))
}

/// A line a fact.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn history_csv(lines: &[HistoryLine]) -> Result<String, csv::Error> {
    let columns: Vec<Column<HistoryLine>> = for_a_spreadsheet(COLUMNS).collect();
    csv(&columns, lines)
}
