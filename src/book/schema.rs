//! The layout of the file, as a list of steps that only ever grows.

use rusqlite::{Connection, TransactionBehavior};

use super::{attendees, packed, sealing};

/// Marks the file as a book: `stbk` in ASCII.
pub(super) const APPLICATION_ID: i64 = 0x7374_626b;

/// What brings one layout to the next: SQL, and what SQL cannot do.
struct Step {
    sql: &'static str,
    then: fn(&Connection) -> rusqlite::Result<()>,
}

const fn sql(sql: &'static str) -> Step {
    Step { sql, then: |_| Ok(()) }
}

/// Step `n` (from 0) brings layout `n` to `n + 1`. Append; never edit one that was released.
const STEPS: [Step; 19] = [
    sql(include_str!("migrations/0001_first.sql")),
    sql(include_str!("migrations/0002_walks.sql")),
    sql(include_str!("migrations/0003_underfoot.sql")),
    sql(include_str!("migrations/0004_union.sql")),
    Step { sql: include_str!("migrations/0005_seals.sql"), then: sealing::seal_all },
    Step { sql: include_str!("migrations/0006_forgetting.sql"), then: attendees::give_ids },
    sql(include_str!("migrations/0007_clippings.sql")),
    sql(include_str!("migrations/0008_purposes.sql")),
    sql(include_str!("migrations/0009_recognised.sql")),
    sql(include_str!("migrations/0010_visits.sql")),
    sql(include_str!("migrations/0011_cuts_by_walk.sql")),
    sql(include_str!("migrations/0012_redraws.sql")),
    sql(include_str!("migrations/0013_landmarks.sql")),
    sql(include_str!("migrations/0014_ripeness.sql")),
    sql(include_str!("migrations/0015_amounts.sql")),
    Step { sql: include_str!("migrations/0016_packed.sql"), then: packed::pack_all },
    sql(include_str!("migrations/0017_checks.sql")),
    sql(include_str!("migrations/0018_cuts_by_id.sql")),
    sql(include_str!("migrations/0019_sites_of_patches.sql")),
];

/// The layout this program writes.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// The layout of the file, 0 for one that holds nothing yet.
pub(super) fn layout(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "user_version", |row| row.get(0))
}

pub(super) fn application_id(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "application_id", |row| row.get(0))
}

/// Brings the file to the newest layout in one transaction: all of it, or nothing.
pub(super) fn upgrade(connection: &mut Connection) -> rusqlite::Result<()> {
    let steps = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Asked again inside the transaction: another command may have been quicker.
    let done = usize::try_from(layout(&steps)?).unwrap_or(0);
    for step in STEPS.iter().skip(done) {
        steps.execute_batch(step.sql)?;
        (step.then)(&steps)?;
    }
    steps.pragma_update(None, "application_id", APPLICATION_ID)?;
    steps.pragma_update(None, "user_version", NEWEST)?;
    steps.commit()
}

/// Makes the tables of a layout in an empty database, for who asks what they are like.
#[cfg(feature = "shared")]
pub(super) fn lay_out_as(layout: i64, book: &Connection) -> rusqlite::Result<()> {
    let done = usize::try_from(layout).unwrap_or(0);
    STEPS.iter().take(done).try_for_each(|step| book.execute_batch(step.sql))
}

/// Whether the tables are those of the layout: a book whose layout number was damaged would
/// be taken for an older one, and brought up to date once more.
pub(super) fn is_of_layout(layout: i64, book: &Connection) -> rusqlite::Result<bool> {
    let fresh = Connection::open_in_memory()?;
    let done = usize::try_from(layout).unwrap_or(0);
    for step in STEPS.iter().take(done) {
        fresh.execute_batch(step.sql)?;
    }
    Ok(done > 0 && parts(book)? == parts(&fresh)?)
}

/// The tables, indices and views, by name and how they were made.
fn parts(book: &Connection) -> rusqlite::Result<Vec<(String, Option<String>)>> {
    book.prepare("SELECT name, sql FROM sqlite_schema ORDER BY name")?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::envelope::ENVELOPE;
    use crate::book::seal::{SEALS, columns_of};
    use crate::book::tables;
    use crate::records::{Kind, for_its_type};

    #[test]
    fn every_table_has_the_columns_of_its_kinds_fields_and_no_others() {
        let mut book = Connection::open_in_memory().unwrap();
        upgrade(&mut book).unwrap();
        for kind in Kind::ALL {
            let fields = for_its_type!(kind, T => tables::columns::<T>());
            let all = format!("{ENVELOPE}, key, {fields}, {SEALS}");
            let mut asked: Vec<&str> = all.split(", ").collect();
            let there = columns_of(kind.name(), &book).unwrap();
            let mut there: Vec<&str> = there.split(", ").filter(|name| *name != "folded").collect();
            asked.sort_unstable();
            there.sort_unstable();
            assert_eq!(asked, there, "{kind:?}");
        }
    }

    #[test]
    fn every_kind_has_its_table_and_is_among_the_facts() {
        let mut book = Connection::open_in_memory().unwrap();
        upgrade(&mut book).unwrap();
        let sql = |name: &str| -> String {
            book.query_row("SELECT sql FROM sqlite_schema WHERE name = ?", [name], |row| row.get(0))
                .unwrap_or_default()
        };
        let facts = sql("fact");
        for kind in Kind::ALL {
            let name = kind.name();
            assert!(sql(name).starts_with("CREATE TABLE"), "no table `{name}`");
            assert!(facts.contains(&format!(" FROM {name}")), "`fact` lacks `{name}`");
        }
        assert_eq!(facts.matches(" FROM ").count(), Kind::ALL.len());
    }
}
