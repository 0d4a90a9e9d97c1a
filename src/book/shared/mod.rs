//! A book on a PostgreSQL server, which several hands write to.
//!
//! The server has the facts and is the only truth. A command works on a working copy of them: an
//! ordinary book in the user's cache folder, brought up to date before the command reads, and
//! written to only once the server has what was decided. So everything that knows a book knows
//! this one too, and each rule and each question is written once, for SQLite.

// The server
mod layout;
mod link;
mod tables;

// The working copy
mod fetch;
mod working;

// What is recorded
mod decide;
mod fresh;
mod hint;
mod send;

// The whole of it, there and back; and who may do what
mod copying;
mod hands;

use std::path::{Path, PathBuf};

use rusqlite::Connection;

use super::address::Address;
use super::error::{BookError, Failure, StorageError};
use super::open::Book;
use super::schema;
use super::scope::Scope;
use super::trouble::Trouble;
use decide::Pause;
use fetch::{Asked, Stopped, bring_up_to_date};
use hint::Hint;
use link::{Link, Snag};

pub(super) use working::OWN_TABLES;

/// How often a server is asked that does not answer at first.
const TRIES: usize = 4;

/// What makes an open book one on a server.
#[derive(Debug)]
pub(super) struct Shared {
    address: Address,
    /// As people may see it.
    shown: PathBuf,
    /// The working copy's file.
    copy: PathBuf,
    /// `None` where it was lost.
    link: Option<Link>,
    hint: Option<Hint>,
}

impl Shared {
    /// Opens the book with its working copy up to date.
    pub(super) fn open(address: &Address) -> Result<Book, BookError> {
        let shown = address.shown();
        let at = |trouble: Trouble| storage(&shown, trouble);
        let (link, state) = patiently(|| {
            let link = Link::to(address)?;
            let state = layout::state(&link)?;
            Ok((link, state))
        })
        .map_err(&at)?;
        let state = state.ok_or_else(|| at(Trouble::NoBook))?;
        let known = schema::NEWEST;
        if !state.is_whole {
            return Err(at(Trouble::HalfCopied));
        }
        if state.layout > known {
            return Err(at(Trouble::Newer { found: state.layout, known }));
        }
        if state.layout < known {
            layout::upgrade(&link, state.layout).map_err(|snag| at(snag.into()))?;
        }
        let (connection, copy) = working::open(&link.whose).map_err(&at)?;
        let shared = Self {
            address: address.clone(),
            shown: shown.clone(),
            copy,
            link: Some(link),
            hint: None,
        };
        let mut book = Book { connection, path: shown, shared: Some(Box::new(shared)) };
        book.catch_up()?;
        Ok(book)
    }

    /// What was said of the decision to come.
    pub(super) fn is_about(&mut self, scope: Scope, names: bool) {
        self.hint = Some(Hint { scope, names });
    }

    pub(super) fn copy(&self) -> &Path {
        &self.copy
    }

    fn link(&mut self) -> Result<&Link, Snag> {
        match &mut self.link {
            Some(link) => Ok(link),
            lost => Ok(lost.insert(Link::to(&self.address)?)),
        }
    }

    fn failure(&self, trouble: Trouble) -> Failure {
        Failure::Storage(StorageError::Server { path: self.shown.clone(), trouble })
    }

    fn catch_up(&mut self, copy: &mut Connection) -> Result<(), Failure> {
        let mut pause = Pause::default();
        for tried in 1.. {
            let path = self.copy.clone();
            let brought = match self.link() {
                Ok(link) => bring_up_to_date(link, copy, &path, Asked::Alone),
                Err(snag) => Err(snag.into()),
            };
            match brought {
                Ok(()) => break,
                Err(Stopped::Copy(error)) => return Err(error.into()),
                Err(Stopped::Snag(Snag::Lost(_) | Snag::Again)) if tried < TRIES => {
                    self.link = None;
                    pause.make();
                }
                Err(Stopped::Snag(Snag::Lost(cause))) => {
                    return Err(self.failure(Trouble::Unreachable(cause)));
                }
                Err(Stopped::Snag(snag)) => return Err(self.failure(snag.into())),
            }
        }
        Ok(())
    }
}

impl Book {
    /// Brings the working copy up to date with its server.
    fn catch_up(&mut self) -> Result<(), BookError> {
        let Self { connection, path, shared } = self;
        let Some(shared) = shared else { return Ok(()) };
        shared.catch_up(connection).map_err(|failure| failure.at(path))
    }
}

/// Asks once more where the server does not answer, for a moment.
fn patiently<T>(ask: impl Fn() -> Result<T, Snag>) -> Result<T, Trouble> {
    let mut pause = Pause::default();
    for _ in 1..TRIES {
        match ask() {
            Err(Snag::Lost(_) | Snag::Again) => pause.make(),
            Err(snag) => return Err(snag.into()),
            Ok(answer) => return Ok(answer),
        }
    }
    ask().map_err(|snag| match snag {
        Snag::Lost(cause) => Trouble::Unreachable(cause),
        other => other.into(),
    })
}

fn storage(path: &Path, trouble: Trouble) -> BookError {
    StorageError::Server { path: path.to_owned(), trouble }.into()
}
