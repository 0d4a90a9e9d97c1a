//! The tables of a server: those of a book's file with the same columns, and in front of each row
//! the site whose it is, and the step with which it came there.

use std::sync::LazyLock;

use rusqlite::Connection;
use tokio_postgres::types::Type;

use crate::book::schema;
use crate::records::Kind;

/// One table, as a server and a working copy have it.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) name: &'static str,
    pub(super) columns: Vec<Column>,
    /// What is unique about a row, besides its site.
    pub(super) key: &'static [&'static str],
    /// Whether its rows are spread by their sites. What is unique in the whole book is not.
    pub(super) is_spread: bool,
    /// Whether its rows bear checksums.
    pub(super) is_sealed: bool,
}

#[derive(Debug)]
pub(super) struct Column {
    pub(super) name: String,
    pub(super) of: Type,
    pub(super) is_needed: bool,
}

/// In an order in which rows can be written: what others refer to comes first.
pub(super) static TABLES: LazyLock<Vec<Table>> =
    LazyLock::new(|| tables_of(schema::NEWEST).unwrap_or_default());

/// Those of a layout; the layouts of a server are those of a file.
pub(super) fn tables_of(layout: i64) -> rusqlite::Result<Vec<Table>> {
    let book = Connection::open_in_memory()?;
    schema::lay_out_as(layout, &book)?;
    let mut tables = vec![table("place", &["no"], false, &book)?];
    for kind in Kind::ALL {
        tables.push(table(kind.name(), &["id"], true, &book)?);
    }
    tables.push(table("part", &["survey", "ordinal"], true, &book)?);
    tables.push(table("quadrat", &["survey", "part", "ordinal"], true, &book)?);
    tables.push(table("correction", &["replaced", "id"], true, &book)?);
    // A mark takes its name away before others move to where that stood.
    tables.push(table("forgotten", &["id"], false, &book)?);
    tables.push(table("attendee", &["id"], false, &book)?);
    // Steps keep a bit for each table by its number: those of later layouts come behind.
    tables.push(table("amounts", &["survey", "part"], true, &book)?);
    tables.retain(|table| !table.columns.is_empty());
    Ok(tables)
}

fn table(
    name: &'static str,
    key: &'static [&'static str],
    is_spread: bool,
    book: &Connection,
) -> rusqlite::Result<Table> {
    let columns: Vec<Column> = book
        .prepare("SELECT name, type, \"notnull\" FROM pragma_table_info(?)")?
        .query_map([name], |row| {
            let (name, of, is_needed): (String, String, bool) =
                (row.get(0)?, row.get(1)?, row.get(2)?);
            Ok(Column { name, of: type_of(&of), is_needed })
        })?
        .collect::<rusqlite::Result<_>>()?;
    let is_sealed = columns.iter().any(|column| column.name == "seal");
    Ok(Table { name, columns, key, is_spread, is_sealed })
}

/// What a server calls a type of SQLite's strict tables.
fn type_of(sqlite: &str) -> Type {
    match sqlite {
        "INTEGER" => Type::INT8,
        "REAL" => Type::FLOAT8,
        "BLOB" => Type::BYTEA,
        _ => Type::TEXT,
    }
}

impl Column {
    pub(super) fn sql_type(&self) -> &'static str {
        match self.of {
            Type::INT8 => "bigint",
            Type::FLOAT8 => "double precision",
            Type::BYTEA => "bytea",
            _ => "text",
        }
    }

    fn array(&self) -> &'static str {
        match self.of {
            Type::INT8 => "bigint[]",
            Type::FLOAT8 => "double precision[]",
            Type::BYTEA => "bytea[]",
            _ => "text[]",
        }
    }
}

impl Table {
    /// The columns with commas between them, as either engine reads them.
    pub(super) fn list(&self) -> String {
        let names: Vec<String> = self.columns.iter().map(|it| format!("\"{}\"", it.name)).collect();
        names.join(", ")
    }

    /// As the sealer of rows reads them.
    pub(super) fn bare_list(&self) -> String {
        let names: Vec<&str> = self.columns.iter().map(|column| &*column.name).collect();
        names.join(", ")
    }

    pub(super) fn has(&self, column: &str) -> bool {
        self.at(column).is_some()
    }

    pub(super) fn at(&self, column: &str) -> Option<usize> {
        self.columns.iter().position(|it| it.name == column)
    }

    /// Its number among the tables, as a bit of those that a step wrote to.
    pub(super) fn bit(&self) -> i64 {
        TABLES.iter().position(|table| table.name == self.name).map_or(0, |at| 1 << at)
    }

    /// Rows into a server's table, a list for each column: the site, the step, and its own.
    pub(super) fn insertion(&self) -> String {
        let arrays: Vec<String> = self
            .columns
            .iter()
            .zip(3..)
            .map(|(column, n)| format!("${n}::{}", column.array()))
            .collect();
        format!(
            "INSERT INTO \"{}\" (home, step, {}) SELECT * FROM \
             unnest($1::bigint[], $2::bigint[], {})",
            self.name,
            self.list(),
            arrays.join(", ")
        )
    }

    pub(super) fn copy(&self) -> String {
        format!("COPY \"{}\" (home, step, {}) FROM STDIN BINARY", self.name, self.list())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_of_a_book_is_there_but_those_that_are_made_of_others() {
        let book = Connection::open_in_memory().unwrap();
        schema::lay_out_as(schema::NEWEST, &book).unwrap();
        let mut names: Vec<String> = book
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<rusqlite::Result<_>>()
            .unwrap();
        let made = ["tally", "recognised", "packed"];
        names.retain(|name| !made.contains(&&**name) && !name.starts_with("sqlite_"));
        let mut ours: Vec<&str> = TABLES.iter().map(|table| table.name).collect();
        names.sort();
        ours.sort_unstable();
        assert_eq!(ours, names);
        assert!(TABLES.len() < 63, "a step keeps a bit for each");
    }
}
