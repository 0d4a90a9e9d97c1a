//! What a door hands in, and what its people said beforehand.

use std::sync::Arc;

use jiff::civil::Date;

use crate::book::Attendee;
use crate::intake::{Amend, Intake};
use crate::records::{Entry, FactId};

/// What one file brings, or one hand at the keyboard.
#[derive(Debug, Default)]
pub struct Delivery {
    /// The file's name, which its facts keep; `None` for what was typed.
    pub file: Option<Arc<str>>,
    /// The name under which the book knows this file, where it bears another by now.
    pub formerly: Option<Arc<str>>,
    /// A checksum of the file's bytes, where all of them were read.
    pub digest: Option<u128>,
    /// In the order in which they stand.
    pub entries: Vec<Entry>,
    /// The ids that its entries get, each as the file calls its place, where they are made already.
    pub made: Option<Vec<FactId>>,
    /// What parties of walks among it are called.
    pub names: Vec<Attendee>,
    /// What another book put right or withdrew.
    pub amends: Vec<Amend>,
    /// What its reader had to say of it.
    pub remarks: Vec<String>,
}

/// Answers given before the questions, so that a command need not ask twice.
#[derive(Clone, Copy, Debug, Default)]
pub struct Answers<'a> {
    /// Record changes as corrections; why the book was wrong.
    pub replace: Option<&'a str>,
    /// What says the same as a fact of the book is another fact all the same.
    pub again: bool,
    /// What looks like a slip is right.
    pub sure: bool,
}

/// Why a fact is wrong, and who says so.
#[derive(Clone, Copy, Debug)]
pub struct Because<'a> {
    /// In words of one's own.
    pub why: &'a str,
    /// Who puts it right.
    pub by: &'a str,
    /// The day from which the correction counts as known, if it was said.
    pub recorded_on: Option<Date>,
}

impl Delivery {
    /// One thing that was typed.
    pub fn typed(entry: Entry) -> Self {
        Self { entries: vec![entry], ..Self::default() }
    }

    /// What a reader made of a file of that name.
    pub fn of_file(name: Arc<str>, intake: Intake) -> Self {
        let Intake { entries, remarks, .. } = intake;
        Self { file: Some(name), entries, remarks, ..Self::default() }
    }

    /// The name by which the book knows the file.
    pub fn known_as(&self) -> Option<&Arc<str>> {
        self.formerly.as_ref().or(self.file.as_ref())
    }

    /// The file's name, or what stands for one in a sentence.
    pub fn name(&self) -> &str {
        self.file.as_deref().unwrap_or("what was typed")
    }
}
