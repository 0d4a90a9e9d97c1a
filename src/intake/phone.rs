//! The file in which records leave a field page: JSON, its rows named as those of a CSV.
//!
//! Every record has an id that was drawn on the phone, so the file may come as often as it likes.
//! What a walk brought back stands beside the records and is no fact yet.

use jiff::civil::Date;
use serde_json::{Map, Value, json};

use super::column::columns;
use super::known::Gazetteer;
use super::problem::{Finding, Place, quoted};
use super::property::FACT;
use super::sheet::Sheet;
use super::tally::{Reported, Tally};
use crate::json::{Declared, Form, Perhaps, Shape, closed, object};
use crate::records::{Column, Entry, FIELD_RECORDS, Kind};

/// The kinds that a phone records.
const KINDS: [Kind; 3] = [Kind::Cut, Kind::Glance, Kind::Visit];

/// Digits at an id's end by which people know a fact.
const SHORT_ID: usize = 8;

object! {
    /// The file, and what is sent to a desk.
    struct PhoneData {
        /// Of which book the page was made.
        book: Perhaps<String>,
        /// The page's day.
        made: Perhaps<Date>,
        /// In the order in which they were made.
        records: Perhaps<Vec<PhoneRow>>,
        /// What was struck out after it had been handed over.
        struck: Perhaps<Vec<PhoneRow>>,
        /// What a walk brought back.
        returns: Perhaps<Returns>,
        /// To a desk: ids of what is right though it asked.
        sure: Perhaps<Vec<String>>,
        /// To a desk: whether shares that nothing tells of were taken in full.
        assume: Perhaps<bool>,
        /// To a desk: drawn for this settling, so that it may come twice.
        key: Perhaps<String>,
    }

    struct Returns {
        walk: String,
        day: Date,
        rows: Vec<Share>,
    }

    struct Share {
        /// By number.
        party: String,
        patch: String,
        mass_g: Perhaps<String>,
        count: Perhaps<String>,
        taken: Perhaps<String>,
    }
}

/// A record: the columns of its kind, as far as they are filled, as texts.
#[derive(Debug)]
struct PhoneRow(Value);

impl Form for PhoneRow {
    fn value(self) -> Value {
        self.0
    }

    fn schema() -> Value {
        let row = |kind: Kind| {
            let mut all = Shape::default();
            all.add("kind", closed(&[kind.name()]), "");
            all.add(FACT.name, String::schema(), "the id that was drawn on the phone");
            let mut filled = Shape::default();
            for column in columns(kind).iter().filter(|column| column.name != FACT.name) {
                filled.add(column.name, String::schema(), column.expected);
            }
            all.add_optional(filled);
            all.schema()
        };
        json!({ "anyOf": KINDS.map(row) })
    }
}

/// [`FIELD_RECORDS`] and what it asks for. The page's script writes it.
pub fn phone_declared() -> Declared {
    (FIELD_RECORDS, Shape::of_version::<PhoneData>(FIELD_RECORDS))
}

/// How much of a file tells what it is, in bytes.
const HEAD: usize = 256;

/// Whether a text begins as a field page's file does.
pub fn is_of_phone(text: &str) -> bool {
    let head: String = text.chars().take(HEAD).collect();
    let family = FIELD_RECORDS.split('/').next().unwrap_or(FIELD_RECORDS);
    let rest = head.trim_start_matches('\u{feff}').trim_start().strip_prefix('{');
    let rest = rest.and_then(|rest| rest.trim_start().strip_prefix("\"schema\""));
    rest.is_some_and(|rest| rest.contains(&format!("\"{family}/")))
}

/// The file as an object of the layout that this program knows.
pub(super) fn opened(text: &str) -> Result<Map<String, Value>, (Place, Finding)> {
    let whole = |found: String, expected: &str| (Place::WholeFile, Finding::new(found, expected));
    let value: Value = serde_json::from_str(text).map_err(|error| {
        let found = format!("this is not JSON: {error}");
        (Place::Line(error.line() as u64), Finding::new(found, "the file as the phone wrote it"))
    })?;
    let Value::Object(file) = value else {
        return Err(whole("it is no object".to_owned(), "the file as the phone wrote it"));
    };
    match file.get("schema").and_then(Value::as_str) {
        Some(FIELD_RECORDS) => Ok(file),
        other => Err(whole(
            format!("its layout is {}", quoted(other.unwrap_or_default())),
            "a file of a page that this version of the program made",
        )),
    }
}

/// Reads the records; what was struck out on the phone after it left is remarked.
pub(super) fn read(text: &str, known: &Gazetteer<'_>, tally: &mut Tally) -> Vec<Entry> {
    let file = match opened(text) {
        Ok(file) => file,
        Err((place, finding)) => {
            tally.report(&place, None, finding);
            return Vec::new();
        }
    };
    let records = list(&file, "records");
    let mut sheets = KINDS.map(|kind| (kind, Sheet::new(kind)));
    for (row, record) in records.iter().enumerate() {
        let place = Place::Record { number: row + 1, what: gist(record) };
        // What is wrong with a record is in the tally; the next one is read all the same.
        let _ = one(record, &place, &mut sheets, known, tally);
        if tally.has_enough() {
            return Vec::new();
        }
    }
    struck(&file, tally);
    if file.get("returns").is_some_and(Value::is_object) {
        let walk = file["returns"].get("walk").and_then(Value::as_str).unwrap_or_default();
        tally.remark(format!(
            "what came back from {} is in it too, and no fact yet: `walk settle` takes this file",
            quoted(walk)
        ));
    }
    if records.is_empty() {
        tally.remark("no record in it".to_owned());
    }
    let entries = sheets.into_iter().flat_map(|(_, sheet)| sheet.finish(tally));
    entries.map(|entry| Entry { unruled: true, ..entry }).collect()
}

/// `cut Hill/Bank 2027-03-15`.
fn gist(record: &Value) -> String {
    let told = ["kind", "patch", "date"].iter().filter_map(|name| record.get(name)?.as_str());
    told.collect::<Vec<_>>().join(" ")
}

fn list<'j>(file: &'j Map<String, Value>, name: &str) -> &'j [Value] {
    file.get(name).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn one(
    record: &Value,
    place: &Place,
    sheets: &mut [(Kind, Sheet)],
    known: &Gazetteer<'_>,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let name = record.get("kind").and_then(Value::as_str).unwrap_or_default();
    let Some((kind, sheet)) = sheets.iter_mut().find(|(kind, _)| kind.name() == name) else {
        let found = format!("{} is no kind of record that a phone makes", quoted(name));
        return Err(tally.report(place, Some("kind"), Finding::new(found, "cut, glance or visit")));
    };
    let texts = texts(record, columns(*kind), "kind", place, tally)?;
    let fact = columns(*kind).iter().position(|column| column.name == FACT.name);
    if fact.and_then(|at| texts.get(at)).is_none_or(|id| id.trim().is_empty()) {
        let finding = Finding::new("nothing is there", "the id that the phone gave the record");
        return Err(tally.report(place, Some(FACT.name), finding));
    }
    sheet.row(texts.iter().map(|text| text.trim()).collect(), place, known, tally)
}

/// A row's texts in the order of its columns.
pub(super) fn texts(
    row: &Value,
    columns: &[Column],
    beside: &str,
    place: &Place,
    tally: &mut Tally,
) -> Result<Vec<String>, Reported> {
    let Some(row) = row.as_object() else {
        let found = format!("{} is no record", quoted(&row.to_string()));
        return Err(tally.report(place, None, Finding::new(found, "an object with its columns")));
    };
    let mut fit = Ok(());
    let is_known = |name: &str| name == beside || columns.iter().any(|column| column.name == name);
    for name in row.keys().filter(|name| !is_known(name)) {
        let finding = Finding::new("there is no such column", "the columns of its kind alone");
        fit = Err(tally.report(place, Some(name), finding));
    }
    let mut texts = Vec::with_capacity(columns.len());
    for column in columns {
        match row.get(column.name) {
            None | Some(Value::Null) => texts.push(String::new()),
            Some(Value::String(text)) => texts.push(text.clone()),
            Some(Value::Number(number)) => texts.push(number.to_string()),
            Some(other) => {
                let found = format!("{} is neither text nor a number", quoted(&other.to_string()));
                let finding = Finding::new(found, column.expected);
                fit = Err(tally.report(place, Some(column.name), finding));
            }
        }
    }
    fit.map(|()| texts)
}

/// What was struck out on the phone after it had been handed over: the book may have it.
fn struck(file: &Map<String, Value>, tally: &mut Tally) {
    for record in list(file, "struck") {
        let text = |name| record.get(name).and_then(Value::as_str).unwrap_or_default();
        let id = text("fact");
        let short = id.len().checked_sub(SHORT_ID).and_then(|at| id.get(at..)).unwrap_or(id);
        tally.remark(format!(
            "the {} {} of {} was struck out on the phone after it had been handed over; if the \
             book has it, `withdraw {short}`",
            quoted(text("kind")),
            quoted(short),
            quoted(text("date")),
        ));
    }
}
