//! What of a file is new to the book, known to it, or says otherwise.

use std::collections::HashMap;
use std::sync::Arc;

use super::context::Context;
use super::failure::Failure;
use super::load::ReadFile;
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

/// `before` holds the files of the same command that were sorted earlier.
///
/// # Errors
/// An entry that an earlier file tells otherwise; a book that cannot be read.
pub fn sort(
    context: &Context,
    book: &Book,
    file: ReadFile,
    before: &[Sorted],
    why: &str,
    known: Known<'_>,
) -> Result<Sorted, Failure> {
    let told = told_before(before);
    let mut sorted = Sorted { file: file.name, ..Sorted::default() };
    for entry in file.intake.entries {
        if let Some((fact, by)) = told.get(&(entry.record.kind(), &*entry.key)) {
            let what = diff(&fact.fact, &entry, known);
            if !what.is_empty() {
                return Err(clash(&sorted.file, by, &entry, &what));
            }
            sorted.known += 1;
            continue;
        }
        let versions = book.versions(entry.record.kind(), &entry.key)?;
        sorted.sort_one(context, entry, &versions, why, known);
    }
    Ok(sorted)
}

/// New facts by kind and key, with the file that brings each.
fn told_before<'s>(before: &'s [Sorted]) -> HashMap<(Kind, &'s str), (&'s NewFact, &'s str)> {
    let named = |sorted: &'s Sorted| sorted.facts.iter().map(|fact| (fact, &*sorted.file));
    let told = before.iter().flat_map(named);
    told.map(|(new, file)| ((new.fact.record.kind(), new.key.as_str()), (new, file))).collect()
}

fn clash(file: &str, other: &str, entry: &Entry, what: &[String]) -> Failure {
    Failure::Wrong(format!(
        "{file} tells the {} {} otherwise than {other}: {}\n  \
         load the one that is right; nothing was recorded",
        entry.record.kind().name(),
        entry.key,
        what.join("; ")
    ))
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
        let live = versions.iter().find(|version| version.counts());
        match (versions.iter().find(says_the_same), live) {
            (Some(same), _) if same.counts() => self.known += 1,
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
        let known_since = live.fact.recorded_on;
        let stated_anew = entry.recorded_on.filter(|day| *day > known_since);
        let fact = context.new_fact(entry, Some(&self.file));
        self.corrections.push(Correction {
            id: context.ids.next(),
            replaced: live.fact.id,
            replacement: Replacement::By(fact.fact.id),
            why: why.into(),
            // A file that was mended and kept its old day is known to be right only now.
            recorded_on: stated_anew
                .unwrap_or(context.today.max(known_since).max(fact.fact.recorded_on)),
            by: fact.fact.by.clone(),
        });
        self.facts.push(fact);
    }
}
