//! Why what goes between a server and a book here stopped: either may be the cause.

use super::link::Snag;
use crate::book::trouble::Trouble;

#[derive(Debug)]
pub(super) enum Stopped {
    /// The server, or the line to it.
    Snag(Snag),
    /// The book on this machine: a file, or the working copy.
    Book(rusqlite::Error),
}

impl From<Snag> for Stopped {
    fn from(snag: Snag) -> Self {
        Self::Snag(snag)
    }
}

impl From<tokio_postgres::Error> for Stopped {
    fn from(error: tokio_postgres::Error) -> Self {
        Self::Snag(error.into())
    }
}

impl From<Trouble> for Stopped {
    fn from(trouble: Trouble) -> Self {
        Self::Snag(Snag::Told(trouble))
    }
}

impl From<rusqlite::Error> for Stopped {
    fn from(error: rusqlite::Error) -> Self {
        Self::Book(error)
    }
}
