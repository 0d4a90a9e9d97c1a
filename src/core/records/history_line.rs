//! A fact as it was recorded, and what became of it.

use super::{Correction, Fact, FactId, Record};

/// One fact in full, the key it was recorded under, and what took its place, if anything did.
#[derive(Clone, Debug, PartialEq)]
pub struct HistoryLine {
    /// What tells it from others of its kind, as a file would say it: patch, day and hand of a cut.
    pub key: String,
    /// As it was recorded, but that places bear their present names.
    pub fact: Fact<Record>,
    /// Of several, the one that leads to what counts.
    pub correction: Option<Correction>,
    /// The id of what counts instead, where nothing corrects the fact itself but another book
    /// put right otherwise what it puts right: a fact, or the correction that withdrew it.
    pub beaten_by: Option<FactId>,
}

impl HistoryLine {
    /// Whether the fact still counts.
    pub fn counts(&self) -> bool {
        self.correction.is_none() && self.beaten_by.is_none()
    }
}
