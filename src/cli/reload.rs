//! What of a file is new to the book, known to it, or says otherwise.

use std::sync::Arc;

use super::context::Context;
use super::failure::Failure;
use super::load::ReadFile;
use super::recording::new_id;
use crate::book::{Book, HistoryLine, NewFact};
use crate::intake::{Known, diff};
use crate::records::{Correction, Entry, Kind, Replacement};

/// The entries of one file, sorted by what the book has of them.
#[derive(Debug, Default)]
pub struct Sorted {
    pub file: Arc<str>,
    /// The kind of each new fact.
    pub new: Vec<Kind>,
    pub known: usize,
    /// The book took them in before, and has put them right since.
    pub corrected_since: usize,
    pub changed: Vec<Change>,
    /// New facts, and those that take the place of changed ones.
    pub facts: Vec<NewFact>,
    pub corrections: Vec<Correction>,
}

/// How an entry differs from what the book has under its key.
#[derive(Debug)]
pub struct Change {
    pub kind: Kind,
    pub key: String,
    pub what: Vec<String>,
}

pub fn sort(
    context: &Context,
    book: &Book,
    file: ReadFile,
    why: &str,
    known: Known<'_>,
) -> Result<Sorted, Failure> {
    let mut sorted = Sorted { file: file.name, ..Sorted::default() };
    for entry in file.intake.entries {
        let versions = book.versions(entry.record.kind(), &entry.key)?;
        sorted.sort_one(context, entry, &versions, why, known);
    }
    Ok(sorted)
}

impl Sorted {
    fn sort_one(
        &mut self,
        context: &Context,
        entry: Entry,
        versions: &[HistoryLine],
        why: &str,
        known: Known<'_>,
    ) {
        let says_the_same = |version: &&HistoryLine| diff(&version.fact, &entry, known).is_empty();
        let live = versions.iter().find(|version| version.correction.is_none());
        match (versions.iter().find(says_the_same), live) {
            (Some(same), _) if same.correction.is_none() => self.known += 1,
            (Some(_), _) => self.corrected_since += 1,
            (None, Some(live)) => self.change(context, entry, live, why, known),
            (None, None) => {
                self.new.push(entry.record.kind());
                self.facts.push(context.new_fact(entry, Some(&self.file)));
            }
        }
    }

    fn change(
        &mut self,
        context: &Context,
        entry: Entry,
        live: &HistoryLine,
        why: &str,
        known: Known<'_>,
    ) {
        let kind = entry.record.kind();
        let what = diff(&live.fact, &entry, known);
        self.changed.push(Change { kind, key: entry.key.clone(), what });
        let fact = context.new_fact(entry, Some(&self.file));
        self.corrections.push(Correction {
            id: new_id(),
            replaced: live.fact.id,
            replacement: Replacement::By(fact.fact.id),
            why: why.into(),
            recorded_on: fact.fact.recorded_on.max(live.fact.recorded_on),
            by: fact.fact.by.clone(),
        });
        self.facts.push(fact);
    }
}
