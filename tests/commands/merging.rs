//! `merge`: two leaders' books become one, and nothing of either is lost.

use std::fs;

use crate::hill::{patch, places};
use crate::said::{has, without_ids};
use crate::trial::Trial;

const BECAUSE: &str = "--why \"misread\" --recorded-on 2021-03-20";
const WEEK: &str = "week --on 2021-03-20";

/// Ida's book, and Una's beside it, which began as a copy.
fn two_books() -> (Trial, &'static str) {
    let trial = Trial::with_a_surveyed_bank();
    fs::copy(trial.path("stintbook.sqlite"), trial.path("una.sqlite")).unwrap();
    (trial, "--book una.sqlite")
}

/// Merges each into the other and gives what both then say of the week.
fn merged(trial: &Trial) -> String {
    trial.run("merge una.sqlite").done();
    trial.run("merge stintbook.sqlite --book una.sqlite").done();
    let week = trial.run(WEEK).done();
    assert_eq!(trial.run(&format!("{WEEK} --book una.sqlite")).done(), week);
    week
}

#[test]
fn what_one_leader_recorded_counts_in_both_books_after_each_took_in_the_other() {
    let (trial, una) = two_books();
    trial.run("cut bank 400g --part --by Ida --on 2021-03-10").done();
    trial.run(&format!("cut bank 300g --part --by Una --on 2021-03-12 {una}")).done();
    let dry = trial.run("merge una.sqlite --dry").done();
    has(
        &dry,
        &["`una.sqlite` has 1 cut that this book lacks", "Nothing was recorded, since --dry"],
    );
    assert!(!trial.history().contains("by Una"));
    let said = trial.run("merge una.sqlite").done();
    assert_eq!(said, "`una.sqlite` has 1 cut that this book lacks.\nAll of it is recorded.\n");
    let both = trial.run(WEEK).done();
    assert_eq!(merged(&trial), both);
    has(&trial.history(), &["cut by Ida: 400 g", "cut by Una: 300 g"]);
    has(&trial.run("merge una.sqlite").done(), &["Nothing new: this book has all"]);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn a_cut_put_right_by_both_leaders_counts_as_the_larger_until_one_settles_it() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 5kg --part --by Ida --on 2021-03-10 --recorded-on 2021-03-10").done();
    fs::copy(trial.path("stintbook.sqlite"), trial.path("una.sqlite")).unwrap();
    let wrong = trial.id_of("cut by Ida");
    trial.run(&format!("correct {wrong} mass_g=500 --by Ida {BECAUSE}")).done();
    let with_500 = trial.run(WEEK).done();
    let una = "--book una.sqlite";
    trial.run(&format!("correct {wrong} mass_g=650 --by Una {BECAUSE} {una}")).done();
    let with_650 = trial.run(&format!("{WEEK} {una}")).done();
    assert_ne!(with_500, with_650);
    let said = trial.run("merge una.sqlite --dry").done();
    has(
        &without_ids(&said),
        &[
            "1 cut and 1 correction that this book lacks",
            "PUT RIGHT IN TWO WAYS",
            "500 g from Hill/Bank, taken part on 10 Mar 2021 (",
            "650 g from Hill/Bank, taken part on 10 Mar 2021 (",
        ],
    );
    assert_eq!(merged(&trial), with_650);
    has(&trial.run("verify").no(), &["PUT RIGHT IN TWO WAYS"]);
    let lost = trial.id_of("cut by Ida: 500 g");
    has(&trial.history(), &["DOES NOT COUNT: put right in two"]);
    trial.run(&format!("correct {lost} mass_g=500 --by Ida {BECAUSE}")).done();
    assert_eq!(trial.run(WEEK).done(), with_500);
    assert_eq!(merged(&trial), with_500);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn one_cut_recorded_by_two_hands_counts_twice_and_is_named() {
    let (trial, una) = two_books();
    trial.run("cut bank 400g --part --by Ida --on 2021-03-10").done();
    trial.run(&format!("cut bank 400g --part --by Una --on 2021-03-10 {una}")).done();
    let said = without_ids(&trial.run("merge una.sqlite").done());
    has(
        &said,
        &[
            "PERHAPS RECORDED TWICE",
            "Hill/Bank: two cuts of 10 Mar 2021 by Ida and Una, 400 g each; both count",
        ],
    );
}

#[test]
fn what_is_no_other_book_is_refused_and_an_older_one_is_read_without_a_change() {
    let (trial, _) = two_books();
    has(&trial.run("merge stintbook.sqlite").wrong(), &["is this very book"]);
    has(&trial.run("merge nowhere.sqlite").failed(), &["there is no book at"]);
    trial.write("notes.sqlite", "not a book at all ".repeat(400));
    has(&trial.run("merge notes.sqlite").failed(), &["is not a book"]);
    let older = rusqlite::Connection::open(trial.path("older.sqlite")).unwrap();
    older.execute_batch(include_str!("../../src/book/migrations/0001_first.sql")).unwrap();
    older.pragma_update(None, "application_id", 0x7374_626b).unwrap();
    older.pragma_update(None, "user_version", 1).unwrap();
    drop(older);
    let before = fs::read(trial.path("older.sqlite")).unwrap();
    has(&trial.run("merge older.sqlite").done(), &["Nothing new"]);
    assert_eq!(fs::read(trial.path("older.sqlite")).unwrap(), before);
    assert!(!trial.files(".").iter().any(|file| file.contains("copy")), "a copy was left");
}

#[test]
fn one_patch_drawn_by_both_leaders_gives_no_limit_until_one_of_the_two_is_withdrawn() {
    let (trial, una) = two_books();
    let alone = trial.run("check bank --on 2021-03-20").done();
    trial.write("slope.geojson", places(&[patch("Slope", "nettle-tops", 7)]));
    trial.run("load slope.geojson").done();
    // Una drew it herself; one file loaded into both books would be one patch.
    let anew = trial.read("slope.geojson").replace("Ida", "Una");
    trial.write("anew.geojson", anew);
    trial.run(&format!("load anew.geojson {una}")).done();
    for (book, by) in [("", "Ida"), (una, "Una")] {
        let line = format!(
            "patch,date,by,frame_area_m2,mass_g\nHill/Slope,2021-03-14,{by},0.25,30\n\
             Hill/Slope,2021-03-14,{by},0.25,36\nHill/Slope,2021-03-14,{by},0.25,33\n"
        );
        trial.write("slope.csv", line);
        trial.run(&format!("load slope.csv {book}")).done();
        has(&trial.run(&format!("{WEEK} {book}")).done(), &["Slope"]);
    }
    has(&trial.run("merge una.sqlite").done(), &["TWO OF ONE NAME", "ON THE SAME GROUND"]);
    merged(&trial);
    let shut = trial.run("check \"Hill/Slope\" --on 2021-03-20").no();
    has(&shut, &["claims the same ground; withdraw or redraw one of the two"]);
    assert_eq!(trial.run("check bank --on 2021-03-20").done(), alone);
}

#[test]
fn what_both_loaded_is_known_since_the_earlier_day_in_both_books() {
    let (trial, una) = two_books();
    trial.write("cuts.csv", "patch,date,by,mass_g,taken\nHill/Bank,2021-03-10,Ida,400,part\n");
    trial.run("load cuts.csv").done();
    // Una's book heard of it on the day itself, as her file is called otherwise.
    let mut una_book = stintbook::book::Book::open(&trial.path("una.sqlite")).unwrap();
    let ida_book = stintbook::book::Book::open(&trial.path("stintbook.sqlite")).unwrap();
    let lines = ida_book.history(&stintbook::book::Scope::All).unwrap();
    let line = lines.into_iter().find(|line| line.key.contains("2021-03-10")).unwrap();
    let mut fact = line.fact;
    fact.recorded_on = "2021-03-11".parse().unwrap();
    fact.file = Some("una/cuts.csv".into());
    una_book.append(&[stintbook::book::NewFact { key: line.key, fact }], &[]).unwrap();
    drop((una_book, ida_book));
    let said = trial.run("merge una.sqlite").done();
    has(&said, &["has 1 earlier day for a fact that this book lacks"]);
    trial.run(&format!("merge stintbook.sqlite {una}")).done();
    let history = trial.history();
    has(&history, &["cut by Ida: 400 g from Hill/Bank, taken part (written down", "2021-03-11)"]);
    assert_eq!(trial.run(&format!("history {una}")).done(), history);
    for book in ["", una] {
        has(&trial.run(&format!("verify {book}")).out, &["The book is whole"]);
    }
    has(&trial.run("merge una.sqlite").done(), &["Nothing new"]);
}

#[test]
fn a_file_that_both_leaders_loaded_is_one_set_of_facts_in_the_union() {
    let (trial, una) = two_books();
    trial.write("slope.geojson", places(&[patch("Slope", "nettle-tops", 7)]));
    for book in ["", una] {
        trial.run(&format!("load slope.geojson {book}")).done();
    }
    has(&trial.run("merge una.sqlite").done(), &["Nothing new: this book has all"]);
    assert_eq!(trial.history().matches("Hill/Slope").count(), 1);
}

#[test]
fn a_name_that_the_other_book_has_forgotten_is_forgotten_here_though_nothing_else_comes() {
    let trial = Trial::with_a_walk();
    fs::copy(trial.path("stintbook.sqlite"), trial.path("una.sqlite")).unwrap();
    trial.run("walk forget Ann --book una.sqlite").done();
    has(&trial.run("merge una.sqlite --dry").done(), &["1 mark of a forgotten name", "--dry only"]);
    let named = || {
        let book = rusqlite::Connection::open(trial.path("stintbook.sqlite")).unwrap();
        let count = "SELECT count(*) FROM attendee WHERE name = 'Ann'";
        book.query_row(count, [], |row| row.get::<_, i64>(0)).unwrap()
    };
    assert_eq!(named(), 1);
    let said = trial.run("merge una.sqlite").done();
    has(&said, &["The name of 1 party that it forgot is forgotten here too."]);
    assert_eq!(named(), 0);
    has(&trial.run("merge una.sqlite").done(), &["Nothing new"]);
}
