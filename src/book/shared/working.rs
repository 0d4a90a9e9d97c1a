//! The working copy: an ordinary book in the user's cache folder, one for each server, database and
//! role. It is made of the server's facts and may be dropped at any time.
//!
//! Tables of its own say how far it has come; a backup leaves them out.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, params};
use xxhash_rust::xxh3::xxh3_64;

use super::tables::TABLES;
use crate::book::open::{connect_to_write, lay_out};
use crate::book::schema;
use crate::book::temporary::{Temporary, with_end};
use crate::book::trouble::Trouble;

/// What is known of the server's book and of how much of it is here.
const OWN: &str = "
CREATE TABLE IF NOT EXISTS shared_book (
    id      TEXT NOT NULL, -- of the server's book
    sight   TEXT NOT NULL, -- what this role saw of it
    horizon INTEGER NOT NULL, -- every transaction before this one is here
    home INTEGER NOT NULL, step INTEGER NOT NULL, chain INTEGER NOT NULL -- one step that is here
);
CREATE TABLE IF NOT EXISTS shared_head (
    home INTEGER PRIMARY KEY, steps INTEGER NOT NULL, chain INTEGER NOT NULL
);
-- How eyes erred on land that is not here.
CREATE TABLE IF NOT EXISTS shared_eye (
    crop TEXT NOT NULL, observer TEXT NOT NULL, day TEXT NOT NULL, log_ratio REAL NOT NULL
);
CREATE TABLE IF NOT EXISTS shared_place (no INTEGER PRIMARY KEY, home INTEGER NOT NULL);
";

/// Its own tables, which are no part of a book.
pub(in crate::book) const OWN_TABLES: [&str; 4] =
    ["shared_book", "shared_head", "shared_place", "shared_eye"];

/// What a role sees that sees every site (`sight`, in the layout).
pub(super) const SEES_ALL: &str = "all";

/// How far the working copy has come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Reached {
    pub(super) id: String,
    pub(super) sight: String,
    pub(super) horizon: i64,
    /// A step that is here: home, step, chain.
    pub(super) last: (i64, i64, i64),
}

/// Opens the working copy of what the address leads to, and makes it where there is none.
pub(super) fn open(whose: &str) -> Result<(Connection, PathBuf), Trouble> {
    let folder = folder()?;
    let failed =
        |error: io::Error| Trouble::WorkingCopy { at: folder.clone(), cause: error.to_string() };
    fs::create_dir_all(&folder).map_err(failed)?;
    keep_from_others(&folder);
    let name = format!("{:016x}-{}.sqlite", xxh3_64(whose.as_bytes()), schema::NEWEST);
    let path = folder.join(name);
    let _lock = lock(&path)?;
    let failed = |error: rusqlite::Error| Trouble::WorkingCopy {
        at: path.clone(),
        cause: error.to_string(),
    };
    if let Ok(connection) = opened(&path) {
        return Ok((connection, path));
    }
    // Half made, or damaged: all of it is on the server.
    for end in ["", "-wal", "-shm", "-journal"] {
        let _ = fs::remove_file(with_end(&path, end));
    }
    let new = Temporary::beside(&path)
        .map_err(|error| Trouble::WorkingCopy { at: path.clone(), cause: error.to_string() })?;
    lay_out(&new.path).map_err(failed)?;
    new.settle_at(&path)
        .map_err(|error| Trouble::WorkingCopy { at: path.clone(), cause: error.to_string() })?;
    Ok((opened(&path).map_err(failed)?, path))
}

fn opened(path: &Path) -> rusqlite::Result<Connection> {
    let connection = connect_to_write(path)?;
    if schema::layout(&connection)? != schema::NEWEST {
        return Err(rusqlite::Error::InvalidQuery);
    }
    // What a loss of power takes is on the server still.
    connection.pragma_update(None, "synchronous", "normal")?;
    connection.execute_batch(OWN)?;
    Ok(connection)
}

/// Held while the working copy is written to. SQLite's own waiting is a matter of luck where many
/// come at a time; here they come in turn.
pub(super) fn lock(path: &Path) -> Result<File, Trouble> {
    let path = with_end(path, ".lock");
    let failed =
        |error: io::Error| Trouble::WorkingCopy { at: path.clone(), cause: error.to_string() };
    let file =
        File::options().create(true).truncate(false).write(true).open(&path).map_err(failed)?;
    file.lock().map_err(failed)?;
    Ok(file)
}

/// `XDG_CACHE_HOME`, or what stands for it on the system.
fn folder() -> Result<PathBuf, Trouble> {
    let set = |name: &str| std::env::var_os(name).filter(|it| !it.is_empty()).map(PathBuf::from);
    let home = || {
        set("HOME").map(|home| match cfg!(target_os = "macos") {
            true => home.join("Library/Caches"),
            false => home.join(".cache"),
        })
    };
    let found = set("XDG_CACHE_HOME").or_else(|| set("LOCALAPPDATA")).or_else(home);
    let none = || Trouble::WorkingCopy {
        at: PathBuf::from("XDG_CACHE_HOME"),
        cause: "neither it nor HOME is set".to_owned(),
    };
    Ok(found.ok_or_else(none)?.join("stintbook"))
}

/// It holds what parties of walks are called.
#[cfg(unix)]
fn keep_from_others(folder: &Path) {
    use std::os::unix::fs::PermissionsExt;
    let _ = fs::set_permissions(folder, fs::Permissions::from_mode(0o700));
}

#[cfg(not(unix))]
fn keep_from_others(_: &Path) {}

pub(super) fn reached(copy: &Connection) -> rusqlite::Result<Option<Reached>> {
    copy.prepare_cached("SELECT id, sight, horizon, home, step, chain FROM shared_book")?
        .query_row([], |row| {
            Ok(Reached {
                id: row.get(0)?,
                sight: row.get(1)?,
                horizon: row.get(2)?,
                last: (row.get(3)?, row.get(4)?, row.get(5)?),
            })
        })
        .optional()
}

pub(super) fn write_reached(reached: &Reached, copy: &Connection) -> rusqlite::Result<()> {
    copy.execute("DELETE FROM shared_book", [])?;
    let Reached { id, sight, horizon, last: (home, step, chain) } = reached;
    copy.execute(
        "INSERT INTO shared_book (id, sight, horizon, home, step, chain) VALUES (?, ?, ?, ?, ?, ?)",
        params![id, sight, horizon, home, step, chain],
    )?;
    Ok(())
}

/// The sites that are here, with what is the whole book's, for a role that does not see all;
/// `None` for one that does, and before anything is here.
pub(super) fn sites_alone(copy: &Connection) -> rusqlite::Result<Option<BTreeSet<i64>>> {
    if reached(copy)?.is_none_or(|reached| reached.sight == SEES_ALL) {
        return Ok(None);
    }
    let mut homes = copy.prepare_cached("SELECT home FROM shared_head UNION SELECT 0")?;
    homes.query_map([], |row| row.get(0))?.collect::<rusqlite::Result<_>>().map(Some)
}

/// Remembers a step that is here: where the server lacks it, it is not the book that it was.
pub(super) fn write_last(
    home: i64,
    step: i64,
    chain: i64,
    copy: &Connection,
) -> rusqlite::Result<()> {
    copy.execute("UPDATE shared_book SET home = ?, step = ?, chain = ?", [home, step, chain])?;
    Ok(())
}

/// How many steps of a site are here, and the last one's mark.
pub(super) fn head(home: i64, copy: &Connection) -> rusqlite::Result<(i64, i64)> {
    let found = copy
        .prepare_cached("SELECT steps, chain FROM shared_head WHERE home = ?")?
        .query_row([home], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    Ok(found.unwrap_or((0, 0)))
}

pub(super) fn write_head(
    home: i64,
    steps: i64,
    chain: i64,
    copy: &Connection,
) -> rusqlite::Result<()> {
    copy.prepare_cached(
        "INSERT OR REPLACE INTO shared_head (home, steps, chain) VALUES (?, ?, ?)",
    )?
    .execute([home, steps, chain])?;
    Ok(())
}

/// The site of a place; 0 for none.
pub(super) fn home_of(place: i64, copy: &Connection) -> rusqlite::Result<Option<i64>> {
    copy.prepare_cached("SELECT home FROM shared_place WHERE no = ?")?
        .query_row([place], |row| row.get(0))
        .optional()
}

pub(super) fn write_home(place: i64, home: i64, copy: &Connection) -> rusqlite::Result<()> {
    copy.prepare_cached("INSERT OR REPLACE INTO shared_place (no, home) VALUES (?, ?)")?
        .execute([place, home])?;
    Ok(())
}

/// Takes everything out, for a working copy that is to be made anew.
pub(super) fn empty(copy: &Connection) -> rusqlite::Result<()> {
    let made = ["tally", "recognised", "packed"];
    let facts = TABLES.iter().rev().map(|table| table.name);
    for table in facts.chain(made).chain(OWN_TABLES) {
        copy.execute(&format!("DELETE FROM main.\"{table}\""), [])?;
    }
    Ok(())
}
