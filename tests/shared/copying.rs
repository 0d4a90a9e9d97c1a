//! A book goes onto a server and back, and is the same book.

use std::process::Stdio;

use crate::said::Said;
use crate::trial::{Trial, demo};

#[test]
fn a_book_comes_back_from_a_server_as_it_went_there() {
    let Some(trial) = Trial::of_demo() else { return };
    let there = trial.address("postgres");
    trial.run(&format!("copy \"{there}\" back.sqlite")).done();
    let rows = |file: &std::path::Path| -> Vec<String> {
        let book = rusqlite::Connection::open(file).unwrap();
        let tables: Vec<String> = book
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        let mut all = Vec::new();
        for table in tables.iter().filter(|table| *table != "recognised") {
            let mut rows = book.prepare(&format!("SELECT * FROM \"{table}\"")).unwrap();
            let columns = rows.column_count();
            let mut rows = rows.query([]).unwrap();
            while let Some(row) = rows.next().unwrap() {
                let cells: Vec<String> =
                    (0..columns).map(|at| format!("{:?}", row.get_ref(at).unwrap())).collect();
                all.push(format!("{table}: {}", cells.join(" ")));
            }
        }
        all.sort();
        all
    };
    let (went, came) = (rows(demo()), rows(&trial.path("back.sqlite")));
    assert!(went.len() > 500, "only {} rows", went.len());
    for (one, other) in went.iter().zip(&came) {
        assert_eq!(one, other);
    }
    assert_eq!(went.len(), came.len());
}

#[test]
fn a_book_is_never_put_over_another() {
    let Some(trial) = Trial::of_demo() else { return };
    let words = format!("copy {} \"{}\"", demo().display(), trial.address("postgres"));
    assert!(trial.run(&words).failed().contains("has a book in it already"));
}

#[test]
fn what_was_cut_off_is_no_book_and_is_finished_by_the_same_words() {
    let Some(trial) = Trial::empty() else { return };
    // A table that stops the copy at its second half, as a broken line would.
    let words = format!("copy {} \"{}\"", demo().display(), trial.address("postgres"));
    let mut child =
        trial.command("postgres", "cache", &words).stdout(Stdio::null()).spawn().unwrap();
    while trial.cluster.sql(
        "postgres",
        "SELECT count(*) FROM pg_stat_activity \
        WHERE application_name = 'stintbook' AND query LIKE '%CREATE%'",
    ) == "0"
    {
        if child.try_wait().unwrap().is_some() {
            break;
        }
    }
    let _ = child.kill();
    child.wait().unwrap();
    // Whatever it had come to, the book is whole after it was told again, or was whole before.
    let said = Said::by(&mut trial.command("postgres", "cache", &words));
    assert!(said.status == 0 || said.err.contains("already"), "{said:?}");
    assert_eq!(trial.run("history").done(), trial.on_file(demo(), "history").done());
}

#[test]
fn half_a_book_is_not_opened() {
    let Some(trial) = Trial::of_demo() else { return };
    trial.sql("UPDATE stintbook.book SET state = 'copying', source = 'another'");
    assert!(trial.run("week").failed().contains("a copy that was cut off"));
    let words = format!("copy {} \"{}\"", demo().display(), trial.address("postgres"));
    assert!(trial.run(&words).failed().contains("a copy that was cut off"));
}

#[test]
fn a_row_that_changed_on_the_server_is_found_and_no_limit_comes_of_it() {
    let Some(trial) = Trial::of_demo() else { return };
    trial.sql("UPDATE stintbook.cut SET taken_g = taken_g + 1 WHERE taken_g IS NOT NULL");
    let mut newcomer = trial.command("postgres", "another", "week --on 2027-03-15");
    let said = Said::by(&mut newcomer).failed();
    assert!(said.contains("does not match its checksum"), "{said}");
}
