//! A book on a PostgreSQL server, which several hands write to.
//!
//! The server has the facts and is the only truth. A command works on a working copy of them: an
//! ordinary book in the user's cache folder, brought up to date before the command reads, and
//! written to only once the server has what was decided. So everything that knows a book knows
//! this one too, and each rule and each question is written once, for SQLite.

// The server
mod layout;
mod link;
mod reach;
mod stopped;
mod tables;

// The working copy
mod fetch;
mod figures;
mod working;

// What is recorded
mod decide;
mod fresh;
mod hint;
mod record;
mod send;

// The whole of it, there and back; and who may do what
mod copying;
mod hands;

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rusqlite::Connection;

use super::address::Address;
use super::error::{BookError, Failure, StorageError};
use super::open::Book;
use super::schema;
use super::scope::Scope;
use super::taught::Taught;
use super::trouble::Trouble;
use decide::Pause;
use fetch::{Asked, bring_up_to_date};
use hint::Hint;
use link::{Link, Snag};
use stopped::Stopped;

pub(super) use working::OWN_TABLES;

/// How long a server is asked for that is not there at first, and one that says that it starts.
const TO_COME: Duration = Duration::from_secs(3);
const TO_START: Duration = Duration::from_secs(40);

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
    taught: Taught,
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
        if let Some(role) = state.stranger {
            return Err(at(Trouble::Stranger(role)));
        }
        let (connection, copy) = working::open(&link.whose).map_err(&at)?;
        let shared = Self {
            address: address.clone(),
            shown: shown.clone(),
            copy,
            link: Some(link),
            hint: None,
            taught: Taught::default(),
        };
        let mut book = Book { connection, path: shown, shared: Some(Box::new(shared)) };
        book.catch_up()?;
        Ok(book)
    }

    pub(super) fn is_taught(&mut self, taught: Taught) {
        self.taught = taught;
    }

    /// What was said of the decision to come.
    pub(super) fn is_about(&mut self, scope: Scope, name: Option<String>) {
        self.hint = Some(Hint { scope, name });
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
        let mut waiting = Waiting::default();
        loop {
            let path = self.copy.clone();
            let brought = match self.link() {
                Ok(link) => bring_up_to_date(link, copy, &path, Asked::Alone),
                Err(snag) => Err(snag.into()),
            };
            match brought {
                Ok(()) => return Ok(()),
                Err(Stopped::Book(error)) => return Err(error.into()),
                Err(Stopped::Snag(snag)) => {
                    self.link = None;
                    waiting.once_more(snag).map_err(|trouble| self.failure(trouble))?;
                }
            }
        }
    }
}

impl Book {
    /// Brings the working copy up to date with its server.
    pub(in crate::book) fn catch_up(&mut self) -> Result<(), BookError> {
        let Self { connection, path, shared } = self;
        let Some(shared) = shared else { return Ok(()) };
        shared.catch_up(connection).map_err(|failure| failure.at(path))
    }
}

/// Asks once more where the server does not answer, for a moment.
fn patiently<T>(ask: impl Fn() -> Result<T, Snag>) -> Result<T, Trouble> {
    let mut waiting = Waiting::default();
    loop {
        match ask() {
            Ok(answer) => return Ok(answer),
            Err(snag) => waiting.once_more(snag)?,
        }
    }
}

/// For how long a server was waited for that is away.
#[derive(Default)]
struct Waiting {
    since: Option<Instant>,
    pause: Pause,
}

impl Waiting {
    /// Waits a while, if it can be hoped that the server comes back.
    fn once_more(&mut self, snag: Snag) -> Result<(), Trouble> {
        let patience = match &snag {
            Snag::NotYet(_) => TO_START,
            Snag::Lost(_) | Snag::Again => TO_COME,
            Snag::Taken | Snag::Told(_) => return Err(snag.into()),
        };
        let waited = self.since.get_or_insert_with(Instant::now).elapsed();
        if waited < patience {
            self.pause.make();
            return Ok(());
        }
        let asked = |cause: &str| format!("{cause} (asked for {} s)", waited.as_secs());
        Err(snag.away().map(asked).map_or_else(|| snag.into(), Trouble::Unreachable))
    }
}

fn storage(path: &Path, trouble: Trouble) -> BookError {
    StorageError::Server { path: path.to_owned(), trouble }.into()
}
