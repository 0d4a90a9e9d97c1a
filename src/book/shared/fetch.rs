//! What is new on the server, into the working copy: each row held against its checksums.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use rusqlite::types::{ToSqlOutput, Value};
use rusqlite::{Connection, TransactionBehavior, params_from_iter};
use tokio_postgres::Row;
use tokio_postgres::types::Type;

use super::figures;
use super::link::{Link, Snag};
use super::stopped::Stopped;
use super::tables::{TABLES, Table};
use super::working::{self, Reached};
use crate::book::attendees::{self, Mark};
use crate::book::day;
use crate::book::eyes_elsewhere::eyes_elsewhere;
use crate::book::packed::pack_anew;
use crate::book::row::insertion;
use crate::book::seal::{Sealer, Seals};
use crate::book::sealing;
use crate::book::tally::Tallies;
use crate::book::to_pack::ToPack;
use crate::book::trouble::Trouble;
use crate::records::{EyeTold, FactId, Kind};

/// How far the server has come since the working copy was last looked after.
#[derive(Debug)]
struct News {
    reached: Reached,
    /// By site: how many steps there are, the last one's mark, and the tables they wrote to.
    heads: BTreeMap<i64, (i64, i64, i64)>,
    /// The working copy holds what the server has not, or what is not for this role.
    is_other: bool,
    /// How eyes that look here erred elsewhere; who sees all of it learns that from the facts.
    eyes: Vec<EyeTold>,
}

/// Whether who asks has a transaction open on the server.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// No: one is begun, so that all that is read is of one moment.
    Alone,
    /// Yes, and what is to be written about is held.
    Within,
}

/// Brings the working copy up to date. `path` is where it lies; who calls holds its lock if
/// `is_held`.
pub(super) fn bring_up_to_date(
    link: &Link,
    copy: &mut Connection,
    path: &Path,
    asked: Asked,
) -> Result<(), Stopped> {
    let reached = working::reached(copy)?;
    let seen = news(link, reached.as_ref())?;
    let are_eyes_known = eyes_elsewhere(None, copy)? == seen.eyes;
    if !seen.is_other && are_eyes_known && is_all_here(&seen, copy)? {
        return Ok(());
    }
    let _lock = match asked {
        Asked::Alone => Some(working::lock(path)?),
        Asked::Within => None,
    };
    if asked == Asked::Alone {
        link.run("BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY")?;
    }
    let brought = bring(link, copy);
    if asked == Asked::Alone {
        link.run("ROLLBACK")?;
    }
    brought
}

fn is_all_here(news: &News, copy: &Connection) -> rusqlite::Result<bool> {
    for (home, (steps, chain, _)) in &news.heads {
        if working::head(*home, copy)? != (*steps, *chain) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Whether the working copy has what the server has not: it was put back from a backup, and went on.
/// (What is recorded is on the server first, and who asks here holds the working copy's lock.)
fn is_ahead(news: &News, copy: &Connection) -> rusqlite::Result<bool> {
    for (home, (steps, chain, _)) in &news.heads {
        let (seen, mark) = working::head(*home, copy)?;
        if seen > *steps || (seen == *steps && mark != *chain) {
            return Ok(true);
        }
    }
    Ok(false)
}

fn bring(link: &Link, copy: &mut Connection) -> Result<(), Stopped> {
    let moment = copy.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Asked once more: another command may have been quicker.
    let mut news = news(link, working::reached(&moment)?.as_ref())?;
    if news.is_other {
        working::empty(&moment)?;
        news = self::news(link, None)?;
    }
    if is_ahead(&news, &moment)? {
        working::empty(&moment)?;
        news = self::news(link, None)?;
    }
    let mut wanted = Wanted::default();
    for (home, (steps, chain, tables)) in &news.heads {
        let (seen, _) = working::head(*home, &moment)?;
        if seen < *steps {
            wanted.homes.push(*home);
            wanted.seen.push(seen);
            wanted.upto.push(*steps);
            wanted.tables |= tables;
            working::write_head(*home, *steps, *chain, &moment)?;
            news.reached.last = (*home, *steps, *chain);
        }
    }
    let mut taking = Taking::default();
    for table in TABLES.iter().filter(|table| wanted.tables & table.bit() != 0) {
        taking.take(table, &wanted, link, &moment)?;
    }
    taking.finish(&moment)?;
    figures::keep(&news.eyes, &moment)?;
    working::write_reached(&news.reached, &moment)?;
    moment.commit()?;
    Ok(())
}

/// Which steps are to be fetched, site by site.
#[derive(Debug, Default)]
struct Wanted {
    homes: Vec<i64>,
    seen: Vec<i64>,
    upto: Vec<i64>,
    tables: i64,
}

/// All in one question: an answer may take as long to come here as the server takes for it.
fn news(link: &Link, reached: Option<&Reached>) -> Result<News, Snag> {
    let none = Reached { id: String::new(), sight: String::new(), horizon: 0, last: (0, 0, 0) };
    let from = reached.unwrap_or(&none);
    let (home, step, chain) = from.last;
    let heads = match reached {
        Some(_) => {
            "SELECT home, max(step), (array_agg(chain ORDER BY step DESC))[1], bit_or(tables) \
             FROM step WHERE xid >= $4::text::xid8 GROUP BY home"
        }
        None => "SELECT home, steps, chain, -1::bigint FROM head WHERE steps > 0",
    };
    // A transaction before the horizon is over; what it wrote can be seen.
    let sql = format!(
        "SELECT id::text, state = 'whole', layout, \
                pg_snapshot_xmin(pg_current_snapshot())::text::bigint, sight(), \
                $2 = 0 OR EXISTS (SELECT FROM step WHERE home = $1 AND step = $2 AND chain = $3), \
                heads.*, eyes.* \
         FROM book, \
              (SELECT array_agg(home), array_agg(step), array_agg(chain), array_agg(tables) \
               FROM ({heads}) AS each (home, step, chain, tables)) AS heads, \
              (SELECT array_agg(crop), array_agg(observer), array_agg(day), array_agg(log_ratio) \
               FROM eyes_elsewhere() WHERE sight() <> '{}') AS eyes",
        working::SEES_ALL
    );
    let horizon = from.horizon.to_string();
    let given = [(&home as _, Type::INT8), (&step as _, Type::INT8), (&chain as _, Type::INT8)];
    let told = link.row(&sql, &[given.as_slice(), &[(&horizon as _, Type::TEXT)]].concat())?;
    let (id, is_whole, layout): (String, bool, i64) =
        (told.try_get(0)?, told.try_get(1)?, told.try_get(2)?);
    if !is_whole {
        return Err(Snag::Told(Trouble::HalfCopied));
    }
    let known = crate::book::schema::NEWEST;
    if layout != known {
        return Err(Snag::Told(Trouble::Newer { found: layout, known }));
    }
    let (horizon, sight): (i64, String) = (told.try_get(3)?, told.try_get(4)?);
    let is_there: bool = told.try_get(5)?;
    let is_other = reached.is_some_and(|reached| {
        reached.id != id || reached.sight != sight || reached.horizon > horizon || !is_there
    });
    let list = |at: usize| -> Result<Vec<i64>, Snag> {
        Ok(told.try_get::<_, Option<_>>(at)?.unwrap_or_default())
    };
    let (homes, steps, chains, tables) = (list(6)?, list(7)?, list(8)?, list(9)?);
    let heads = homes.into_iter().zip(steps).zip(chains).zip(tables);
    let heads =
        heads.map(|(((home, step), chain), tables)| (home, (step, chain, tables))).collect();
    let eyes = figures::told(&told, 10)?;
    Ok(News { reached: Reached { id, sight, horizon, last: from.last }, heads, is_other, eyes })
}

/// Rows on their way into the working copy.
#[derive(Default)]
struct Taking {
    tallies: Tallies,
    /// By survey and part: what its quadrats should come to, less what came.
    quadrats: HashMap<(Vec<u8>, i64), i64>,
}

impl Taking {
    fn take(
        &mut self,
        table: &Table,
        wanted: &Wanted,
        link: &Link,
        copy: &Connection,
    ) -> Result<(), Stopped> {
        let columns: Vec<String> =
            table.columns.iter().map(|column| format!("t.\"{}\"", column.name)).collect();
        let sql = format!(
            "SELECT t.home, {} FROM \"{name}\" AS t \
             JOIN unnest($1::bigint[], $2::bigint[], $3::bigint[]) AS w (home, seen, upto) \
                  ON t.home = w.home AND t.step > w.seen AND t.step <= w.upto \
             ORDER BY {order}",
            columns.join(", "),
            name = table.name,
            order = if table.has("place") && !matches!(table.name, "site" | "patch") {
                format!("t.place, t.{}", table.key[0])
            } else {
                let key: Vec<String> = table.key.iter().map(|key| format!("t.{key}")).collect();
                key.join(", ")
            },
        );
        let given = [
            (&wanted.homes as _, Type::INT8_ARRAY),
            (&wanted.seen as _, Type::INT8_ARRAY),
            (&wanted.upto as _, Type::INT8_ARRAY),
        ];
        let list = table.bare_list();
        let mut sealer = Sealer::of_list(&list);
        let insertion = insertion(table.name, &table.list());
        link.each(&sql, &given, |row| {
            let home: i64 = row.try_get(0)?;
            let values = values_of(row, table)?;
            self.put(table, home, values, &mut sealer, &insertion, copy)
        })
    }

    fn put(
        &mut self,
        table: &Table,
        home: i64,
        values: Vec<Value>,
        sealer: &mut Sealer,
        insertion: &str,
        copy: &Connection,
    ) -> Result<(), Stopped> {
        let value = |name: &str| table.at(name).map_or(&Value::Null, |at| &values[at]);
        let id = match value("id") {
            Value::Blob(id) => <[u8; 16]>::try_from(id.as_slice()).ok(),
            _ => None,
        };
        match (table.name, id) {
            ("place", _) => {
                let Value::Integer(no) = value("no") else { return Err(unreadable(table)) };
                working::write_home(*no, home, copy)?;
            }
            ("forgotten", Some(id)) => {
                let day = match value("day") {
                    Value::Text(day) => day::from_text(day.as_bytes()),
                    _ => None,
                };
                attendees::apply(&[Mark { id, day }], copy)?;
                return Ok(());
            }
            ("attendee", Some(id)) => {
                copy.prepare_cached("DELETE FROM attendee WHERE id = ?")?.execute([id])?;
            }
            _ => {}
        }
        let seals = match table.is_sealed || matches!(table.name, "quadrat" | "amounts") {
            false => None,
            true => {
                let given: Vec<ToSqlOutput> =
                    values.iter().map(|value| ToSqlOutput::Borrowed(value.into())).collect();
                Some(sealer.seals_of_values(&given)?)
            }
        };
        if let Some(seals) = seals.filter(|_| table.is_sealed) {
            let kept = (value("seal"), value("words_seal"));
            if kept != (&Value::Integer(seals.limit), &Value::Integer(seals.words)) {
                return Err(unsound(table, id).into());
            }
        }
        let is_fact = Kind::ALL.iter().any(|kind| kind.name() == table.name);
        if (is_fact || table.name == "correction")
            && self.is_here_otherwise(table, id, &values, copy)?
        {
            return Ok(());
        }
        copy.prepare_cached(insertion)?.execute(params_from_iter(values.iter())).map_err(
            |error| match error.sqlite_error_code() {
                Some(rusqlite::ErrorCode::ConstraintViolation) => Stopped::from(Trouble::Damaged(
                    format!("a row of `{}` does not fit the others ({error})", table.name),
                )),
                _ => error.into(),
            },
        )?;
        if let Some(seals) = seals {
            self.count(table, &values, seals)?;
        }
        Ok(())
    }

    fn count(&mut self, table: &Table, values: &[Value], seals: Seals) -> Result<(), Stopped> {
        let value = |name: &str| table.at(name).map_or(&Value::Null, |at| &values[at]);
        let of_part = |ordinal: &str| match (value("survey"), value(ordinal)) {
            (Value::Blob(survey), Value::Integer(part)) => Some((survey.clone(), *part)),
            _ => None,
        };
        match table.name {
            "quadrat" | "amounts" => {
                let key = of_part("part").ok_or_else(|| unreadable(table))?;
                let left = self.quadrats.entry(key).or_default();
                *left = left.wrapping_sub(seals.weight());
                return Ok(());
            }
            "part" => {
                let key = of_part("ordinal").ok_or_else(|| unreadable(table))?;
                if let Value::Integer(sum) = value("quadrats") {
                    let left = self.quadrats.entry(key).or_default();
                    *left = left.wrapping_add(*sum);
                }
            }
            _ => {}
        }
        let Value::Integer(place) = value("place") else { return Err(unreadable(table)) };
        self.tallies.count_new(table.name, *place, seals, |name| Ok(value(name).clone()))?;
        Ok(())
    }

    /// Whether the working copy has the row already: then all that may have changed of it is from
    /// which day it counts as known, and what its file is called.
    fn is_here_otherwise(
        &mut self,
        table: &Table,
        id: Option<[u8; 16]>,
        values: &[Value],
        copy: &Connection,
    ) -> Result<bool, Stopped> {
        let Some(id) = id else { return Err(unreadable(table)) };
        let value = |name: &str| table.at(name).map_or(&Value::Null, |at| &values[at]);
        if table.name == "correction" {
            let known = "SELECT 1 FROM correction WHERE id = ? AND replaced = ?";
            let mut known = copy.prepare_cached(known)?;
            return Ok(known.exists(rusqlite::params![id, value("replaced")])?);
        }
        let known = format!("SELECT recorded_on, file FROM {} WHERE id = ?", table.name);
        let known: Option<(Value, Value)> = {
            use rusqlite::OptionalExtension;
            copy.prepare_cached(&known)?
                .query_row([id], |row| Ok((row.get(0)?, row.get(1)?)))
                .optional()?
        };
        let Some((day, file)) = known else { return Ok(false) };
        if (&day, &file) != (value("recorded_on"), value("file")) {
            let kind = Kind::ALL.into_iter().find(|kind| kind.name() == table.name);
            let (Some(kind), Value::Text(day)) = (kind, value("recorded_on")) else {
                return Err(unreadable(table));
            };
            let file = match value("file") {
                Value::Text(file) => Some(file.as_str()),
                _ => None,
            };
            let tallies = std::mem::take(&mut self.tallies);
            tallies.write(copy)?;
            let id = FactId(uuid::Uuid::from_bytes(id));
            sealing::known_since(kind, id, day, file, copy)?;
        }
        Ok(true)
    }

    fn finish(self, copy: &Connection) -> Result<(), Stopped> {
        if let Some(((survey, _), _)) = self.quadrats.iter().find(|(_, left)| **left != 0) {
            let id = uuid::Uuid::from_slice(survey).unwrap_or_default();
            let what = format!("the quadrats of survey `{}` do not add up", FactId(id).short());
            return Err(Trouble::Damaged(what).into());
        }
        pack_anew(ToPack::of(self.tallies.write(copy)?), copy)?;
        Ok(())
    }
}

fn values_of(row: &Row, table: &Table) -> Result<Vec<Value>, Stopped> {
    let mut values = Vec::with_capacity(table.columns.len());
    for (column, at) in table.columns.iter().zip(1..) {
        values.push(match column.of {
            Type::INT8 => row.try_get::<_, Option<i64>>(at)?.map_or(Value::Null, Value::Integer),
            Type::FLOAT8 => row.try_get::<_, Option<f64>>(at)?.map_or(Value::Null, Value::Real),
            Type::BYTEA => row.try_get::<_, Option<Vec<u8>>>(at)?.map_or(Value::Null, Value::Blob),
            _ => row.try_get::<_, Option<String>>(at)?.map_or(Value::Null, Value::Text),
        });
    }
    Ok(values)
}

fn unreadable(table: &Table) -> Stopped {
    Trouble::Damaged(format!("a row of `{}` cannot be read", table.name)).into()
}

fn unsound(table: &Table, id: Option<[u8; 16]>) -> Trouble {
    let name = id.map(|id| format!(" `{}`", FactId(uuid::Uuid::from_bytes(id)).short()));
    let name = name.unwrap_or_default();
    Trouble::Damaged(format!("the {}{name} does not match its checksum", table.name))
}
