//! Rows onto the server, in an open transaction.

use rusqlite::types::Value;
use tokio_postgres::types::{ToSql, Type};

use super::fresh::{Fresh, FreshRow};
use super::link::{Given, Link, Snag};
use super::tables::{TABLES, Table};

/// So many rows go in one statement.
const AT_ONCE: usize = 5_000;

/// From so many rows of a table on it pays to send them in bulk.
const BULK: usize = 500;

/// `step` gives the step of a site.
pub(super) fn send(fresh: &Fresh, step: impl Fn(i64) -> i64, link: &Link) -> Result<(), Snag> {
    if !fresh.gone.is_empty() {
        let sql = "DELETE FROM attendee WHERE id = ANY ($1)";
        link.rows(sql, &[(&fresh.gone, Type::BYTEA_ARRAY)])?;
    }
    for (at, rows) in &fresh.rows {
        let table = &TABLES[*at];
        match rows.len() > BULK && may_send_in_bulk(table, link)? {
            true => in_bulk(table, rows, &step, link)?,
            false => {
                for some in rows.chunks(AT_ONCE) {
                    in_lists(table, some, &step, link)?;
                }
            }
        }
    }
    for (at, rows) in &fresh.changed {
        for row in rows {
            change(&TABLES[*at], row, step(row.home), link)?;
        }
    }
    Ok(())
}

/// PostgreSQL takes rows in bulk (COPY) only from who is above the rules of rows.
fn may_send_in_bulk(table: &Table, link: &Link) -> Result<bool, Snag> {
    let name = format!("stintbook.\"{}\"", table.name);
    let sql = "SELECT NOT row_security_active($1::text::regclass)";
    Ok(link.row(sql, &[(&name, Type::TEXT)])?.try_get(0)?)
}

fn in_bulk(
    table: &Table,
    rows: &[FreshRow],
    step: &impl Fn(i64) -> i64,
    link: &Link,
) -> Result<(), Snag> {
    let mut types = vec![Type::INT8, Type::INT8];
    types.extend(table.columns.iter().map(|column| column.of.clone()));
    let boxed: Vec<Vec<Box<dyn ToSql + Sync + Send>>> = rows
        .iter()
        .map(|FreshRow { home, values }| {
            let mut row: Vec<Box<dyn ToSql + Sync + Send>> = Vec::with_capacity(types.len());
            row.push(Box::new(*home));
            row.push(Box::new(step(*home)));
            row.extend(values.iter().zip(&table.columns).map(|(value, column)| {
                let value: Box<dyn ToSql + Sync + Send> = match column.of {
                    Type::INT8 => Box::new(whole(value)),
                    Type::FLOAT8 => Box::new(real(value)),
                    Type::BYTEA => Box::new(bytes(value).map(<[u8]>::to_vec)),
                    _ => Box::new(text(value).map(str::to_owned)),
                };
                value
            }));
            row
        })
        .collect();
    link.copy_in(&table.copy(), &types, &boxed)
}

fn in_lists(
    table: &Table,
    rows: &[FreshRow],
    step: &impl Fn(i64) -> i64,
    link: &Link,
) -> Result<(), Snag> {
    let homes: Vec<i64> = rows.iter().map(|row| row.home).collect();
    let steps: Vec<i64> = homes.iter().map(|home| step(*home)).collect();
    let lists: Vec<List> = table
        .columns
        .iter()
        .enumerate()
        .map(|(at, column)| {
            let values = rows.iter().map(|row| &row.values[at]);
            match column.of {
                Type::INT8 => List::Whole(values.map(whole).collect()),
                Type::FLOAT8 => List::Real(values.map(real).collect()),
                Type::BYTEA => List::Bytes(values.map(bytes).collect()),
                _ => List::Text(values.map(text).collect()),
            }
        })
        .collect();
    let mut given: Vec<Given> = vec![(&homes, Type::INT8_ARRAY), (&steps, Type::INT8_ARRAY)];
    given.extend(lists.iter().map(List::given));
    link.rows(&table.insertion(), &given)?;
    Ok(())
}

/// The values of one column.
enum List<'a> {
    Whole(Vec<Option<i64>>),
    Real(Vec<Option<f64>>),
    Bytes(Vec<Option<&'a [u8]>>),
    Text(Vec<Option<&'a str>>),
}

impl List<'_> {
    fn given(&self) -> Given<'_> {
        match self {
            Self::Whole(list) => (list, Type::INT8_ARRAY),
            Self::Real(list) => (list, Type::FLOAT8_ARRAY),
            Self::Bytes(list) => (list, Type::BYTEA_ARRAY),
            Self::Text(list) => (list, Type::TEXT_ARRAY),
        }
    }
}

/// That a fact counts as known from another day, and what its file is called: all that ever changes
/// of one.
fn change(table: &Table, row: &FreshRow, step: i64, link: &Link) -> Result<(), Snag> {
    let value = |name: &str| table.at(name).map_or(&Value::Null, |at| &row.values[at]);
    let sql = format!(
        "UPDATE \"{}\" SET recorded_on = $1, file = $2, seal = $3, words_seal = $4, step = $5 \
         WHERE home = $6 AND id = $7",
        table.name
    );
    link.rows(
        &sql,
        &[
            (&text(value("recorded_on")), Type::TEXT),
            (&text(value("file")), Type::TEXT),
            (&whole(value("seal")), Type::INT8),
            (&whole(value("words_seal")), Type::INT8),
            (&step, Type::INT8),
            (&row.home, Type::INT8),
            (&bytes(value("id")), Type::BYTEA),
        ],
    )?;
    Ok(())
}

fn whole(value: &Value) -> Option<i64> {
    match value {
        Value::Integer(number) => Some(*number),
        _ => None,
    }
}

fn real(value: &Value) -> Option<f64> {
    match value {
        Value::Real(number) => Some(*number),
        _ => None,
    }
}

fn bytes(value: &Value) -> Option<&[u8]> {
    match value {
        Value::Blob(bytes) => Some(bytes),
        _ => None,
    }
}

fn text(value: &Value) -> Option<&str> {
    match value {
        Value::Text(text) => Some(text),
        _ => None,
    }
}
