//! A decision about a book that others write to as well.
//!
//! All rules are local to a patch, but for holds and caps, which are local to a site, and what is
//! learnt of observers' eyes, which is only read. So who decides holds the rows of the sites that
//! the decision is about (`head`), in the order of their numbers, and nobody waits for anybody who
//! is busy elsewhere. A decision that may be about any site holds the whole book. What was decided
//! goes to the server first, and into the working copy once the server has it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

use rusqlite::{Connection, TransactionBehavior};
use tokio_postgres::types::Type;
use xxhash_rust::xxh3::xxh3_64;

use super::Shared;
use super::fetch::{Asked, Stopped, bring_up_to_date};
use super::fresh::{self, Fresh};
use super::hint;
use super::link::{Link, Snag};
use super::send::send;
use super::tables::TABLES;
use super::working;
use crate::book::error::Failure;
use crate::book::numbering;
use crate::book::temporary::with_end;
use crate::book::trouble::Trouble;

/// How long a command tries before it gives up.
const PATIENCE: Duration = Duration::from_secs(60);

/// How long it tries to find out what became of what it sent; longer than a server keeps the
/// session of somebody who is gone.
const TO_FIND_OUT: Duration = Duration::from_secs(100);

/// How long the working copy is waited for while sites are held: whoever has it may wait for these
/// very sites.
const WAIT_FOR_COPY: Duration = Duration::from_secs(3);

/// Held by who writes about some sites, and by who writes about any of them alone.
const SHARED: &str = "SELECT pg_advisory_xact_lock_shared(7617042)";
const ALONE: &str = "SELECT pg_advisory_xact_lock(7617042)";

/// Steps and the last one's mark, by site.
type Heads = BTreeMap<i64, (i64, i64)>;

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
        let heads = match self.record(&fresh, &held, &decision) {
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
                Err(Stopped::Copy(error)) => return Err(error.into()),
                Err(Stopped::Snag(snag @ (Snag::Lost(_) | Snag::Again))) => {
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
        link.run("BEGIN")?;
        match &wanted {
            None => _ = link.rows(ALONE, &[])?,
            Some(sites) => {
                link.rows(SHARED, &[])?;
                let sites: Vec<i64> = sites.iter().copied().collect();
                let sql = "SELECT home FROM head WHERE home = ANY ($1) ORDER BY home FOR UPDATE";
                link.rows(sql, &[(&sites, Type::INT8_ARRAY)])?;
            }
        }
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
    fn let_go(&mut self) {
        if let Some(link) = &self.link
            && link.run("ROLLBACK").is_err()
        {
            self.link = None;
        }
    }

    /// Brings what was decided to the server, for sure: where its answer was lost, asks whether it
    /// got there.
    fn record(
        &mut self,
        fresh: &Fresh,
        held: &Held,
        decision: &Connection,
    ) -> Result<Heads, Trouble> {
        let act = uuid::Uuid::now_v7();
        let before =
            heads_before(fresh, decision).map_err(|error| Trouble::Other(error.to_string()))?;
        let after: Heads = before
            .iter()
            .filter(|(home, _)| fresh.homes.contains(home))
            .map(|(home, (steps, chain))| (*home, (steps + 1, next_link(*chain, act))))
            .collect();
        let mut until = None;
        let mut pause = Pause::default();
        let mut was_sent = false;
        let mut is_first = true;
        loop {
            let done = match is_first {
                true => self.try_to_record(fresh, held, &before, &after, act, &mut was_sent),
                false => self.try_once_more(fresh, &before, &after, act, &mut was_sent),
            };
            is_first = false;
            match done {
                Ok(()) => return Ok(after),
                Err(Snag::Told(trouble)) => return Err(trouble),
                Err(snag) => {
                    if !matches!(snag, Snag::Lost(_)) {
                        return Err(snag.into());
                    }
                    self.link = None;
                    // What was sent before may be under way for as long as a server lets a session idle.
                    if Instant::now() > *until.get_or_insert(Instant::now() + TO_FIND_OUT) {
                        let Snag::Lost(cause) = snag else { return Err(Trouble::Busy) };
                        return Err(if was_sent {
                            Trouble::Unsure(cause)
                        } else {
                            Trouble::Gone(cause)
                        });
                    }
                    pause.make();
                }
            }
        }
    }

    fn try_to_record(
        &mut self,
        fresh: &Fresh,
        held: &Held,
        before: &Heads,
        after: &Heads,
        act: uuid::Uuid,
        was_sent: &mut bool,
    ) -> Result<(), Snag> {
        let link = self.link()?;
        let is_held = |home: &i64| held.sites.as_ref().is_none_or(|sites| sites.contains(home));
        let others: Vec<i64> = before.keys().filter(|home| !is_held(home)).copied().collect();
        if !others.is_empty() {
            // Nobody is waited for out of turn; what nobody changed may be written about.
            let sql = "SELECT home FROM head WHERE home = ANY ($1) ORDER BY home FOR UPDATE NOWAIT";
            link.rows(sql, &[(&others, Type::INT8_ARRAY)])?;
            if heads_there(&others, link)? != only(before, &others) {
                return Err(Snag::Taken);
            }
        }
        write_down(fresh, after, act, link, was_sent)
    }

    /// After the connection was lost: nobody else writes until it is clear what became of it.
    fn try_once_more(
        &mut self,
        fresh: &Fresh,
        before: &Heads,
        after: &Heads,
        act: uuid::Uuid,
        was_sent: &mut bool,
    ) -> Result<(), Snag> {
        let link = self.link()?;
        link.run("BEGIN")?;
        // What was sent before is over once this is granted, whichever way it went.
        if let Err(snag) = link.rows(ALONE, &[]) {
            return Err(match snag {
                Snag::Taken => Snag::Lost("another writes to it".to_owned()),
                other => other,
            });
        }
        let (home, (step, _)) = match after.iter().next() {
            Some((home, head)) => (*home, *head),
            None => return Ok(()),
        };
        let sql = "SELECT act = $3::text::uuid FROM step WHERE home = $1 AND step = $2";
        let id = act.to_string();
        let given = [(&home as _, Type::INT8), (&step as _, Type::INT8), (&id as _, Type::TEXT)];
        if let Some(row) = link.rows(sql, &given)?.pop()
            && row.try_get::<_, bool>(0)?
        {
            return link.run("ROLLBACK");
        }
        let all: Vec<i64> = before.keys().copied().collect();
        if heads_there(&all, link)? != *before {
            return Err(Snag::Taken);
        }
        *was_sent = false;
        write_down(fresh, after, act, link, was_sent)
    }
}

fn write_down(
    fresh: &Fresh,
    after: &Heads,
    act: uuid::Uuid,
    link: &Link,
    was_sent: &mut bool,
) -> Result<(), Snag> {
    send(fresh, |home| after.get(&home).map_or(0, |head| head.0), link)?;
    let homes: Vec<i64> = after.keys().copied().collect();
    let steps: Vec<i64> = after.values().map(|head| head.0).collect();
    let chains: Vec<i64> = after.values().map(|head| head.1).collect();
    let tables: Vec<i64> = homes.iter().map(|home| tables_of(fresh, *home)).collect();
    let id = act.to_string();
    let sql = "WITH told AS (SELECT * FROM unnest($1::bigint[], $2::bigint[], $3::bigint[], \
                                                 $4::bigint[]) AS t (home, step, chain, tables)), \
               headed AS (INSERT INTO head (home, steps, chain) SELECT home, step, chain FROM told \
                          ON CONFLICT (home) DO UPDATE \
                          SET steps = excluded.steps, chain = excluded.chain) \
               INSERT INTO step (home, step, act, tables, chain) \
               SELECT home, step, $5::text::uuid, tables, chain FROM told";
    link.rows(
        sql,
        &[
            (&homes, Type::INT8_ARRAY),
            (&steps, Type::INT8_ARRAY),
            (&chains, Type::INT8_ARRAY),
            (&tables, Type::INT8_ARRAY),
            (&id, Type::TEXT),
        ],
    )?;
    *was_sent = true;
    link.run("COMMIT")
}

/// The tables with rows of a site, a bit each.
fn tables_of(fresh: &Fresh, home: i64) -> i64 {
    let all = fresh.rows.iter().chain(&fresh.changed);
    let of_site = all.filter(|(_, rows)| rows.iter().any(|row| row.home == home));
    of_site.fold(0, |bits, (at, _)| bits | TABLES[*at].bit())
}

/// What follows a mark, once an act was recorded behind it.
fn next_link(chain: i64, act: uuid::Uuid) -> i64 {
    let mut bytes = chain.to_le_bytes().to_vec();
    bytes.extend_from_slice(act.as_bytes());
    xxh3_64(&bytes).cast_signed()
}

/// Of every site that the decision wrote about or that its patches lie on: as the working copy has
/// it, and so as it was decided on.
fn heads_before(fresh: &Fresh, decision: &Connection) -> rusqlite::Result<Heads> {
    let all = fresh.homes.iter().chain(&fresh.beside);
    all.map(|home| Ok((*home, working::head(*home, decision)?))).collect()
}

fn heads_there(homes: &Vec<i64>, link: &Link) -> Result<Heads, Snag> {
    let mut heads: Heads = homes.iter().map(|home| (*home, (0, 0))).collect();
    let sql = "SELECT home, steps, chain FROM head WHERE home = ANY ($1)";
    for row in link.rows(sql, &[(homes, Type::INT8_ARRAY)])? {
        heads.insert(row.try_get(0)?, (row.try_get(1)?, row.try_get(2)?));
    }
    Ok(heads)
}

fn only(heads: &Heads, homes: &[i64]) -> Heads {
    heads.iter().filter(|(home, _)| homes.contains(home)).map(|(home, it)| (*home, *it)).collect()
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
