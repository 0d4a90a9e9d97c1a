//! Why a command failed, and the exit status that says so.

use std::fmt;
use std::io;
use std::path::Path;
use std::process::ExitCode;

use crate::assess::UnknownCrop;
use crate::book::{BookError, Refusal, StorageError};
use crate::catalogue::CatalogueProblems;
use crate::gate::Turned;
use crate::intake::Problems;
use crate::records::{NotFound, escaped};

/// How a command that ran to its end went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    Done,
    /// `check`: the patch may not be cut; `verify`: something was found.
    No,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        match status {
            Status::Done => Self::SUCCESS,
            Status::No => Self::from(1),
        }
    }
}

#[derive(Debug)]
pub enum Failure {
    /// Wrong use or bad input.
    Wrong(String),
    /// A file could not be read or written.
    Storage(String),
    /// Whoever was reading has gone; there is nobody left to tell.
    NobodyReads,
}

impl Failure {
    pub fn wrong(message: impl fmt::Display) -> Self {
        Self::Wrong(message.to_string())
    }

    /// `doing` says what failed: `read`, `write`.
    pub fn file(doing: &str, path: &Path, error: &io::Error) -> Self {
        Self::Storage(format!("could not {doing} `{}`: {error}", path.display()))
    }

    /// The first of these with what the others say, so that none is passed over.
    ///
    /// # Errors
    /// Where there is one.
    pub fn all(failures: impl IntoIterator<Item = Self>) -> Result<(), Self> {
        let together = failures.into_iter().reduce(|first, next| match (first, next) {
            (Self::Wrong(first), Self::Wrong(next) | Self::Storage(next)) => {
                Self::Wrong(format!("{first}\n{next}"))
            }
            (Self::Storage(first), Self::Wrong(next) | Self::Storage(next)) => {
                Self::Storage(format!("{first}\n{next}"))
            }
            (first, _) => first,
        });
        together.map_or(Ok(()), Err)
    }

    /// Of a book that the command line names beside its own: where no book is there, it is wrong
    /// use and not a book that cannot be read.
    pub fn of_named(error: BookError, named: &Path) -> Self {
        match &error {
            BookError::Storage(
                StorageError::Missing(path)
                | StorageError::Folder(path)
                | StorageError::Empty(path)
                | StorageError::NotABook(path)
                | StorageError::OtherProgram(path),
            ) if path == named => Self::wrong(error),
            _ => error.into(),
        }
    }

    /// Tells standard error, and gives the exit status.
    #[expect(clippy::print_stderr, reason = "problems go to standard error")]
    pub fn report(self) -> ExitCode {
        let (message, status) = match self {
            Self::Wrong(message) => (message, 2),
            Self::Storage(message) => (message, 3),
            Self::NobodyReads => return ExitCode::SUCCESS,
        };
        eprintln!("stintbook: {}", escaped(&message, &['\n']));
        ExitCode::from(status)
    }
}

impl From<BookError> for Failure {
    fn from(error: BookError) -> Self {
        match error {
            BookError::Storage(storage) => Self::Storage(storage.to_string()),
            BookError::Refused(Refusal::NotFound(not_found)) => not_found.into(),
            BookError::Refused(refusal) => Self::wrong(refusal),
        }
    }
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Self {
        Self::wrong(problems)
    }
}

impl From<CatalogueProblems> for Failure {
    fn from(problems: CatalogueProblems) -> Self {
        Self::wrong(problems)
    }
}

impl From<NotFound> for Failure {
    fn from(not_found: NotFound) -> Self {
        match not_found {
            NotFound::Unknown { near: None, what: "walk", .. } => {
                Self::Wrong(format!("{not_found}; `stintbook walk list` lists those there are"))
            }
            NotFound::Unknown { near: None, .. } => {
                Self::Wrong(format!("{not_found}; `stintbook week` lists those there are"))
            }
            _ => Self::wrong(not_found),
        }
    }
}

impl From<Turned> for Failure {
    fn from(turned: Turned) -> Self {
        match turned {
            Turned::Book(error) => error.into(),
            Turned::UnknownCrop(unknown) => unknown.into(),
            other => Self::wrong(other),
        }
    }
}

impl From<UnknownCrop> for Failure {
    fn from(unknown: UnknownCrop) -> Self {
        Self::Wrong(format!(
            "{unknown}\n  crops of your own are read from sites/crops.toml beside the book, or from the file \
             that --catalogue names"
        ))
    }
}
