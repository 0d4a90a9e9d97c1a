//! What was decided, onto the server for sure: where its answer is lost, it is found out what became
//! of it.

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use rusqlite::types::Value;
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
    /// What walks are called in it, and how many were called so before.
    named: Vec<(String, i64)>,
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
        let (after, named) = (after.collect(), named(fresh, decision)?);
        Ok(Self { id, fresh, figures, held, before, after, named, was_sent: false })
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
        for (name, before) in &self.named {
            let sql = "SELECT count(*) FROM walk WHERE lower(name) = lower($1)";
            if link.row(sql, &[(name, Type::TEXT)])?.try_get::<_, i64>(0)? != *before {
                return Err(Snag::Taken);
            }
        }
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
        if after.is_empty() {
            return link.run("COMMIT");
        }
        let steps: Vec<String> = after
            .iter()
            .map(|(home, (step, mark))| {
                let tables = tables_of(self.fresh, *home);
                format!("({home}, {step}, '{}'::uuid, {tables}, {mark})", self.id)
            })
            .collect();
        self.was_sent = true;
        // Numbers alone, so that it all goes in one message.
        link.run(&format!(
            "WITH told (home, step, act, tables, chain) AS (VALUES {}), \
             headed AS (INSERT INTO head (home, steps, chain) \
                        SELECT home, step, chain FROM told ON CONFLICT (home) DO UPDATE \
                        SET steps = excluded.steps, chain = excluded.chain) \
             INSERT INTO step (home, step, act, tables, chain) SELECT * FROM told; COMMIT",
            steps.join(", ")
        ))
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

fn named(fresh: &Fresh, decision: &Connection) -> rusqlite::Result<Vec<(String, i64)>> {
    let walks = fresh.rows.iter().filter(|(at, _)| TABLES[**at].name == "walk");
    let names = walks.flat_map(|(at, rows)| {
        let name = TABLES[*at].at("name");
        rows.iter().filter_map(move |row| match &row.values[name?] {
            Value::Text(name) => Some(name),
            _ => None,
        })
    });
    let mut all: BTreeMap<&String, i64> = BTreeMap::new();
    names.for_each(|name| *all.entry(name).or_default() -= 1);
    for (name, count) in &mut all {
        let sql = "SELECT count(*) FROM walk WHERE name = ? COLLATE NOCASE";
        *count += decision.query_row(sql, [name], |row| row.get::<_, i64>(0))?;
    }
    Ok(all.into_iter().map(|(name, count)| (name.clone(), count)).collect())
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
