//! What can go wrong with a book, in sentences.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::civil::Date;
use rusqlite::ErrorCode;

use super::trouble::Trouble;
use crate::records::{Fact, FactId, Kind, NameError, NotFound, Record};
use crate::units::counted;

/// Why a book did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// The file could not be read or written.
    #[error(transparent)]
    Storage(#[from] StorageError),
    /// What was asked does not fit what the book holds; the file is as it was.
    #[error(transparent)]
    Refused(#[from] Refusal),
}

/// The file could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum StorageError {
    /// No file is there.
    #[error("there is no book at `{}`; make one with `stintbook new`", .0.display())]
    Missing(PathBuf),
    /// A file is there that a new book would take the place of.
    #[error("`{}` is there already; a new book never takes the place of a file", .0.display())]
    AlreadyThere(PathBuf),
    /// A folder is there.
    #[error("`{}` is a folder; name the book file in it", .0.display())]
    Folder(PathBuf),
    /// A file without a byte.
    #[error("`{}` is an empty file, not a book; delete it and make one with `stintbook new`",
            .0.display())]
    Empty(PathBuf),
    /// A file that is no database.
    #[error("`{}` is not a book: nothing in it reads as one", .0.display())]
    NotABook(PathBuf),
    /// A database of something else.
    #[error("`{}` is another program's SQLite database, not a book", .0.display())]
    OtherProgram(PathBuf),
    /// A book of a later layout.
    #[error("`{}` was written by a newer stintbook (layout {found}, this one knows layouts up \
             to {known}); update stintbook to use it", .path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The number of its layout.
        found: i64,
        /// The highest that is known here.
        known: i64,
    },
    /// Another command has it locked for longer than one waits.
    #[error("another stintbook command is writing to `{}`; try again in a moment",
            .0.display())]
    Busy(PathBuf),
    /// It may be read and not written.
    #[error("`{}` cannot be written to: the file or its folder is read-only", .0.display())]
    ReadOnly(PathBuf),
    /// It is of an older layout, and may not be written to.
    #[error("`{}` was written by an older stintbook and must first be brought up to date, which \
             its read-only file or folder keeps from being done; read a copy in a folder of your \
             own", .0.display())]
    OldAndReadOnly(PathBuf),
    /// It may not even be opened.
    #[error("`{}` cannot be opened; see that you may read and write it and its folder",
            .0.display())]
    Locked(PathBuf),
    /// Nothing was recorded.
    #[error("no room is left on the disk to write to `{}`; nothing was recorded", .0.display())]
    DiskFull(PathBuf),
    /// It cannot be read as a book.
    #[error("`{}` is damaged: {what}; `stintbook restore` puts a backup in its place",
            .path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is damaged, in a phrase.
        what: String,
    },
    /// Some of what it holds cannot be believed; `wrong` has a phrase each.
    #[error("`{}` is damaged, and no limit is given from what is: {}; `stintbook verify` names \
             all of it, `stintbook restore` puts a backup in its place; until then `check` and \
             `week --site` still answer for places that are whole",
            .path.display(), some_of(.wrong))]
    Unsound {
        /// The file.
        path: PathBuf,
        /// A phrase for each thing.
        wrong: Vec<String>,
    },
    /// It is open elsewhere, and so is not replaced.
    #[error("`{}` is open in another program, so it was not replaced; close that and try again",
            .0.display())]
    InUse(PathBuf),
    /// It is damaged, and no copy is made of what is; `wrong` has a phrase each.
    #[error("`{}` is damaged, so no copy of it was made: {}", .path.display(), some_of(.wrong))]
    NotCopied {
        /// The file.
        path: PathBuf,
        /// A phrase for each thing.
        wrong: Vec<String>,
    },
    /// A file was made under another name that could not be taken away.
    #[error("`{}` is whole, but `{}`, the name under which it was made, could not be taken away: \
             {cause}\n  delete that one and nothing else before you go on", .path.display(),
            .other.display())]
    TwoNames {
        /// The file as it should be called.
        path: PathBuf,
        /// The name that is still there.
        other: PathBuf,
        /// What the system says.
        cause: String,
    },
    /// What only a book on a server has.
    #[error("`{}` is a file, so no roles of a server write to it; `stintbook access add` lets \
             somebody in at its desk", .0.display())]
    OnServersOnly(PathBuf),
    /// A book on a server.
    #[error("the shared book `{}` {trouble}", .path.display())]
    Server {
        /// Its address, without a password.
        path: PathBuf,
        /// What is wrong.
        trouble: Trouble,
    },
    /// Whatever else the system or SQLite says, in `cause`.
    #[error("`{}` could not be read or written: {cause}", .path.display())]
    Other {
        /// The file.
        path: PathBuf,
        /// What the system or SQLite says.
        cause: String,
    },
}

/// Two facts that would give two things one name on one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bearers {
    /// The one that is to be recorded.
    pub new: Bearer,
    /// The one that bears the name.
    pub other: Bearer,
}

/// A fact that gives a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bearer {
    /// Of the fact.
    pub id: FactId,
    /// All that it says in one line.
    pub gist: String,
    /// By whom.
    pub by: Arc<str>,
    /// When it was set down.
    pub day: Date,
    /// Where it was read; `None` for what was typed.
    pub file: Option<Arc<str>>,
}

impl Bearer {
    pub(super) fn of(fact: &Fact<Record>) -> Self {
        Self {
            id: fact.id,
            gist: fact.record.gist(),
            by: fact.by.clone(),
            day: fact.happened_on,
            file: fact.file.clone(),
        }
    }
}

/// What was asked does not fit what the book holds.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// A name that leads nowhere.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// A text that is no name.
    #[error(transparent)]
    Name(#[from] NameError),
    /// A field that the book cannot hold.
    #[error("{what} `{key}`, `{field}`: `{found}` is not {expected}")]
    Unusable {
        /// The kind of record.
        what: &'static str,
        /// What tells it from others of its kind.
        key: String,
        /// Which field.
        field: &'static str,
        /// What it says.
        found: String,
        /// Continues "expected …".
        expected: &'static str,
    },
    /// A part of a survey of which nothing was measured.
    #[error("survey `{key}` has a part without a quadrat; record at least one in each")]
    NoQuadrats {
        /// Patch, day and hand of the survey.
        key: String,
    },
    /// A name that another place or walk bears at that time.
    #[error(
        "another {what} is called `{name}` at that time; choose another name, or correct \
             that {what}"
    )]
    NameTaken {
        /// `site`, `patch` or `walk`.
        what: &'static str,
        /// The name.
        name: String,
        /// Both that would bear it.
        bearers: Box<Bearers>,
    },
    /// A fact of an id that is there.
    #[error("fact `{}` is in the book already", .0.short())]
    AlreadyRecorded(FactId),
    /// A fact that is not the newest of those that put one another right.
    #[error("fact `{}` was corrected already; correct the newest, `{}`", .old.short(),
            .newest.short())]
    AlreadyReplaced {
        /// The fact that was named.
        old: FactId,
        /// The one that counts in its place.
        newest: FactId,
    },
    /// A fact that counts no longer.
    #[error("fact `{}` was withdrawn on {on}; record it anew instead", .id.short())]
    AlreadyWithdrawn {
        /// The fact.
        id: FactId,
        /// When it was withdrawn.
        on: Date,
    },
    /// A correction without the fact that it points to.
    #[error("the fact that should take the place of `{}` was not recorded with its correction",
            .0.short())]
    NoReplacement(FactId),
    /// A fact in the place of another kind.
    #[error("fact `{}` is a {}, so no {} can take its place", .id.short(), .was.name(),
            .becomes.name())]
    OtherKind {
        /// The fact.
        id: FactId,
        /// Its kind.
        was: Kind,
        /// The kind of what should take its place.
        becomes: Kind,
    },
    /// Corrections that lead back to their own fact.
    #[error("the corrections of fact `{}` lead in a circle", .0.short())]
    Circle(FactId),
    /// A correction of a day before its fact counts.
    #[error("fact `{}` counts from {known_from}, after the day of the correction, {on}",
            .id.short())]
    CorrectedTooEarly {
        /// The fact.
        id: FactId,
        /// From when it counts.
        known_from: Date,
        /// The day of the correction.
        on: Date,
    },
    /// A place or walk that others refer to.
    #[error("{what} `{name}` still has {uses}; withdraw or move them first")]
    StillUsed {
        /// `site`, `patch` or `walk`.
        what: &'static str,
        /// What it is called.
        name: String,
        /// What refers to it, with numbers.
        uses: String,
    },
    /// One fact that two books tell otherwise.
    #[error(
        "fact `{}` says one thing in this book and another in the other, so another program \
         changed one of them; restore that book from a copy", .0.short()
    )]
    ToldOtherwise(FactId),
    /// A file where the backup should go.
    #[error("`{}` is there already; a backup takes the place of nothing but an older backup of \
             the same book, and of that only with --over", .0.display())]
    BackupThere(PathBuf),
    /// A file that holds what the book does not.
    #[error("`{}` holds {} that the book does not, so it is no older backup of it; name another \
             file", .path.display(), facts(*.more))]
    NotOlder {
        /// The file.
        path: PathBuf,
        /// How many facts it has beyond the book.
        more: usize,
    },
    /// No fact of that name.
    #[error("no fact is called `{asked}`{}", did_you_mean(.near))]
    UnknownFact {
        /// As it was typed.
        asked: String,
        /// The short id of a fact that is spelt nearly so.
        near: Option<String>,
    },
    /// A name that several facts end with.
    #[error("`{asked}` may be any of {}; write more of its end", .all.join(", "))]
    SeveralFacts {
        /// As it was typed.
        asked: String,
        /// The ids that end so.
        all: Vec<String>,
    },
    /// A text that cannot name a fact.
    #[error("`{0}` is not the name of a fact; write the last eight of its digits, like `9f3a01c7`")]
    NotAFactName(String),
}

fn did_you_mean(near: &Option<String>) -> String {
    near.as_ref().map(|id| format!("; did you mean `{id}`?")).unwrap_or_default()
}

fn facts(n: usize) -> String {
    counted(n, "fact")
}

/// How many troubles a sentence can bear.
const TOLD: usize = 4;

fn some_of(wrong: &[String]) -> String {
    let told = wrong.iter().take(TOLD).cloned().collect::<Vec<_>>().join(", and ");
    match wrong.len().saturating_sub(TOLD) {
        0 => told,
        more => format!("{told}, and {more} more"),
    }
}

/// A failure on its way up, before the book adds the file's name.
#[derive(Debug)]
pub(super) enum Failure {
    Sql(rusqlite::Error),
    Refused(Refusal),
    /// With all that is to be said of it.
    #[cfg_attr(not(feature = "shared"), expect(dead_code, reason = "books on servers fail so"))]
    Storage(StorageError),
    /// What was read is not what was recorded: a sentence each.
    Unsound(Vec<String>),
}

impl From<rusqlite::Error> for Failure {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<NotFound> for Failure {
    fn from(not_found: NotFound) -> Self {
        Self::Refused(not_found.into())
    }
}

impl From<NameError> for Failure {
    fn from(error: NameError) -> Self {
        Self::Refused(error.into())
    }
}

impl Failure {
    pub(super) fn at(self, path: &Path) -> BookError {
        match self {
            Self::Sql(error) => StorageError::from_sqlite(path, &error).into(),
            Self::Refused(refusal) => refusal.into(),
            Self::Storage(error) => error.into(),
            Self::Unsound(wrong) => StorageError::Unsound { path: path.to_owned(), wrong }.into(),
        }
    }
}

impl StorageError {
    pub(super) fn from_sqlite(path: &Path, error: &rusqlite::Error) -> Self {
        let path = path.to_owned();
        match error.sqlite_error_code() {
            // That it begins as an SQLite file was seen before.
            Some(ErrorCode::NotADatabase) => {
                Self::Damaged { path, what: "its first page is none of a book".to_owned() }
            }
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy(path),
            Some(ErrorCode::ReadOnly) => Self::ReadOnly(path),
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => Self::Locked(path),
            Some(ErrorCode::DiskFull) => Self::DiskFull(path),
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged {
                path,
                what: format!("its pages do not hang together ({})", without_sql(error)),
            },
            Some(ErrorCode::TooBig | ErrorCode::OutOfMemory) => {
                Self::Damaged { path, what: "a length in it is none".to_owned() }
            }
            _ => match error {
                // What is asked is always the same, so it is the tables that are not.
                rusqlite::Error::SqlInputError { .. } => Self::Damaged {
                    path,
                    what: format!("its tables are not those of a book ({})", without_sql(error)),
                },
                other => match misread(other) {
                    Some(what) => Self::Damaged { path, what },
                    None => Self::Other { path, cause: without_sql(other) },
                },
            },
        }
    }
}

impl StorageError {
    /// What went wrong in a file that was named before.
    pub(super) fn in_few_words(error: &rusqlite::Error) -> String {
        misread(error).unwrap_or_else(|| without_sql(error))
    }
}

/// What a value is not that it should be, where that is what is wrong.
fn misread(error: &rusqlite::Error) -> Option<String> {
    match error {
        rusqlite::Error::FromSqlConversionFailure(_, _, misread) => Some(misread.to_string()),
        rusqlite::Error::InvalidColumnType(_, column, found) => {
            let found = found.to_string().to_lowercase();
            Some(format!("column `{column}` holds a value of the wrong type ({found})"))
        }
        _ => None,
    }
}

/// What SQLite says, without the statement that it was asked.
fn without_sql(error: &rusqlite::Error) -> String {
    let said = match error {
        rusqlite::Error::SqlInputError { msg, .. } => msg.clone(),
        other => other.to_string(),
    };
    // Of a damaged schema SQLite quotes all that it could not read.
    let end = [" - ", "\n", ": \""].iter().filter_map(|end| said.find(end)).min();
    said[..end.unwrap_or(said.len())].to_owned()
}
