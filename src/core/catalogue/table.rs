//! One crop's table: hands out its fields and their sources, and notes what is wrong.
//!
//! A field that cannot be read gives a stand-in and a problem. Since a file with a problem
//! is refused whole, no stand-in leaves the catalogue, and every problem is found at once.

use std::collections::BTreeSet;
use std::sync::Arc;

use toml::{Table, Value};

use crate::records::{Sourced, Unfit, nearest};

use super::CatalogueProblem;
use super::fields::expected;

const SOURCES: &str = "source";
/// The source of every value that has none of its own.
const OTHERS: &str = "others";
const A_SOURCE: &str = "where the value comes from: a citation, or `common practice, no source` \
                        (or one source for all the rest, in `source.others`)";

#[derive(Debug)]
pub(super) struct CropTable<'a> {
    crop: &'a str,
    fields: &'a Table,
    sources: Option<&'a Table>,
    asked: BTreeSet<&'static str>,
    asked_sources: BTreeSet<&'static str>,
    problems: Vec<CatalogueProblem>,
}

impl<'a> CropTable<'a> {
    pub(super) fn new(crop: &'a str, fields: &'a Table) -> Self {
        let mut table = Self {
            crop,
            fields,
            sources: None,
            asked: BTreeSet::from([SOURCES]),
            asked_sources: BTreeSet::from([OTHERS]),
            problems: Vec::new(),
        };
        match fields.get(SOURCES) {
            Some(Value::Table(sources)) => table.sources = Some(sources),
            Some(other) => {
                table.problem(SOURCES, Some(as_written(other)), "a table of sources by field");
            }
            None => {}
        }
        table
    }

    /// Notes each text, name or key with a letter that plain text does not have.
    pub(super) fn refuse_unfit(&mut self) {
        let mut found = vec![("name".to_owned(), self.crop.to_owned())];
        for (field, value) in self.fields {
            texts(field, field, value, &mut found);
        }
        for (field, text) in found {
            if let Some(unfit) = Unfit::first_in(&text) {
                let expected = format!("plain text on one line, without {unfit}");
                self.problem(&field, Some(text), &expected);
            }
        }
    }

    pub(super) fn name(&mut self) -> Arc<str> {
        let fits = |word: &str| {
            let letter = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
            !word.is_empty() && word.chars().all(letter)
        };
        if !self.crop.split('-').all(fits) {
            let expected = "lower-case words joined by hyphens, like `sea-beet-leaf`";
            self.problem("name", Some(self.crop.to_owned()), expected);
        }
        self.crop.into()
    }

    /// A field as people wrote it: text, a number, or a list with spaces between its items.
    pub(super) fn written(&mut self, field: &'static str) -> Option<String> {
        self.value(field).map(as_written)
    }

    pub(super) fn value(&mut self, field: &'static str) -> Option<&'a Value> {
        self.asked.insert(field);
        self.fields.get(field)
    }

    pub(super) fn text(&mut self, field: &'static str) -> Arc<str> {
        self.optional_text(field).unwrap_or_else(|| {
            self.missing(field);
            "".into()
        })
    }

    pub(super) fn optional_text(&mut self, field: &'static str) -> Option<Arc<str>> {
        let value = self.value(field)?;
        match value.as_str().map(str::trim).filter(|text| !text.is_empty()) {
            Some(text) => Some(text.into()),
            None => {
                self.problem(field, Some(as_written(value)), expected(field));
                Some("".into())
            }
        }
    }

    pub(super) fn sourced_text(&mut self, field: &'static str) -> Sourced<Arc<str>> {
        let value = self.text(field);
        Sourced { value, source: self.source(field) }
    }

    pub(super) fn optional_sourced_text(
        &mut self,
        field: &'static str,
    ) -> Option<Sourced<Arc<str>>> {
        let value = self.optional_text(field)?;
        Some(Sourced { value, source: self.source(field) })
    }

    /// An optional value that `read` makes of the text, or a problem.
    pub(super) fn optional_sourced<T>(
        &mut self,
        field: &'static str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Option<Sourced<T>> {
        let text = self.written(field)?;
        let source = self.source(field);
        let value = read(&text);
        if value.is_none() {
            self.problem(field, Some(text), expected(field));
        }
        Some(Sourced { value: value?, source })
    }

    /// One of a set of words; the first of them stands in.
    pub(super) fn one_of<T: Copy, const N: usize>(
        &mut self,
        field: &'static str,
        all: [T; N],
        name: fn(T) -> &'static str,
    ) -> T {
        self.optional_one_of(field, all, name).unwrap_or_else(|| {
            self.problem(field, None, &choice(all, name));
            all[0]
        })
    }

    pub(super) fn optional_one_of<T: Copy, const N: usize>(
        &mut self,
        field: &'static str,
        all: [T; N],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let text = self.written(field)?;
        let known = all.into_iter().find(|&one| name(one) == text);
        if known.is_none() {
            self.problem(field, Some(text), &choice(all, name));
        }
        Some(known.unwrap_or(all[0]))
    }

    /// The field's own source, or the one for all the rest.
    pub(super) fn source(&mut self, field: &'static str) -> Arc<str> {
        let first_asked = self.asked_sources.insert(field);
        let found = self.sources.and_then(|all| all.get(field).or_else(|| all.get(OTHERS)));
        let text = found.and_then(Value::as_str).map(str::trim).filter(|text| !text.is_empty());
        if text.is_none() && first_asked {
            self.problem(&format!("{SOURCES}.{field}"), found.map(as_written), A_SOURCE);
        }
        text.unwrap_or_default().into()
    }

    pub(super) fn missing(&mut self, field: &str) {
        self.problem(field, None, expected(field));
    }

    pub(super) fn problem(&mut self, field: &str, found: Option<String>, expected: &str) {
        self.problems.push(CatalogueProblem::Field {
            crop: self.crop.to_owned(),
            field: field.to_owned(),
            found,
            expected: expected.to_owned(),
        });
    }

    /// All problems of the crop, those of fields and sources that nobody asked for included.
    pub(super) fn finish(mut self) -> Vec<CatalogueProblem> {
        for (field, value) in self.fields {
            if !self.asked.contains(field.as_str()) {
                let expected = known(field, &self.asked);
                self.problem(field, Some(as_written(value)), &expected);
            }
        }
        for (field, value) in self.sources.into_iter().flatten() {
            if !self.asked_sources.contains(field.as_str()) {
                let place = format!("{SOURCES}.{field}");
                let expected = "the source of a value that the crop gives";
                self.problem(&place, Some(as_written(value)), expected);
            }
        }
        self.problems
    }
}

/// Every text in a value, and every key, with the field it stands in.
fn texts(field: &str, key: &str, value: &Value, found: &mut Vec<(String, String)>) {
    found.push((field.to_owned(), key.to_owned()));
    match value {
        Value::String(text) => found.push((field.to_owned(), text.clone())),
        Value::Array(items) => items.iter().for_each(|item| texts(field, "", item, found)),
        Value::Table(fields) => {
            fields
                .iter()
                .for_each(|(key, value)| texts(&format!("{field}.{key}"), key, value, found));
        }
        _ => {}
    }
}

fn known(field: &str, asked: &BTreeSet<&'static str>) -> String {
    match nearest(field, asked.iter().map(ToString::to_string)) {
        Some(near) => format!("a field of a crop; did you mean `{near}`?"),
        None => {
            let names: Vec<&str> = asked.iter().copied().collect();
            format!("a field of a crop: {}", names.join(", "))
        }
    }
}

fn as_written(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(items) => items.iter().map(as_written).collect::<Vec<_>>().join(" "),
        other => other.to_string(),
    }
}

fn choice<T: Copy, const N: usize>(all: [T; N], name: fn(T) -> &'static str) -> String {
    let names: Vec<String> = all.into_iter().map(|one| format!("`{}`", name(one))).collect();
    format!("one of {}", names.join(", "))
}
