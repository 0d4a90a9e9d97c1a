//! A book goes onto a server and back, and is the same book.

use crate::line::{Break, Line};
use crate::said::Said;
use crate::synthetic::{Size, write_book};
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
    // What is all there was copied, whether its word of that arrived or not.
    let words = format!("copy {} \"{}\"", demo().display(), trial.address("postgres"));
    let said = trial.run(&words).done();
    assert!(said.contains("checksum for checksum"), "{said}");
    let acts = trial.sql("SELECT count(DISTINCT act) FROM stintbook.step");
    assert_eq!(acts, "1");
    trial.run("cut \"mill bank\" 20g --by Ida --on 2027-03-15").done();
    assert!(trial.run(&words).failed().contains("has a book in it already"));
}

#[test]
fn what_was_cut_off_is_no_book_and_goes_on_where_it_stopped() {
    let Some(trial) = Trial::empty() else { return };
    let file = trial.path("large.sqlite");
    write_book(&file, Size { patches: 2_000, surveys: 100, cuts: 20_000 }, 2027);
    // The line drops once the first sites are there, and before the last are.
    let line = Line::to(&trial.socket());
    line.break_before("BEGIN", 3, Break::Drop);
    let by_line = format!("copy large.sqlite \"{}\"", line.address(&trial.database));
    let said = trial.run(&by_line).failed();
    assert_eq!(line.breaks(), 1, "{said}");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("a part of the copy is there"), "{said}");
    assert!(trial.run("week").failed().contains("a copy that was cut off"));
    let sites = || trial.sql("SELECT count(*) FROM stintbook.head WHERE steps > 0 AND home > 0");
    let arrived: usize = sites().parse().unwrap();
    assert!((1..20).contains(&arrived), "{arrived} sites of 20");
    let acts = "SELECT string_agg(act::text, ' ' ORDER BY act) FROM \
                (SELECT DISTINCT act FROM stintbook.step) AS acts";
    let first_acts = trial.sql(acts);
    // Another book is not put into the rest of it.
    let other = format!("copy {} \"{}\"", demo().display(), trial.address("postgres"));
    assert!(trial.run(&other).failed().contains("a copy that was cut off"));
    trial.run(&format!("copy large.sqlite \"{}\"", trial.address("postgres"))).done();
    assert_eq!(sites(), "20");
    assert!(trial.sql(acts).starts_with(&first_acts), "what was there was sent again");
    let check = "check \"site 7/patch 712\" --on 2027-03-15 --full";
    assert_eq!(trial.run(check).out, trial.on_file(&file, check).out);
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
