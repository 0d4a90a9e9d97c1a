//! The layout of a server's book: made and brought up to date in one transaction each, while
//! nobody else may.

use tokio_postgres::types::Type;

use crate::book::schema;
use crate::book::trouble::Trouble;

use super::link::{Link, Snag};
use super::tables::{TABLES, Table, tables_of};

/// Into how many parts the rows of a table are spread, by their sites.
const PARTS: u32 = 8;

/// Under which number the makers of a layout wait for each other. (Advisory locks are of one
/// database.)
const LOCK: &str = "SELECT pg_advisory_xact_lock(7617041)";

/// What tells our schema from another of the same name.
const MARK: &str = "a book of stintbook";

const COMMON: &str = "
CREATE TABLE book (
    one    boolean PRIMARY KEY DEFAULT true CHECK (one),
    id     uuid NOT NULL DEFAULT gen_random_uuid(),
    layout bigint NOT NULL,
    state  text NOT NULL CHECK (state IN ('copying', 'whole')),
    source text -- of a copy that is not whole yet: which book
);
-- A site by its number, and how many steps its facts took so far; 0 for what is the whole book's.
-- Who writes about a site holds its row.
CREATE TABLE head (
    home  bigint PRIMARY KEY,
    steps bigint NOT NULL,
    chain bigint NOT NULL
);
-- What was recorded together on a site: by which act, into which tables, by whose hand.
CREATE TABLE step (
    home   bigint NOT NULL,
    step   bigint NOT NULL,
    act    uuid NOT NULL,
    tables bigint NOT NULL,
    chain  bigint NOT NULL,
    xid    xid8 NOT NULL DEFAULT pg_current_xact_id(),
    hand   name NOT NULL DEFAULT session_user,
    at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (home, step)
);
CREATE INDEX step_by_xid ON step (xid);
CREATE SEQUENCE place_block;
-- Who may do what: a role of the server, the name it signs with, and its sites.
CREATE TABLE hand (
    role  name PRIMARY KEY,
    may   text NOT NULL CHECK (may IN ('keeper', 'leader', 'owner')),
    signs text NOT NULL,
    sites bigint[] NOT NULL
);
-- How eyes erred on a site, which reaches limits on any other: who glanced, at what, on which day,
-- and the logarithm of what was glanced as a part of what was surveyed.
CREATE TABLE eye (
    home      bigint NOT NULL,
    crop      text NOT NULL,
    observer  text NOT NULL,
    day       text NOT NULL,
    log_ratio double precision NOT NULL
);
CREATE INDEX ON eye (home);
CREATE INDEX ON eye (observer);
-- The box in which a site lies.
CREATE TABLE bounds (home bigint PRIMARY KEY, degrees box NOT NULL);
CREATE INDEX ON bounds USING gist (degrees);
CREATE FUNCTION is_keeper() RETURNS boolean LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT EXISTS (SELECT FROM hand WHERE role = session_user AND may = 'keeper') $$;
CREATE FUNCTION reads_all() RETURNS boolean LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT is_keeper() $$;
-- A leader also reads the sites whose ground may be that of an own one: what two claim is promised
-- from neither.
CREATE FUNCTION reads() RETURNS bigint[] LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT coalesce((SELECT 0::bigint || sites || CASE may WHEN 'leader' THEN ARRAY(
           SELECT DISTINCT theirs.home FROM bounds AS ours
           JOIN bounds AS theirs ON theirs.degrees && ours.degrees
           WHERE ours.home = ANY (sites) AND theirs.home <> ALL (sites) ORDER BY theirs.home)
         ELSE '{}' END FROM hand WHERE role = session_user), '{}') $$;
CREATE FUNCTION writes() RETURNS bigint[] LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT coalesce((SELECT sites || 0::bigint FROM hand
                        WHERE role = session_user AND may = 'leader'), '{}') $$;
CREATE FUNCTION signs() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT signs FROM hand WHERE role = session_user $$;
-- What a role sees, in one word: where that changes, its working copies are made anew.
CREATE FUNCTION sight() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER
    SET search_path = stintbook, pg_temp AS
    $$ SELECT coalesce((SELECT CASE may WHEN 'keeper' THEN 'all' ELSE reads()::text END
                        FROM hand WHERE role = session_user), 'all') $$;
";

/// What asks the tables of a book, and so is made after them.
const AFTERWARDS: &str = "
-- How the eyes that looked at what a role may see erred elsewhere: figures, and nothing of where.
CREATE FUNCTION eyes_elsewhere() RETURNS TABLE (
        crop text, observer text, day text, log_ratio double precision)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = stintbook, pg_temp AS
    $$ SELECT eye.crop, eye.observer, eye.day, eye.log_ratio FROM eye
       WHERE eye.home <> ALL ((SELECT reads())::bigint[])
         AND eye.observer IN (SELECT by_whom FROM glance
                              WHERE home = ANY ((SELECT reads())::bigint[])
                              UNION SELECT signs())
       ORDER BY 1, 2, 3, 4 $$;
";

/// What the server's book says of itself.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct State {
    pub(super) layout: i64,
    pub(super) is_whole: bool,
    pub(super) source: Option<String>,
    /// The role that asks, where nobody let it in.
    pub(super) stranger: Option<String>,
}

/// # Errors
/// That no book is there, or another program's.
pub(super) fn state(link: &Link) -> Result<State, Snag> {
    // One question, though what is no book of ours cannot be asked it.
    let sql = "SELECT layout, state = 'whole', source, CASE \
                   WHEN row_security_active('head') AND signs() IS NULL THEN session_user::text END \
               FROM book";
    let book = link.row(sql, &[]).or_else(|snag| match snag {
        Snag::Told(trouble) => Err(Snag::Told(match mark(link)? {
            None => Trouble::NoBook,
            Some(false) => Trouble::OtherProgram,
            Some(true) => newer(link)?.unwrap_or(trouble),
        })),
        away => Err(away),
    })?;
    Ok(State {
        layout: book.try_get(0)?,
        is_whole: book.try_get(1)?,
        source: book.try_get(2)?,
        stranger: book.try_get(3)?,
    })
}

/// A later layout may lack what this program asks.
fn newer(link: &Link) -> Result<Option<Trouble>, Snag> {
    let (found, known) = (link.row("SELECT layout FROM book", &[])?.try_get(0)?, schema::NEWEST);
    Ok((found > known).then_some(Trouble::Newer { found, known }))
}

/// Whether the schema is of a book; `None` where there is none.
fn mark(link: &Link) -> Result<Option<bool>, Snag> {
    let sql = "SELECT obj_description(oid, 'pg_namespace') FROM pg_namespace \
               WHERE nspname = 'stintbook'";
    let Some(schema) = link.rows(sql, &[])?.pop() else { return Ok(None) };
    let mark: Option<&str> = schema.try_get(0)?;
    Ok(Some(mark == Some(MARK)))
}

/// Makes the tables of a book that is about to be copied from `source`. Gives whether it was
/// there, cut off by something, and of that very source.
pub(super) fn make(link: &Link, source: &str) -> Result<bool, Snag> {
    link.run("BEGIN")?;
    link.rows(LOCK, &[])?;
    if let Some(is_ours) = mark(link)? {
        let there = is_ours.then(|| state(link)).transpose()?;
        link.run("ROLLBACK")?;
        return match there {
            Some(State { is_whole: false, source: Some(of), .. }) if of == source => Ok(true),
            Some(State { is_whole: false, .. }) => Err(Snag::Told(Trouble::HalfCopied)),
            Some(_) => Err(Snag::Told(Trouble::AlreadyThere)),
            None => Err(Snag::Told(Trouble::OtherProgram)),
        };
    }
    lay_out(link, &TABLES)?;
    let sql = "INSERT INTO book (layout, state, source) VALUES ($1, 'copying', $2)";
    let (layout, source) = (schema::NEWEST, source.to_owned());
    link.rows(sql, &[(&layout, Type::INT8), (&source, Type::TEXT)])?;
    link.run("COMMIT")?;
    Ok(false)
}

/// All tables of a layout, in an open transaction.
fn lay_out(link: &Link, tables: &[Table]) -> Result<(), Snag> {
    link.run(&format!("CREATE SCHEMA stintbook; COMMENT ON SCHEMA stintbook IS '{MARK}'"))?;
    link.run(COMMON)?;
    link.run("INSERT INTO head (home, steps, chain) VALUES (0, 0, 0)")?;
    let mut sql = String::new();
    for table in tables {
        sql += &creation(table);
        sql += &guard(table);
    }
    sql += &guards_of_common();
    sql += AFTERWARDS;
    link.run(&sql)
}

fn creation(table: &Table) -> String {
    let Table { name, key, is_spread, .. } = table;
    let columns: Vec<String> = table
        .columns
        .iter()
        .map(|column| {
            let need = if column.is_needed { " NOT NULL" } else { "" };
            format!("    \"{}\" {}{need}", column.name, column.sql_type())
        })
        .collect();
    let (home, spread) = match is_spread {
        true => ("home, ", " PARTITION BY HASH (home)"),
        false => ("", ""),
    };
    let mut sql = format!(
        "CREATE TABLE \"{name}\" (\n    home bigint NOT NULL,\n    step bigint NOT NULL,\n{},\n    \
         PRIMARY KEY ({home}{})\n){spread};\nCREATE INDEX ON \"{name}\" (home, step);\n",
        columns.join(",\n"),
        key.join(", "),
    );
    if *is_spread {
        for part in 0..PARTS {
            sql += &format!(
                "CREATE TABLE \"{name}_{part}\" PARTITION OF \"{name}\" \
                 FOR VALUES WITH (MODULUS {PARTS}, REMAINDER {part});\n"
            );
        }
    }
    sql
}

/// The database's own last line: who reads which sites, who writes on which, and by what name.
fn guard(table: &Table) -> String {
    let name = table.name;
    let signed = match table.has("by_whom") {
        true => " AND by_whom = (SELECT signs())",
        false => "",
    };
    let changed = match table.name {
        "attendee" => "walk, party, name, home, step",
        _ if table.has("recorded_on") && name != "correction" => {
            "recorded_on, file, seal, words_seal, step"
        }
        _ => "step",
    };
    let mut sql = format!(
        "GRANT SELECT, INSERT, UPDATE ({changed}) ON \"{name}\" TO PUBLIC;\n\
         ALTER TABLE \"{name}\" ENABLE ROW LEVEL SECURITY;\n\
         CREATE POLICY read ON \"{name}\" FOR SELECT USING \
             ((SELECT reads_all()) OR home = ANY ((SELECT reads())::bigint[]));\n\
         CREATE POLICY write ON \"{name}\" FOR INSERT WITH CHECK ((SELECT is_keeper()) \
             OR (home = ANY ((SELECT writes())::bigint[]){signed}));\n\
         CREATE POLICY mend ON \"{name}\" FOR UPDATE USING ((SELECT is_keeper()));\n"
    );
    if name == "attendee" {
        sql += "GRANT DELETE ON attendee TO PUBLIC;\n\
                CREATE POLICY move ON attendee FOR UPDATE \
                USING (home = ANY ((SELECT writes())::bigint[]));\n\
                CREATE POLICY let_go ON attendee FOR DELETE USING ((SELECT is_keeper()) \
                OR home = ANY ((SELECT writes())::bigint[]));\n";
    }
    sql
}

fn guards_of_common() -> String {
    let of = |name: &str, read: &str, write: &str, change: &str| {
        format!(
            "ALTER TABLE {name} ENABLE ROW LEVEL SECURITY;\n\
             CREATE POLICY read ON {name} FOR SELECT USING ({read});\n\
             CREATE POLICY write ON {name} FOR INSERT WITH CHECK ({write});\n\
             CREATE POLICY change ON {name} FOR UPDATE USING ({change});\n"
        )
    };
    let reads = "(SELECT reads_all()) OR home = ANY ((SELECT reads())::bigint[])";
    let writes = "(SELECT is_keeper()) OR home = ANY ((SELECT writes())::bigint[])";
    "GRANT USAGE ON SCHEMA stintbook TO PUBLIC;\n\
     GRANT SELECT ON book TO PUBLIC;\n\
     GRANT SELECT, INSERT, UPDATE (steps, chain) ON head TO PUBLIC;\n\
     GRANT SELECT, INSERT ON step TO PUBLIC;\n\
     GRANT SELECT, INSERT, DELETE ON eye TO PUBLIC;\n\
     GRANT SELECT, INSERT, UPDATE ON bounds TO PUBLIC;\n\
     GRANT USAGE ON SEQUENCE place_block TO PUBLIC;\n"
        .to_owned()
        + &of("eye", reads, writes, "false")
        + &format!("CREATE POLICY anew ON eye FOR DELETE USING ({writes});\n")
        + &of("bounds", reads, writes, writes)
        + &of("head", reads, writes, writes)
        + &of("step", reads, &format!("({writes}) AND hand = session_user"), "false")
}

/// Brings an older layout to this one, in one transaction: what a later layout adds to the tables
/// of a file is added here.
pub(super) fn upgrade(link: &Link, found: i64) -> Result<(), Snag> {
    let known = schema::NEWEST;
    let may = link.row(
        "SELECT pg_has_role(session_user, relowner, 'MEMBER') \
                AND current_setting('transaction_read_only') = 'off' \
         FROM pg_class WHERE oid = 'stintbook.book'::regclass",
        &[],
    )?;
    if !may.try_get::<_, bool>(0)? {
        return Err(Snag::Told(Trouble::Older { found, known }));
    }
    link.run("BEGIN")?;
    link.rows(LOCK, &[])?;
    let there = state(link)?.layout;
    if there < known {
        let unmade = |error: rusqlite::Error| Snag::Told(Trouble::Other(error.to_string()));
        let older = tables_of(there).map_err(unmade)?;
        link.run(&steps_between(&older, &TABLES))?;
        link.run(&format!("UPDATE book SET layout = {known}"))?;
    }
    link.run("COMMIT")
}

fn steps_between(older: &[Table], newer: &[Table]) -> String {
    let mut sql = String::new();
    for table in newer {
        let Some(before) = older.iter().find(|it| it.name == table.name) else {
            sql += &creation(table);
            sql += &guard(table);
            continue;
        };
        for column in table.columns.iter().filter(|column| !before.has(&column.name)) {
            sql += &format!(
                "ALTER TABLE \"{}\" ADD COLUMN \"{}\" {};\n",
                table.name,
                column.name,
                column.sql_type()
            );
        }
    }
    sql
}
