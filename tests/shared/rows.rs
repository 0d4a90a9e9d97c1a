//! The server's own last line: whatever a program asks, each role reads and writes what is its own.
//! Asked in the server's own language, past our code.

use crate::hands::with_roles;
use crate::trial::Trial;

/// Every table with rows of a site.
fn tables(trial: &Trial) -> Vec<String> {
    let found = trial.sql(
        "SELECT c.relname FROM pg_class AS c JOIN pg_attribute AS a ON a.attrelid = c.oid \
         WHERE c.relnamespace = 'stintbook'::regnamespace AND a.attname = 'home' \
           AND c.relkind IN ('r', 'p') AND NOT c.relispartition ORDER BY 1",
    );
    let tables: Vec<String> = found.lines().map(str::to_owned).collect();
    assert!(tables.len() > 20, "{tables:?}");
    tables
}

fn home_of(trial: &Trial, site: &str) -> String {
    trial.sql(&format!("SELECT place FROM stintbook.site WHERE name = '{site}' LIMIT 1"))
}

#[test]
fn each_role_reads_the_rows_of_its_own_sites_and_of_no_other() {
    let Some(trial) = with_roles() else { return };
    for (role, site) in [("ida", "Wendlestow"), ("reed", "Gullhythe")] {
        let own = home_of(&trial, site);
        let mut seen = 0;
        for table in tables(&trial) {
            let rows = |condition: &str| {
                let sql = format!("SELECT count(*) FROM stintbook.\"{table}\" WHERE {condition}");
                (trial.sql_as(role, &sql).unwrap(), trial.sql(&sql))
            };
            let (others, all) = rows(&format!("home NOT IN (0, {own})"));
            assert_eq!(others, "0", "{role} sees {others} of {all} rows of {table}");
            let (mine, all) = rows(&format!("home = {own}"));
            assert_eq!(mine, all, "{role} lacks rows of {table}");
            seen += mine.parse::<usize>().unwrap();
        }
        assert!(seen > 50, "{role} sees {seen} rows");
    }
    for table in tables(&trial) {
        let sql = format!("SELECT count(*) FROM stintbook.\"{table}\"");
        assert_eq!(trial.sql_as("nobody", &sql).unwrap(), "0", "{table}");
    }
    for role in ["ida", "reed", "nobody"] {
        let refused = trial.sql_as(role, "SELECT * FROM stintbook.hand").unwrap_err();
        assert!(refused.contains("permission denied"), "{refused}");
    }
}

#[test]
fn no_role_writes_beyond_its_sites_or_under_anothers_name_or_changes_what_is_recorded() {
    let Some(trial) = with_roles() else { return };
    let (own, other) = (home_of(&trial, "Wendlestow"), home_of(&trial, "Ammerlow"));
    let columns = trial.sql(
        "SELECT string_agg(quote_ident(column_name), ', ' ORDER BY ordinal_position) FROM \
         information_schema.columns WHERE table_schema = 'stintbook' AND table_name = 'cut' \
         AND column_name NOT IN ('home', 'id', 'by_whom')",
    );
    // A cut like one of the own site's, on that site and by that name.
    let cut = |home: &str, by: &str| {
        format!(
            "INSERT INTO stintbook.cut (home, id, by_whom, {columns}) \
             SELECT {home}, decode(md5(random()::text), 'hex'), '{by}', {columns} \
             FROM stintbook.cut WHERE home = {own} LIMIT 1"
        )
    };
    assert!(trial.sql_as("ida", &cut(&own, "Ida")).is_ok());
    let told = |role: &str, sql: &str| trial.sql_as(role, sql).unwrap_err();
    for (role, home, by) in [
        ("ida", &other, "Ida"),
        ("ida", &own, "Tomas"),
        ("reed", &home_of(&trial, "Gullhythe"), "Reed"),
    ] {
        let sql = cut(home, by).replace(&format!("home = {own} "), "true ");
        let said = told(role, &sql);
        assert!(said.contains("row-level security"), "{role} on {home} by {by}: {said}");
    }
    let before = trial.sql("SELECT sum(hashtext(c::text)::bigint) FROM stintbook.cut AS c");
    for role in ["ida", "reed", "nobody"] {
        for sql in [
            "DELETE FROM stintbook.cut",
            "UPDATE stintbook.cut SET taken_g = 1",
            "TRUNCATE stintbook.cut",
            "DROP TABLE stintbook.cut",
            "DELETE FROM stintbook.step",
            "INSERT INTO stintbook.hand VALUES ('nobody', 'keeper', 'Nobody', '{}')",
            "UPDATE stintbook.book SET state = 'copying'",
        ] {
            let said = told(role, sql);
            assert!(said.contains("permission denied") || said.contains("must be owner"), "{said}");
        }
    }
    // Of what a leader may change, another site's rows are none.
    let sql = format!("UPDATE stintbook.head SET steps = 0 WHERE home = {other} RETURNING 1");
    assert_eq!(trial.sql_as("ida", &sql).unwrap(), "");
    let sql = format!("INSERT INTO stintbook.eye VALUES ({other}, 'x', 'Ida', '2027-01-01', 0)");
    assert!(told("ida", &sql).contains("row-level security"));
    let forged = format!(
        "INSERT INTO stintbook.step (home, step, act, tables, chain, hand) \
         VALUES ({own}, 999, gen_random_uuid(), 0, 0, 'postgres')"
    );
    assert!(told("ida", &forged).contains("row-level security"));
    assert_eq!(trial.sql("SELECT sum(hashtext(c::text)::bigint) FROM stintbook.cut AS c"), before);
}
