//! What can be wrong with a book on a server, in clauses that go on behind its name.

use std::path::PathBuf;

/// Why a book on a server did not do what was asked.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Trouble {
    /// This program knows no servers.
    #[error(
        "lies on a server, and this stintbook was built without servers; build it with \
             `cargo install --path . --features shared`"
    )]
    NotBuilt,
    /// An address that is none.
    #[error("has an address that cannot be read: {0}; write `postgres://NAME@HOST/DATABASE`")]
    Address(String),
    /// Nobody answers there.
    #[error("cannot be reached: {0}; see that its server runs and that the address is right")]
    Unreachable(String),
    /// The server's certificate is not to be believed.
    #[error(
        "cannot be reached safely: {0}; name the authority that signs for the server with \
             `?sslrootcert=FILE`, or say `?sslmode=disable` where nobody can listen"
    )]
    Unsafe(String),
    /// The name or the password is not known there.
    #[error(
        "does not let you in: {0}; see the name in its address, and the password there or in \
             the variable PGPASSWORD"
    )]
    NotLetIn(String),
    /// The server has no such database.
    #[error("is not there: its server has no such database; make one with `createdb`")]
    NoDatabase,
    /// A database without a book.
    #[error("has no book in it; `stintbook copy BOOK DATABASE` puts one there")]
    NoBook,
    /// A database with somebody else's tables.
    #[error("has a schema `stintbook` of another program in it; name another database")]
    OtherProgram,
    /// A copy that was cut off.
    #[error(
        "holds a part of a copy that was cut off; give the same `stintbook copy` once more to \
             finish it"
    )]
    HalfCopied,
    /// The connection broke while a book was copied there.
    #[error(
        "went away: {0}; a part of the copy is there, and the same `stintbook copy` once more \
             finishes it"
    )]
    CutOff(String),
    /// There is a book already where one should be put.
    #[error("has a book in it already; `stintbook merge` takes another in")]
    AlreadyThere,
    /// A book of a later layout.
    #[error(
        "was written by a newer stintbook (layout {found}, this one knows layouts up to \
             {known}); update stintbook to use it"
    )]
    Newer {
        /// Its layout.
        found: i64,
        /// The highest that is known here.
        known: i64,
    },
    /// A book of an earlier layout, before one who may not change that.
    #[error(
        "has layout {found}, and it cannot be brought to layout {known} from here; whoever made \
             the database does that with any command on its own server"
    )]
    Older {
        /// Its layout.
        found: i64,
        /// That of this program.
        known: i64,
    },
    /// A server that only follows another.
    #[error(
        "is a replica that can only be read; nothing was recorded; write to the server that it \
             follows"
    )]
    Replica,
    /// The server's own rules forbid it.
    #[error("does not allow you that: {0}; nothing was recorded")]
    NotAllowed(String),
    /// A role that nobody let in.
    #[error(
        "does not let in the role `{0}` yet; whoever made the database does that with \
             `stintbook access role {0}`"
    )]
    Stranger(String),
    /// A leader's role, elsewhere or under another name.
    #[error(
        "lets you record on your own sites alone, signed by `{0}`; nothing was recorded; whoever \
             made the database can let you do more"
    )]
    NotYours(String),
    /// An owner's role.
    #[error("lets you read, and record nothing; whoever made the database can let you do more")]
    ReadsAlone,
    /// Who may do what is the database's owner's.
    #[error("has who may do what for whoever made the database alone, to see and to change")]
    OwnersAlone,
    /// Somebody else writes on the same sites for longer than one waits.
    #[error(
        "is written to by another, on the same sites, for longer than one waits; nothing was \
             recorded; try again in a moment"
    )]
    Busy,
    /// Somebody wrote at a place that was not asked for.
    #[error("was changed by another at the same moment; nothing was recorded; try again")]
    Moved,
    /// The connection broke before anything could be recorded.
    #[error("went away: {0}; nothing was recorded; try again once its server is back")]
    Gone(String),
    /// The connection broke, and what became of the recording could not be found out.
    #[error(
        "went away while it recorded: {0}; whether it is recorded can be seen once its server \
             is back, with `stintbook history`; do not record it again before you looked"
    )]
    Unsure(String),
    /// Rows that are not those that were recorded.
    #[error("gave what is not what was recorded: {0}; its owner should look at a backup")]
    Damaged(String),
    /// No room.
    #[error("has no room left on its server's disk; nothing was recorded")]
    Full,
    /// What can be done with a file alone.
    #[error("lies on a server, and {0}")]
    NotOnServers(&'static str),
    /// The working copy cannot be kept.
    #[error("needs a working copy at `{}`, which cannot be kept there: {cause}", .at.display())]
    WorkingCopy {
        /// Where.
        at: PathBuf,
        /// What the system says.
        cause: String,
    },
    /// What was copied is not what was to be copied.
    #[error("does not hold what was copied into it: {0}")]
    NotTheSame(String),
    /// No name of a site or of a hand.
    #[error("has no role `{0}`; make one with `createuser {0}`")]
    NoRole(String),
    /// Whatever else the server says.
    #[error("could not do it: {0}")]
    Other(String),
}
