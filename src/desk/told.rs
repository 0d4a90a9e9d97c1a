//! What the desk asks of the commands, and what they say to it.
//!
//! The desk knows no command by itself: it says the words of a command line and shows what comes
//! back, so that it can mean nothing else than a terminal does.

use std::path::Path;

use jiff::civil::Date;

use crate::report::page::Document;

/// All that a command said.
#[derive(Debug, Default)]
pub struct Told {
    /// What it printed; what stands out is marked as `report::stress` does.
    pub text: String,
    /// Answers that are documents, in place of their text.
    pub documents: Vec<Document>,
    /// Files that it would have written: their names and what is in them.
    pub files: Vec<(String, Vec<u8>)>,
}

/// How a command ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ended {
    /// It did what was asked, or answers yes.
    Done,
    /// It answers no: a patch may not be cut, or nothing could be set aside.
    No,
    /// Wrong use or bad input, with the way out. Nothing was recorded.
    Wrong(String),
    /// The book or a file could not be read or written.
    Storage(String),
}

/// Runs commands on one book.
pub trait Commands: Send + Sync {
    /// Runs the command of these words, the first of which names it; what is asked in formats of
    /// words comes as documents.
    fn run(&self, words: &[String]) -> (Ended, Told);

    /// The book's file.
    fn book(&self) -> &Path;

    /// The day that counts as today.
    fn on(&self) -> Date;
}
