//! What the desk asks of the commands, and what they say to it.
//!
//! The desk knows no command by itself: it says the words of a command line and shows what comes
//! back, so that it can mean nothing else than a terminal does.

use std::path::Path;
use std::sync::Arc;

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
    /// What it asks before it goes on.
    pub asked: Option<Asked>,
}

/// A question of a command, to be answered by whoever asked it.
#[derive(Clone, Debug)]
pub struct Asked {
    /// In words.
    pub said: String,
    /// Replies that it understands, and what each says.
    pub replies: Vec<(String, String)>,
    /// What else may be typed, in words; `None` where nothing may.
    pub typed: Option<String>,
}

/// A file that was sent along.
#[derive(Clone, Debug)]
pub struct Brought {
    /// As the command's words name it.
    pub name: String,
    /// All that is in it.
    pub bytes: Arc<[u8]>,
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

/// What every answer rests on: the book as it is, the day, the crops. Two that are the same were
/// found with nothing changed between them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rests(pub String);

/// Runs commands on one book.
pub trait Commands: Send + Sync {
    /// Runs the command of these words, the first of which names it; what is asked in formats of
    /// words comes as documents.
    fn run(&self, words: &[String]) -> (Ended, Told) {
        self.run_on(words, Vec::new())
    }

    /// The same with the files that it may read; no other is opened for it.
    fn run_on(&self, words: &[String], brought: Vec<Brought>) -> (Ended, Told);

    /// What answers rest on now; `None` where it cannot be told whether something changed.
    fn rests(&self) -> Option<Rests>;

    /// The book's file.
    fn book(&self) -> &Path;

    /// The day that counts as today.
    fn on(&self) -> Date;
}
