//! The envelope of everything recorded: what, when it happened, when and by whom it was
//! written down, and what later fact put it right.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;
use uuid::Uuid;

use super::Record;

/// The UUIDv7 of a fact. People use its last eight hex digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FactId(pub Uuid);

impl FactId {
    /// The last eight of its hexadecimal digits, by which people call it.
    pub fn short(self) -> String {
        let hex = self.0.simple().to_string();
        hex[hex.len() - 8..].to_owned()
    }
}

/// A text that is no id; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not the id of a fact")]
pub struct FactIdError(String);

impl FromStr for FactId {
    type Err = FactIdError;

    /// In full; the eight digits that people use are looked up in a book.
    fn from_str(text: &str) -> Result<Self, FactIdError> {
        let id = Uuid::try_parse(text.trim()).ok().filter(|id| !id.is_nil());
        id.map(Self).ok_or_else(|| FactIdError(text.to_owned()))
    }
}

impl fmt::Display for FactId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.0.hyphenated().encode_lower(&mut Uuid::encode_buffer()))
    }
}

/// One recorded fact. Facts are appended, never edited.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact<T> {
    /// Drawn when it is recorded, and never used again.
    pub id: FactId,
    /// The day it happened; for a place or an agreement, the day it was set down.
    pub happened_on: Date,
    /// The day from which it counts as known.
    pub recorded_on: Date,
    /// Who saw or did it: leader, surveyor, or keeper of the book.
    pub by: Arc<str>,
    /// The file it came from, if any.
    pub file: Option<Arc<str>>,
    /// What is said.
    pub record: T,
}

impl<T> Fact<T> {
    /// The same envelope around another record.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Fact<U> {
        Fact {
            id: self.id,
            happened_on: self.happened_on,
            recorded_on: self.recorded_on,
            by: self.by,
            file: self.file,
            record: change(self.record),
        }
    }
}

/// What takes the place of a fact that was wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Replacement {
    /// Another fact of the same kind.
    By(FactId),
    /// Nothing: it should not have been recorded.
    Withdrawn,
}

/// A fact about a fact: from `recorded_on` on, `replaced` no longer counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// Its own: corrections have ids of their own.
    pub id: FactId,
    /// The fact that no longer counts.
    pub replaced: FactId,
    /// What counts instead.
    pub replacement: Replacement,
    /// The reason that was given.
    pub why: Arc<str>,
    /// From when on.
    pub recorded_on: Date,
    /// Who put it right.
    pub by: Arc<str>,
}

/// Named in the file in which records leave a field page; another number where its meaning changes.
pub const FIELD_RECORDS: &str = "stintbook-field-records/1";

/// A record as it comes in, before the book gives it an id.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The fact that it says to be, as an export has it; `None` where the file does not say.
    pub id: Option<FactId>,
    /// Names the entry among its kind, so that the same file can be loaded twice.
    pub key: String,
    /// As [`Fact::happened_on`].
    pub happened_on: Date,
    /// `None` where the file does not say; then it is known from today on.
    pub recorded_on: Option<Date>,
    /// As [`Fact::by`].
    pub by: Arc<str>,
    /// What is said.
    pub record: Record,
    /// It is a cut whose file left open how much of the share it used; `record` then has all.
    pub taken_unsaid: bool,
    /// It looks like a slip, and whoever wrote it says that it is right.
    pub sure: bool,
    /// It is another than any that says the same.
    pub again: bool,
    /// Its id was drawn where it was written down and no book has ruled it yet: what a cut spends
    /// is for this one to say.
    pub unruled: bool,
}
