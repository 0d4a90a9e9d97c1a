//! What a record says, field by field, and what another version of it says otherwise.

use geo::CoordsIter;

use super::column::{Cell, columns};
use super::kinds::shape;
use super::known::{Gazetteer, Known};
use super::survey::OF_THE_WHOLE;
use super::version::Version;
use crate::records::{Column, Kind};
use crate::units::Measure;

/// The filled fields of a record with their texts, as a file would have them.
///
/// Those of a survey's quadrats are numbered: `3.mass_g`.
pub fn fields<'a>(version: impl Into<Version<'a>>, known: Known<'_>) -> Vec<(String, String)> {
    let version = version.into();
    let kind = version.record.kind();
    let rows = version.rows(Gazetteer::new(known).measure_of(version.record));
    let of_row = |(at, row): (usize, Vec<Cell>)| {
        row.into_iter()
            .filter(move |(name, _)| at == 0 || !is_of_the_whole(kind, name))
            .map(move |(name, text)| (numbered(kind, at, name), text))
    };
    rows.into_iter().enumerate().flat_map(of_row).collect()
}

/// What `new` says otherwise than `old`, a sentence a field: "`mass_g`: `31` is now `13`".
///
/// `measure` is what a survey's crop is reckoned in. The id and the day of recording are no part
/// of it. Two records of different kinds have nothing in common to compare, and so nothing is
/// said.
pub fn diff<'a, 'b>(
    old: impl Into<Version<'a>>,
    new: impl Into<Version<'b>>,
    measure: Measure,
) -> Vec<String> {
    let (old, new) = (old.into(), new.into());
    let kind = new.record.kind();
    if old.record.kind() != kind {
        return Vec::new();
    }
    let (old_rows, new_rows) = (old.rows(measure), new.rows(measure));
    let mut changes = Vec::new();
    if old_rows.len() != new_rows.len() {
        let (was, is) = (old_rows.len(), new_rows.len());
        changes.push(format!("quadrats: {was} are now {is}"));
    }
    let said = |column: &&Column| !matches!(column.name, "recorded_on" | "fact");
    for column in columns(kind).iter().filter(said) {
        changes.extend(column_changes(kind, column.name, &old_rows, &new_rows));
    }
    changes.extend(redrawn(&old, &new));
    changes
}

/// Said once where every row has changed alike, as when a frame was mistaken.
fn column_changes(kind: Kind, name: &str, old: &[Vec<Cell>], new: &[Vec<Cell>]) -> Vec<String> {
    let pairs: Vec<(&str, &str)> =
        old.iter().zip(new).map(|(old, new)| (text(old, name), text(new, name))).collect();
    let changed = |field: &str, was: &str, is: &str| {
        format!("`{field}`: {} is now {}", shown(was), shown(is))
    };
    match pairs.first() {
        Some(&(was, is)) if was != is && pairs.iter().all(|pair| *pair == (was, is)) => {
            vec![changed(name, was, is)]
        }
        _ => pairs
            .iter()
            .enumerate()
            .filter(|(_, (was, is))| was != is)
            .map(|(at, (was, is))| changed(&numbered(kind, at, name), was, is))
            .collect(),
    }
}

fn redrawn(old: &Version<'_>, new: &Version<'_>) -> Option<String> {
    let (was, is) = (shape(old.record)?, shape(new.record)?);
    let (corners, now) = (was.coords_count(), is.coords_count());
    (was != is).then(|| format!("`geometry`: redrawn, {corners} positions are now {now}"))
}

fn text<'r>(row: &'r [Cell], name: &str) -> &'r str {
    row.iter().find(|(column, _)| *column == name).map_or("", |(_, text)| text)
}

fn shown(text: &str) -> String {
    if text.is_empty() { "nothing".to_owned() } else { format!("`{text}`") }
}

fn is_of_the_whole(kind: Kind, name: &str) -> bool {
    kind != Kind::Survey || OF_THE_WHOLE.contains(&name)
}

fn numbered(kind: Kind, at: usize, name: &str) -> String {
    if is_of_the_whole(kind, name) { name.to_owned() } else { format!("{}.{name}", at + 1) }
}
