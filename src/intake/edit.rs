//! A recorded fact with some of its fields put right.

use serde_json::Value;

use super::collection;
use super::column::{Cell, columns};
use super::feature;
use super::header::stranger;
use super::kinds::FEATURES;
use super::known::{Gazetteer, Known};
use super::problem::{Finding, Place, Problems, quoted};
use super::sheet::Sheet;
use super::survey::{OF_ONE_QUADRAT, OF_THE_WHOLE};
use super::tally::{Reported, Tally};
use super::version::Version;
use super::write::arranged;
use crate::records::{Entry, Fact, Kind, Record};

/// The fact with `changes` made to its columns, read again through the checks of a file.
///
/// A change is a column and its new text, empty to clear it. A quadrat of a survey is named
/// by its number, from 1: `3.mass_g`. Shapes can only be redrawn in their file. The entry
/// has no id, and no day of recording unless a change gives one: a correction is a fact of
/// its own, known from today on.
///
/// # Errors
/// Everything that is wrong with the changes, or with the fact once they are made.
pub fn edit(
    fact: &Fact<Record>,
    changes: &[(String, String)],
    known: Known<'_>,
) -> Result<Entry, Problems> {
    let known = Gazetteer::new(known);
    let mut tally = Tally::default();
    let entries = edited(fact, changes, &known, &mut tally).unwrap_or_default();
    let what = format!("{} {}", fact.record.kind().name(), fact.id.short());
    let mut entries = tally.close(&what, entries)?.entries;
    match (entries.pop(), entries.is_empty()) {
        (Some(entry), true) => Ok(entry),
        _ => {
            let mut tally = Tally::default();
            let found = Finding::new("this would no longer be one record", "changes to one record");
            tally.report(&Place::WholeFile, None, found);
            Err(tally.into_problems(&what))
        }
    }
}

fn edited(
    fact: &Fact<Record>,
    changes: &[(String, String)],
    known: &Gazetteer<'_>,
    tally: &mut Tally,
) -> Result<Vec<Entry>, Reported> {
    let kind = fact.record.kind();
    let mut rows = Version::from(fact).rows(known.measure_of(&fact.record));
    for row in &mut rows {
        row.retain(|(name, _)| !matches!(*name, "recorded_on" | "fact"));
    }
    let mut fit = Ok(());
    for (field, text) in changes {
        if let Err(finding) = make(kind, &mut rows, field, text) {
            fit = Err(tally.report(&Place::WholeFile, Some(field), finding));
        }
    }
    fit?;
    if FEATURES.contains(&kind) {
        let feature = rows.first().and_then(|row| feature::write(&fact.record, row));
        let feature = feature.unwrap_or(Value::Null);
        return collection::read_one(&feature, known, tally).map(|entry| vec![entry]);
    }
    let mut sheet = Sheet::new(kind);
    for (at, row) in rows.iter().enumerate() {
        let place = if rows.len() > 1 { Place::Row(at + 1) } else { Place::WholeFile };
        // What is wrong with a row is in the tally; the next one is read all the same.
        let _ = sheet.row(arranged(kind, row).collect(), &place, known, tally);
    }
    Ok(sheet.finish(tally))
}

/// Makes one change, in the row it names or in all of them.
fn make(kind: Kind, rows: &mut [Vec<Cell>], field: &str, text: &str) -> Result<(), Finding> {
    let (number, name) = match field.split_once('.') {
        Some((number, name)) => (Some(number), name),
        None => (None, field),
    };
    let column = columns(kind).iter().find(|column| column.name.eq_ignore_ascii_case(name));
    let name = column.ok_or_else(|| stranger(kind, name))?.name;
    match name {
        "kind" => return Err(Finding::new("a record keeps its kind", "another column")),
        "fact" => return Err(Finding::new("a fact keeps its id", "another column")),
        _ => {}
    }
    let count = rows.len();
    let rows = match number {
        Some(number) => row(kind, rows, number, name)?,
        None if count > 1 && OF_ONE_QUADRAT.contains(&name) => {
            let found = format!("the survey has {count} quadrats");
            return Err(Finding::new(found, format!("the number of one, like `3.{name}`")));
        }
        None => rows,
    };
    for row in rows {
        row.retain(|(column, _)| *column != name);
        row.push((name, text.trim().to_owned()));
    }
    Ok(())
}

fn row<'r>(
    kind: Kind,
    rows: &'r mut [Vec<Cell>],
    number: &str,
    name: &str,
) -> Result<&'r mut [Vec<Cell>], Finding> {
    let count = rows.len();
    if kind != Kind::Survey || OF_THE_WHOLE.contains(&name) {
        let found = format!("`{name}` holds for the whole {}", kind.name());
        return Err(Finding::new(found, format!("`{name}`, without a number")));
    }
    let at = number.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    match at.and_then(|at| rows.get_mut(at..=at)) {
        Some(row) => Ok(row),
        None => Err(Finding::new(
            format!("there is no quadrat {}", quoted(number)),
            format!("a number from 1 to {count}"),
        )),
    }
}
