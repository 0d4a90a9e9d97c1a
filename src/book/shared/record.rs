//! What was decided, onto the server for sure: where its answer is lost, it is found out what became
//! of it.

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use tokio_postgres::types::Type;
use uuid::Uuid;
use xxhash_rust::xxh3::xxh3_64;

use super::Shared;
use super::decide::{ALONE, Pause};
use super::figures::Figures;
use super::fresh::Fresh;
use super::link::{Link, Snag};
use super::send::send;
use super::tables::TABLES;
use super::working;
use crate::book::trouble::Trouble;

/// How long it is tried to find out what became of what was sent; longer than a server keeps the
/// session of somebody who is gone.
const TO_FIND_OUT: Duration = Duration::from_secs(100);

/// Steps and the last one's mark, by site.
pub(super) type Heads = BTreeMap<i64, (i64, i64)>;

/// What one decision wrote, on its way to the server.
pub(super) struct Act<'a> {
    id: Uuid,
    fresh: &'a Fresh,
    figures: &'a Figures,
    /// The sites that are held; `None` for the whole book.
    held: Option<&'a BTreeSet<i64>>,
    /// Every site that was written about or that its patches lie on, as it was decided on.
    before: Heads,
    /// Those that were written about, as they are afterwards.
    after: Heads,
    /// All of it is there but for the server's word that it stays.
    was_sent: bool,
}

impl<'a> Act<'a> {
    pub(super) fn of(
        fresh: &'a Fresh,
        figures: &'a Figures,
        held: Option<&'a BTreeSet<i64>>,
        decision: &Connection,
    ) -> rusqlite::Result<Self> {
        let id = Uuid::now_v7();
        let mut before = Heads::new();
        for home in fresh.homes.iter().chain(&fresh.beside) {
            before.insert(*home, working::head(*home, decision)?);
        }
        let after = before.iter().filter(|(home, _)| fresh.homes.contains(home));
        let after = after.map(|(home, (steps, mark))| (*home, (steps + 1, next_mark(*mark, id))));
        Ok(Self { id, fresh, figures, held, after: after.collect(), before, was_sent: false })
    }

    /// The first time, while what was looked at is still held.
    fn go(&mut self, link: &Link) -> Result<(), Snag> {
        let is_held = |home: &i64| self.held.is_none_or(|sites| sites.contains(home));
        let others: Vec<i64> = self.before.keys().filter(|home| !is_held(home)).copied().collect();
        if !others.is_empty() {
            // Nobody is waited for out of turn; what nobody changed may be written about.
            let sql = "SELECT home FROM head WHERE home = ANY ($1) ORDER BY home FOR UPDATE NOWAIT";
            link.rows(sql, &[(&others, Type::INT8_ARRAY)])?;
            self.is_as_decided_on(&others, link)?;
        }
        self.write_down(link)
    }

    /// After the connection was lost: nobody else writes until it is clear what became of it.
    fn go_again(&mut self, link: &Link) -> Result<(), Snag> {
        link.run("BEGIN")?;
        // What was sent before is over once this is granted, whichever way it went.
        if let Err(snag) = link.rows(ALONE, &[]) {
            return Err(match snag {
                Snag::Taken => Snag::Lost("another writes to it".to_owned()),
                other => other,
            });
        }
        if self.is_there(link)? {
            return link.run("ROLLBACK");
        }
        let all: Vec<i64> = self.before.keys().copied().collect();
        self.is_as_decided_on(&all, link)?;
        self.was_sent = false;
        self.write_down(link)
    }

    fn is_there(&self, link: &Link) -> Result<bool, Snag> {
        let Some((home, (step, _))) = self.after.first_key_value() else { return Ok(true) };
        let sql = "SELECT FROM step WHERE home = $1 AND step = $2 AND act = $3::text::uuid";
        let id = self.id.to_string();
        let given = [(home as _, Type::INT8), (step as _, Type::INT8), (&id as _, Type::TEXT)];
        Ok(!link.rows(sql, &given)?.is_empty())
    }

    /// # Errors
    /// [`Snag::Taken`] where another wrote there since.
    fn is_as_decided_on(&self, homes: &Vec<i64>, link: &Link) -> Result<(), Snag> {
        let mut there: Heads = homes.iter().map(|home| (*home, (0, 0))).collect();
        let sql = "SELECT home, steps, chain FROM head WHERE home = ANY ($1)";
        for row in link.rows(sql, &[(homes, Type::INT8_ARRAY)])? {
            there.insert(row.try_get(0)?, (row.try_get(1)?, row.try_get(2)?));
        }
        match there.iter().all(|(home, head)| self.before.get(home) == Some(head)) {
            true => Ok(()),
            false => Err(Snag::Taken),
        }
    }

    fn write_down(&mut self, link: &Link) -> Result<(), Snag> {
        let after = &self.after;
        send(self.fresh, |home| after.get(&home).map_or(0, |head| head.0), link)?;
        self.figures.write(link)?;
        let homes: Vec<i64> = after.keys().copied().collect();
        let (steps, marks): (Vec<i64>, Vec<i64>) = after.values().copied().unzip();
        let tables: Vec<i64> = homes.iter().map(|home| tables_of(self.fresh, *home)).collect();
        let id = self.id.to_string();
        let sql = "WITH told AS (SELECT * FROM unnest($1::bigint[], $2::bigint[], $3::bigint[], \
                                                     $4::bigint[]) AS t (home, step, chain, tables)), \
                   headed AS (INSERT INTO head (home, steps, chain) \
                              SELECT home, step, chain FROM told ON CONFLICT (home) DO UPDATE \
                              SET steps = excluded.steps, chain = excluded.chain) \
                   INSERT INTO step (home, step, act, tables, chain) \
                   SELECT home, step, $5::text::uuid, tables, chain FROM told";
        link.rows(
            sql,
            &[
                (&homes, Type::INT8_ARRAY),
                (&steps, Type::INT8_ARRAY),
                (&marks, Type::INT8_ARRAY),
                (&tables, Type::INT8_ARRAY),
                (&id, Type::TEXT),
            ],
        )?;
        self.was_sent = true;
        link.run("COMMIT")
    }
}

impl Shared {
    /// Records it, or says why not; gives the sites' heads as they are afterwards.
    pub(super) fn record(&mut self, mut act: Act) -> Result<Heads, Trouble> {
        let mut until = None;
        let mut pause = Pause::default();
        loop {
            let is_first = until.is_none();
            let done = self.link().and_then(|link| match is_first {
                true => act.go(link),
                false => act.go_again(link),
            });
            let Err(snag) = done else { return Ok(act.after) };
            let Some(cause) = snag.away().map(str::to_owned) else {
                return Err(match snag {
                    Snag::Told(Trouble::NotAllowed(cause)) => self.not_allowed(cause),
                    other => other.into(),
                });
            };
            self.link = None;
            if Instant::now() > *until.get_or_insert_with(|| Instant::now() + TO_FIND_OUT) {
                return Err(match act.was_sent {
                    true => Trouble::Unsure(cause),
                    false => Trouble::Gone(cause),
                });
            }
            pause.make();
        }
    }
}

impl Shared {
    /// What this role may record, where the server did not allow it something.
    fn not_allowed(&mut self, cause: String) -> Trouble {
        self.let_go();
        let asked = self.link().and_then(|link| {
            let may = link.row("SELECT signs(), writes() <> '{}'", &[])?;
            Ok((may.try_get::<_, Option<String>>(0)?, may.try_get(1)?))
        });
        match asked {
            Ok((Some(signs), true)) => Trouble::NotYours(signs),
            Ok((Some(_), false)) => Trouble::ReadsAlone,
            _ => Trouble::NotAllowed(cause),
        }
    }
}

/// The tables with rows of a site, a bit each.
fn tables_of(fresh: &Fresh, home: i64) -> i64 {
    let all = fresh.rows.iter().chain(&fresh.changed);
    let of_site = all.filter(|(_, rows)| rows.iter().any(|row| row.home == home));
    of_site.fold(0, |bits, (at, _)| bits | TABLES[*at].bit())
}

/// What follows a mark, once an act was recorded behind it.
fn next_mark(mark: i64, act: Uuid) -> i64 {
    let mut bytes = mark.to_le_bytes().to_vec();
    bytes.extend_from_slice(act.as_bytes());
    xxh3_64(&bytes).cast_signed()
}
