//! What a delivery came to, once it was held against the book.

use std::fmt;
use std::sync::Arc;

use crate::book::NewFact;
use crate::records::{Correction, Cut, Kind, Record};

/// The entries of one delivery, sorted by what the book has of them.
#[derive(Debug, Default)]
pub struct Sorted {
    /// The file's name; `None` for what was typed.
    pub file: Option<Arc<str>>,
    /// A checksum of the file's bytes, where it would be told of the same again.
    pub digest: Option<u128>,
    /// What its reader had to say of it.
    pub remarks: Vec<String>,
    /// The kind of each new fact.
    pub new: Vec<Kind>,
    /// How many entries the book has as they are.
    pub known: usize,
    /// The book took them in before, and has put them right since.
    pub corrected_since: usize,
    /// What it says otherwise than the book.
    pub changed: Vec<Change>,
    /// Corrections of other books that this one had not heard of.
    pub told: usize,
    /// New facts, and those that take the place of changed ones.
    pub facts: Vec<Fresh>,
    /// What the facts put right.
    pub corrections: Vec<Correction>,
}

/// A fact on its way into the book.
#[derive(Debug)]
pub struct Fresh {
    pub fact: NewFact,
    /// Whether what a cut spends is settled: when it was first recorded, as with one that comes
    /// under an id of its own, or by a promise.
    pub is_settled: bool,
    /// Whether nobody said how far a cut used what it was allowed.
    pub taken_unsaid: bool,
    /// Whether whoever brought it says that it is right, or another than one alike.
    pub sure: bool,
    pub again: bool,
    /// Whether it takes the place of another.
    pub replaces: bool,
    /// Whether the moment has it already: places are recorded before what is about them is read.
    pub is_recorded: bool,
}

/// How an entry differs from what the book has of it.
#[derive(Debug)]
pub struct Change {
    /// The kind of record.
    pub kind: Kind,
    /// What tells it from others of its kind.
    pub key: String,
    /// A clause each: `` `mass_g`: `500` is now `650` ``.
    pub what: Vec<String>,
}

impl fmt::Display for Change {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} {}: {}", self.kind.name(), self.key, self.what.join("; "))
    }
}

impl Fresh {
    pub(super) fn cut(&self) -> Option<&Cut> {
        match &self.fact.fact.record {
            Record::Cut(cut) => Some(cut),
            _ => None,
        }
    }

    pub(super) fn is_cut(&self) -> bool {
        self.cut().is_some()
    }
}
