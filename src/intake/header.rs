//! The header row of a CSV: it tells the kind, and which field is which column.

use super::cells::Cells;
use super::column::columns;
use super::kinds::{FEATURES, SHEETS, telling};
use super::problem::{Finding, Place, quoted};
use super::tally::{Reported, Tally};
use crate::records::{Column, Kind, Need, nearest};

#[derive(Debug)]
pub(super) struct Header {
    kind: Kind,
    /// For each column of the kind, the field of a row that it stands in.
    fields: Vec<Option<usize>>,
    /// How many fields a row has.
    width: usize,
}

impl Header {
    pub fn read(cells: &Cells, place: &Place, tally: &mut Tally) -> Result<Self, Reported> {
        let names: Vec<&str> = cells.iter().collect();
        let kind = kind(&names).map_err(|finding| tally.report(place, None, finding))?;
        let strange = refuse_strangers(kind, &names, place, tally);
        let missing = refuse_gaps(kind, &names, place, tally);
        let field = |column: &Column| names.iter().position(|name| is(name, column.name));
        let fields = columns(kind).iter().map(field).collect();
        strange.and(missing).map(|()| Self { kind, fields, width: names.len() })
    }

    pub fn kind(&self) -> Kind {
        self.kind
    }

    pub fn fits(&self, cells: &Cells, place: &Place, tally: &mut Tally) -> Result<(), Reported> {
        fits(self.width, cells, place, tally)
    }

    /// The fields of a row in the order of the kind's columns; empty for columns left out.
    pub fn arrange<'r>(&self, fields: &[&'r str]) -> Vec<&'r str> {
        let value = |field: &Option<usize>| field.and_then(|at| fields.get(at)).copied();
        self.fields.iter().map(|field| value(field).unwrap_or("")).collect()
    }
}

/// A row has as many fields as its header.
pub(super) fn fits(
    width: usize,
    cells: &Cells,
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    if cells.len() == width {
        return Ok(());
    }
    let found = format!("there are {} fields where the header has {width}", cells.len());
    let expected = format!(
        "{width}; a text with a comma in it stands in quotes, a number has a decimal point"
    );
    Err(tally.report(place, None, Finding::new(found, expected)))
}

pub(super) fn is(name: &str, column: &str) -> bool {
    name.eq_ignore_ascii_case(column)
}

fn kind(names: &[&str]) -> Result<Kind, Finding> {
    let has = |column: &str| names.iter().any(|name| is(name, column));
    let told = |kind: Kind| Some((kind, telling(kind).find(|column| has(column))?));
    let kinds: Vec<(Kind, &str)> = SHEETS.into_iter().filter_map(told).collect();
    match kinds.as_slice() {
        [(kind, _)] => Ok(*kind),
        [] => Err(no_kind(names)),
        [(one, column), (other, another), ..] => Err(Finding::new(
            format!(
                "`{column}` is a column of {} and `{another}` one of {}",
                one.plural(),
                other.plural()
            ),
            "a file for each kind",
        )),
    }
}

fn no_kind(names: &[&str]) -> Finding {
    let row = names.join(",");
    if let [one] = names
        && let Some(separator) = one.chars().find(|c| matches!(c, ';' | '\t'))
    {
        let separator = if separator == ';' { "`;`" } else { "tabs" };
        return Finding::new(
            format!("the columns are separated by {separator}: {}", quoted(one)),
            "commas between the columns and decimal points in the numbers",
        );
    }
    let near = names.iter().find_map(|name| {
        nearest(name, SHEETS.into_iter().flat_map(telling).map(str::to_owned))
            .map(|column| format!("; did you mean `{column}` by {}?", quoted(name)))
    });
    let kind = |kind| {
        let columns: Vec<String> = telling(kind).map(|column| format!("`{column}`")).collect();
        format!("{} ({})", columns.join(" or "), kind.plural())
    };
    let kinds = SHEETS.map(kind);
    Finding::new(
        format!(
            "{} is no header that tells what its rows are{}",
            quoted(&row),
            near.unwrap_or_default()
        ),
        format!("a column out of {}", kinds.join(", ")),
    )
}

/// Columns that the kind does not have, or has twice. A column without a name is passed over.
fn refuse_strangers(
    kind: Kind,
    names: &[&str],
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let mut fit = Ok(());
    for (index, name) in names.iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        let finding = if !columns(kind).iter().any(|column| is(name, column.name)) {
            stranger(kind, name)
        } else if names[..index].iter().any(|earlier| is(earlier, name)) {
            Finding::new("this column is there twice", "each column once")
        } else {
            continue;
        };
        fit = Err(tally.report(place, Some(name), finding));
    }
    fit
}

/// What to say of a column or property that a kind does not have.
pub(super) fn stranger(kind: Kind, name: &str) -> Finding {
    let names = || columns(kind).iter().map(|column| column.name);
    let near = nearest(name, names().map(str::to_owned));
    let hint = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
    let all: Vec<String> = names().map(|name| format!("`{name}`")).collect();
    let what = if FEATURES.contains(&kind) { "property" } else { "column" };
    Finding::new(
        format!("{} have no such {what}{hint}", kind.plural()),
        format!("one of {}", all.join(", ")),
    )
}

fn refuse_gaps(
    kind: Kind,
    names: &[&str],
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let mut fit = Ok(());
    for column in columns(kind).iter().filter(|column| column.need == Need::Filled) {
        if !names.iter().any(|name| is(name, column.name)) {
            let found = format!("{} need this column", kind.plural());
            fit = Err(tally.report(place, Some(column.name), Finding::new(found, column.expected)));
        }
    }
    fit
}
