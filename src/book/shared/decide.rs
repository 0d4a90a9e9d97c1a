//! A decision about a book that others write to as well.
//!
//! All rules are local to a patch, but for holds and caps, which are local to a site, and what is
//! learnt of observers' eyes, which is only read. So who decides holds the rows of the sites that
//! the decision is about (`head`), in the order of their numbers, and nobody waits for anybody who
//! is busy elsewhere. A decision that may be about any site holds the whole book. What was decided
//! goes to the server first, and into the working copy once the server has it.

use std::collections::BTreeSet;
use std::fs::{File, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::{Connection, TransactionBehavior};
use xxhash_rust::xxh3::xxh3_64;

use super::Shared;
use super::fetch::{Asked, bring_up_to_date};
use super::figures::Figures;
use super::fresh::{self, Fresh};
use super::hint::{self, Hint};
use super::link::Snag;
use super::record::{Act, Heads};
use super::stopped::Stopped;
use super::working;
use crate::book::error::Failure;
use crate::book::numbering;
use crate::book::temporary::with_end;
use crate::book::trouble::Trouble;
use crate::records::folded;

/// How long a command tries before it gives up.
const PATIENCE: Duration = Duration::from_secs(60);

/// How long the working copy is waited for while sites are held: whoever has it may wait for these
/// very sites.
const WAIT_FOR_COPY: Duration = Duration::from_secs(3);

/// Held by who writes about any site alone.
pub(super) const ALONE: &str = "SELECT pg_advisory_xact_lock(7617042)";

/// Held by who writes about some sites.
const SHARED: &str = "SELECT pg_advisory_xact_lock_shared(7617042)";

/// What a walk may be called anew: held by who names one, for all names by who does not say which.
const ANY_NAME: &str = "SELECT pg_advisory_xact_lock(7617043)";
const SOME_NAME: &str = "SELECT pg_advisory_xact_lock_shared(7617043)";

/// What a decision holds before it looks at the book.
struct Held {
    /// `None` for the whole book.
    sites: Option<BTreeSet<i64>>,
    /// Nobody else writes to the working copy.
    _copy: File,
    /// Free numbers for new places.
    block: i64,
}

impl Shared {
    /// As [`Book::written`](crate::book::Book) has it for a file: lets `write` look at the working
    /// copy, which is as the server is as far as the decision goes, and records what it wrote if it
    /// says so.
    pub(in crate::book) fn written<T>(
        &mut self,
        copy: &mut Connection,
        write: impl FnOnce(&Connection) -> Result<(T, bool), Failure>,
    ) -> Result<T, Failure> {
        let held = self.hold(copy)?;
        let decision = copy.transaction_with_behavior(TransactionBehavior::Immediate)?;
        fresh::watch(&decision)?;
        numbering::within(held.block, &decision)?;
        let written = write(&decision);
        let fresh = match written {
            Ok((answer, false)) => {
                self.let_go();
                return Ok(answer);
            }
            Err(failure) => {
                self.let_go();
                return Err(failure);
            }
            Ok((answer, true)) => (Fresh::collect(&decision)?, answer),
        };
        let (fresh, answer) = fresh;
        if fresh.is_empty() {
            self.let_go();
            decision.commit()?;
            return Ok(answer);
        }
        let figures = Figures::of(&fresh, &decision, &self.taught)?;
        let act = Act::of(&fresh, &figures, held.sites.as_ref(), &decision)?;
        let heads = match self.record(act) {
            Ok(heads) => heads,
            Err(trouble) => {
                self.let_go();
                return Err(self.failure(trouble));
            }
        };
        // The server has it: whatever becomes of the working copy, it is recorded.
        let _ = keep(&fresh, &heads, &decision).and_then(|()| decision.commit());
        Ok(answer)
    }

    /// Holds what the decision is about, with the working copy as it is then.
    fn hold(&mut self, copy: &mut Connection) -> Result<Held, Failure> {
        let until = Instant::now() + PATIENCE;
        let mut pause = Pause::default();
        loop {
            let held = self.try_to_hold(copy);
            let cause = match held {
                Ok(Some(held)) => return Ok(held),
                Ok(None) => Trouble::Busy,
                Err(Stopped::Book(error)) => return Err(error.into()),
                Err(Stopped::Snag(snag @ (Snag::Lost(_) | Snag::NotYet(_) | Snag::Again))) => {
                    self.link = None;
                    snag.into()
                }
                Err(Stopped::Snag(Snag::Taken)) => return Err(self.failure(Trouble::Busy)),
                Err(Stopped::Snag(Snag::Told(trouble))) => return Err(self.failure(trouble)),
            };
            self.let_go();
            if Instant::now() > until {
                return Err(self.failure(cause));
            }
            pause.make();
        }
    }

    /// `None` where the working copy was not to be had, or where the decision turned out to be
    /// about other sites.
    fn try_to_hold(&mut self, copy: &mut Connection) -> Result<Option<Held>, Stopped> {
        let wanted = hint::sites(self.hint.as_ref(), copy)?;
        let path = self.copy.clone();
        let hint = self.hint.clone();
        let link = self.link()?;
        link.run(&holding(wanted.as_ref(), hint.as_ref()))?;
        let block: i64 = link.row("SELECT nextval('place_block')", &[])?.try_get(0)?;
        let Some(lock) = copy_within(&path)? else { return Ok(None) };
        bring_up_to_date(link, copy, &path, Asked::Within)?;
        let since = hint::sites(hint.as_ref(), copy)?;
        let is_enough = match (&wanted, &since) {
            (None, _) => true,
            (Some(held), Some(since)) => since.is_subset(held),
            (Some(_), None) => false,
        };
        Ok(is_enough.then_some(Held { sites: wanted, _copy: lock, block }))
    }

    /// Ends whatever transaction is open on the server.
    pub(super) fn let_go(&mut self) {
        if let Some(link) = &self.link
            && link.run("ROLLBACK").is_err()
        {
            self.link = None;
        }
    }
}

/// Begins a transaction that holds the sites, or all of the book, in the order in which everybody
/// takes them: so no two wait for each other.
fn holding(sites: Option<&BTreeSet<i64>>, hint: Option<&Hint>) -> String {
    let Some(sites) = sites else { return format!("BEGIN; {ALONE}") };
    let names = match hint {
        None => ANY_NAME.to_owned(),
        Some(Hint { name: Some(name), .. }) => {
            format!("{SOME_NAME}; SELECT pg_advisory_xact_lock(7617043, {})", number_of(name))
        }
        Some(Hint { name: None, .. }) => String::new(),
    };
    let sites: Vec<String> = sites.iter().map(ToString::to_string).collect();
    format!(
        "BEGIN; {SHARED}; {names}; \
         SELECT FROM head WHERE home = ANY ('{{{}}}') ORDER BY home FOR UPDATE",
        sites.join(", ")
    )
}

/// One for all ways to write a name. Two names that have the same by chance wait for each other.
fn number_of(name: &str) -> i32 {
    let bytes = xxh3_64(folded(name).as_bytes()).to_le_bytes();
    i32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

fn keep(fresh: &Fresh, heads: &Heads, decision: &Connection) -> rusqlite::Result<()> {
    for (place, home) in &fresh.places {
        working::write_home(*place, *home, decision)?;
    }
    for (home, (steps, chain)) in heads {
        working::write_head(*home, *steps, *chain, decision)?;
        working::write_last(*home, *steps, *chain, decision)?;
    }
    Ok(())
}

/// The lock of the working copy, unless another has it for longer than one should wait that holds
/// sites.
fn copy_within(path: &Path) -> Result<Option<File>, Trouble> {
    let at = with_end(path, ".lock");
    let failed = |cause: String| Trouble::WorkingCopy { at: at.clone(), cause };
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&at)
        .map_err(|error| failed(error.to_string()))?;
    let until = Instant::now() + WAIT_FOR_COPY;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Some(file)),
            Err(TryLockError::WouldBlock) if Instant::now() > until => return Ok(None),
            Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(2)),
            Err(TryLockError::Error(error)) => return Err(failed(error.to_string())),
        }
    }
}

/// Ever longer pauses between tries, not the same for all who try.
pub(super) struct Pause {
    next: Duration,
}

impl Default for Pause {
    fn default() -> Self {
        Self { next: Duration::from_millis(50) }
    }
}

impl Pause {
    const LONGEST: Duration = Duration::from_secs(3);

    pub(super) fn make(&mut self) {
        let chance = u32::from(uuid::Uuid::now_v7().as_bytes()[15]);
        std::thread::sleep(self.next + self.next * chance / 256);
        self.next = (self.next * 2).min(Self::LONGEST);
    }
}
