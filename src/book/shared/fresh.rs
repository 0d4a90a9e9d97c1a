//! What a decision wrote into the working copy, so that the server gets the same rows.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, params};

use super::tables::{TABLES, Table};
use super::working;
use crate::records::Kind;

/// A row for the server, with its site.
#[derive(Debug)]
pub(super) struct FreshRow {
    pub(super) home: i64,
    pub(super) values: Vec<Value>,
}

/// All that a decision wrote.
#[derive(Debug, Default)]
pub(super) struct Fresh {
    /// By the number of the table.
    pub(super) rows: BTreeMap<usize, Vec<FreshRow>>,
    /// The same of rows that were there, and now count as known from another day.
    pub(super) changed: BTreeMap<usize, Vec<FreshRow>>,
    /// Names that were deleted.
    pub(super) gone: Vec<Vec<u8>>,
    /// New places, with their sites.
    pub(super) places: Vec<(i64, i64)>,
    /// The sites whose facts these are.
    pub(super) homes: BTreeSet<i64>,
    /// Sites on which the patches lie by now, where that is another than whose facts they are.
    pub(super) beside: BTreeSet<i64>,
}

/// Begins to keep a list of what is written on this connection.
pub(super) fn watch(copy: &Connection) -> rusqlite::Result<()> {
    let mut sql = String::from(
        "CREATE TEMP TABLE IF NOT EXISTS shared_fresh (\
             tab, op, one, two, PRIMARY KEY (tab, op, one, two)) WITHOUT ROWID;",
    );
    let mut on = |table: &str, when: &str, op: &str, one: &str, two: &str| {
        sql += &format!(
            "CREATE TEMP TRIGGER IF NOT EXISTS shared_{table}_{op} AFTER {when} ON main.\"{table}\" \
             BEGIN INSERT OR IGNORE INTO shared_fresh VALUES ('{table}', '{op}', {one}, {two}); END;"
        );
    };
    on("place", "INSERT", "new", "NEW.no", "0");
    for kind in Kind::ALL {
        on(kind.name(), "INSERT", "new", "NEW.id", "0");
        on(kind.name(), "UPDATE OF recorded_on", "changed", "NEW.id", "0");
    }
    on("correction", "INSERT", "new", "NEW.id", "NEW.replaced");
    on("forgotten", "INSERT", "new", "NEW.id", "0");
    on("attendee", "INSERT", "new", "NEW.id", "0");
    on("attendee", "UPDATE", "moved", "NEW.id", "0");
    on("attendee", "DELETE", "gone", "OLD.id", "OLD.walk");
    copy.execute_batch(&sql)?;
    copy.execute_batch("DELETE FROM temp.shared_fresh")
}

impl Fresh {
    /// What was written since [`watch`] was called.
    pub(super) fn collect(copy: &Connection) -> rusqlite::Result<Self> {
        let mut fresh = Self::default();
        let mut homes = Homes { copy, known: HashMap::new() };
        for (at, table) in TABLES.iter().enumerate() {
            for (op, sql) in statements(table) {
                let mut statement = copy.prepare(&sql)?;
                let mut rows = statement.query([])?;
                while let Some(row) = rows.next()? {
                    let values: rusqlite::Result<Vec<Value>> =
                        (0..table.columns.len()).map(|at| row.get(at)).collect();
                    let values = values?;
                    let home = homes.of(table, &values, row.get(table.columns.len())?)?;
                    fresh.note(table, home, &values, &mut homes)?;
                    let all = if op == "new" { &mut fresh.rows } else { &mut fresh.changed };
                    all.entry(at).or_default().push(FreshRow { home, values });
                }
            }
        }
        let mut gone = copy.prepare(
            "SELECT one, two FROM temp.shared_fresh WHERE tab = 'attendee' AND op IN ('gone', 'moved')",
        )?;
        let mut rows = gone.query([])?;
        while let Some(row) = rows.next()? {
            fresh.gone.push(row.get(0)?);
            if let Value::Text(walk) = row.get(1)? {
                fresh.homes.insert(homes.of_walk(&walk)?);
            }
        }
        Ok(fresh)
    }

    fn note(
        &mut self,
        table: &Table,
        home: i64,
        values: &[Value],
        homes: &mut Homes,
    ) -> rusqlite::Result<()> {
        self.homes.insert(home);
        let whole = |column: &str| match table.at(column).map(|at| &values[at]) {
            Some(Value::Integer(number)) => Some(*number),
            _ => None,
        };
        match table.name {
            "place" => self.places.extend(whole("no").map(|no| (no, home))),
            // Its name is the whole book's.
            "site" => _ = self.homes.insert(0),
            "patch" => self.beside.extend(whole("site").filter(|site| *site != home)),
            _ => {}
        }
        if let Some(place) = whole("place").filter(|_| table.has("by_whom")) {
            self.beside.extend(homes.site_now(place)?.filter(|site| *site != home));
        }
        Ok(())
    }

    pub(super) fn is_empty(&self) -> bool {
        self.homes.is_empty() && self.gone.is_empty()
    }
}

/// What brings the fresh rows of a table: its columns, and one more by which its site is found.
fn statements(table: &Table) -> Vec<(&'static str, String)> {
    let name = table.name;
    let columns: Vec<String> =
        table.columns.iter().map(|column| format!("t.\"{}\"", column.name)).collect();
    let columns = columns.join(", ");
    let of = |tab: &str, op: &str, rest: &str| {
        format!("FROM temp.shared_fresh AS f {rest} WHERE f.tab = '{tab}' AND f.op {op}")
    };
    let by_id = format!("CROSS JOIN main.\"{name}\" AS t ON t.id = f.one");
    match name {
        "place" => vec![(
            "new",
            format!(
                "SELECT {columns}, t.no {}",
                of(name, "= 'new'", "CROSS JOIN main.place AS t ON t.no = f.one")
            ),
        )],
        "part" | "amounts" => vec![(
            "new",
            format!(
                "SELECT {columns}, t.place {} ORDER BY t.survey, t.{}",
                of(
                    "survey",
                    "= 'new'",
                    &format!(
                        "CROSS JOIN main.survey AS s ON s.id = f.one \
                         CROSS JOIN main.{name} AS t ON t.place = s.place AND t.survey = s.id"
                    )
                ),
                table.key[1]
            ),
        )],
        "quadrat" => vec![(
            "new",
            format!(
                "SELECT {columns}, s.place {}",
                of(
                    "survey",
                    "= 'new'",
                    "CROSS JOIN main.survey AS s ON s.id = f.one \
                     CROSS JOIN main.quadrat AS t ON t.survey = s.id"
                )
            ),
        )],
        "correction" => vec![(
            "new",
            format!(
                "SELECT {columns}, t.place {}",
                of(name, "= 'new'", &format!("{by_id} AND t.replaced = f.two"))
            ),
        )],
        "attendee" => {
            vec![(
                "new",
                format!(
                    "SELECT DISTINCT {columns}, t.walk {}",
                    of(name, "IN ('new', 'moved')", &by_id)
                ),
            )]
        }
        "forgotten" => vec![(
            "new",
            format!(
                "SELECT {columns}, (SELECT g.two FROM temp.shared_fresh AS g WHERE g.tab = \
                 'attendee' AND g.op = 'gone' AND g.one = t.id) {}",
                of(name, "= 'new'", &by_id)
            ),
        )],
        _ => vec![
            ("new", format!("SELECT {columns}, t.place {}", of(name, "= 'new'", &by_id))),
            (
                "changed",
                format!(
                    "SELECT {columns}, t.place {} AND NOT EXISTS (SELECT 1 FROM \
                     temp.shared_fresh AS g WHERE g.tab = f.tab AND g.op = 'new' AND g.one = f.one)",
                    of(name, "= 'changed'", &by_id)
                ),
            ),
        ],
    }
}

/// The sites of places, each looked up once.
struct Homes<'copy> {
    copy: &'copy Connection,
    known: HashMap<i64, i64>,
}

impl Homes<'_> {
    /// `by` is the place that the row is about, or the walk.
    fn of(&mut self, table: &Table, values: &[Value], by: Value) -> rusqlite::Result<i64> {
        match by {
            Value::Integer(place) if table.name == "place" => {
                let is_site =
                    table.at("kind").is_some_and(|at| values[at] == Value::Text("site".into()));
                let home = if is_site { place } else { self.first_site(place)? };
                self.known.insert(place, home);
                Ok(home)
            }
            Value::Integer(place) => self.of_place(place),
            Value::Text(walk) => self.of_walk(&walk),
            _ => Ok(0),
        }
    }

    fn of_place(&mut self, place: i64) -> rusqlite::Result<i64> {
        if let Some(home) = self.known.get(&place) {
            return Ok(*home);
        }
        let home = working::home_of(place, self.copy)?.unwrap_or(0);
        self.known.insert(place, home);
        Ok(home)
    }

    fn of_walk(&mut self, walk: &str) -> rusqlite::Result<i64> {
        let place: Option<i64> = self
            .copy
            .prepare_cached("SELECT place FROM walk WHERE name = ? ORDER BY id DESC LIMIT 1")?
            .query_row([walk], |row| row.get(0))
            .optional()?;
        place.map_or(Ok(0), |place| self.of_place(place))
    }

    /// That of the fact that set the patch down.
    fn first_site(&self, patch: i64) -> rusqlite::Result<i64> {
        self.site_of(patch, "ASC").map(|site| site.unwrap_or(0))
    }

    /// The site on which the latest of its facts puts the patch.
    fn site_now(&self, place: i64) -> rusqlite::Result<Option<i64>> {
        self.site_of(place, "DESC")
    }

    fn site_of(&self, patch: i64, order: &str) -> rusqlite::Result<Option<i64>> {
        let sql = format!("SELECT site FROM patch WHERE place = ? ORDER BY id {order} LIMIT 1");
        self.copy.prepare_cached(&sql)?.query_row(params![patch], |row| row.get(0)).optional()
    }
}
