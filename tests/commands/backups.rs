//! `backup` and `restore`: copies that can be believed.

use std::fs;

use rusqlite::Connection;

use crate::said::{has, unfolded};
use crate::trial::{Trial, in_a_file};

const CUT: &str = "cut bank 4kg --by Ida --on 2021-03-15 --recorded-on 2021-03-15";

#[test]
fn what_is_backed_up_comes_back_and_the_book_that_was_there_is_kept() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.history();
    has(&trial.run("backup copy.sqlite").done(), &["Backed up to copy.sqlite: 8 facts"]);
    trial.run(CUT).done();
    let after = trial.history();
    let said = trial.run("restore copy.sqlite").done();
    has(&said, &["Restored from copy.sqlite: 8 facts", "stintbook.before-restore.sqlite"]);
    assert_eq!(trial.history(), before);
    let kept = trial.run("--book stintbook.before-restore.sqlite history").done();
    assert_eq!(unfolded(&kept), after);
    // Again, to where no book is, and then over one, under a name that is free.
    trial.run("--book other.sqlite restore copy.sqlite").done();
    assert_eq!(unfolded(&trial.run("--book other.sqlite history").done()), before);
    has(&trial.run("restore copy.sqlite").done(), &["before-restore-2.sqlite"]);
    has(&trial.run("verify").done(), &["The book is whole"]);
    let files = trial.files("");
    assert!(!files.iter().any(|file| file.contains(".part")), "{files:?}");
}

#[test]
fn a_backup_takes_the_place_of_nothing_but_an_older_one_of_the_same_book() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    trial.run("backup copy.sqlite").done();
    trial.run(CUT).done();
    trial.run("backup newer.sqlite").done();
    let copy = fs::read(trial.path("copy.sqlite")).unwrap();
    has(&trial.run("backup copy.sqlite").wrong(), &["is there already", "with --over"]);
    assert_eq!(fs::read(trial.path("copy.sqlite")).unwrap(), copy);
    has(&trial.run("backup copy.sqlite --over").done(), &["9 facts"]);
    // The older book must not take the newer one's place, nor any file that is no book.
    trial.run("--book older.sqlite restore newer.sqlite").done();
    trial.run(&CUT.replace("4kg", "1kg").replace("03-15", "03-17")).done();
    trial.run("backup newer.sqlite --over").done();
    let said = trial.run("--book older.sqlite backup newer.sqlite --over").wrong();
    has(&said, &["holds 1 fact that the book does not"]);
    trial.write("notes.txt", "buy string");
    has(&trial.run("backup notes.txt --over").wrong(), &["is not a book"]);
    assert_eq!(trial.read("notes.txt"), "buy string");
    has(&trial.run("backup stintbook.sqlite --over").wrong(), &["is there already"]);
}

#[test]
fn a_backup_is_of_one_moment_while_another_program_writes() {
    let trial = Trial::with_a_surveyed_bank();
    let writer = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    writer.execute_batch("BEGIN IMMEDIATE; UPDATE survey SET note = 'half done'").unwrap();
    has(&trial.run("backup copy.sqlite").done(), &["8 facts, and every checksum holds"]);
    writer.execute_batch("ROLLBACK").unwrap();
    assert_eq!(unfolded(&trial.run("--book copy.sqlite history").done()), trial.history());
}

#[test]
fn a_damaged_book_is_not_backed_up_and_a_damaged_backup_not_restored() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    trial.run(CUT).done();
    trial.run("backup copy.sqlite").done();
    let spoil = |file: &str| {
        let file = Connection::open(trial.path(file)).unwrap();
        file.execute("UPDATE cut SET taken_g = 400", []).unwrap();
    };
    spoil("stintbook.sqlite");
    let id = trial.run("--book copy.sqlite history").done();
    let id = id.lines().find(|line| line.contains("cut by")).unwrap().trim()[..8].to_owned();
    let damage = format!("cut `{id}` of Hill/Bank does not match its checksum");
    has(&trial.run("backup second.sqlite").failed(), &["no copy of it was made", &damage]);
    assert!(!trial.path("second.sqlite").exists());
    has(&trial.run("week --on 2021-03-20").failed(), &[&damage, "`stintbook restore`"]);
    has(&trial.run("verify").failed(), &["`stintbook restore`"]);
    trial.run("restore copy.sqlite").done();
    trial.run("week --on 2021-03-20").done();
    spoil("copy.sqlite");
    has(&trial.run("restore copy.sqlite").failed(), &["no copy of it was made", &damage]);
    trial.run("week --on 2021-03-20").done();
}

#[test]
fn a_book_that_cannot_even_be_opened_is_replaced_and_kept() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    trial.run("backup copy.sqlite").done();
    let mut spoiled = fs::read(trial.path("stintbook.sqlite")).unwrap();
    spoiled[16] ^= 0x40; // the size of a page
    trial.write("stintbook.sqlite", &spoiled);
    has(&trial.run("week").failed(), &["is damaged", "`stintbook restore`"]);
    let said = trial.run("restore copy.sqlite").done();
    has(&said, &["is kept as", "too damaged to tell which names it had forgotten"]);
    assert_eq!(fs::read(trial.path("stintbook.before-restore.sqlite")).unwrap(), spoiled);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn a_damaged_site_leaves_the_answers_of_others_as_they_were() {
    let trial = Trial::new();
    trial.run("demo").done();
    let ask = |words: &str| trial.run(&format!("--book demo.sqlite --on 2027-03-15 {words}"));
    let site = "week --site gullhythe --format csv";
    let before = ask(site).done();
    let file = Connection::open(trial.path("demo.sqlite")).unwrap();
    let spoil = "UPDATE cut SET taken_g = taken_g + 1 WHERE place IN (SELECT patch.place FROM patch \
                 JOIN site ON site.place = patch.site WHERE site.name = 'Wendlestow')";
    assert!(file.execute(spoil, []).unwrap() > 0);
    drop(file);
    has(&ask("week").failed(), &["is damaged", "of Wendlestow/"]);
    has(&ask("week --site wendlestow").failed(), &["is damaged", "of Wendlestow/"]);
    assert_eq!(ask(site).done(), before);
}

/// Restored while another program has the book open: nothing is swapped from under it.
#[test]
fn a_book_that_is_in_use_is_not_replaced() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("backup copy.sqlite").done();
    trial.run(CUT).done();
    let before = trial.history();
    let reader = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    reader.execute_batch("BEGIN; SELECT count(*) FROM cut").unwrap();
    has(&trial.run("restore copy.sqlite").failed(), &["is open in another program"]);
    drop(reader);
    assert_eq!(trial.history(), before);
    assert!(!trial.path("stintbook.before-restore.sqlite").exists());
    trial.run("restore copy.sqlite").done();
}

#[test]
fn a_file_that_is_named_by_mistake_is_wrong_use_and_a_book_that_is_not_there_a_failure() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    trial.run("backup copy.sqlite").done();
    trial.write("notes.txt", "buy string").write("empty.sqlite", "");
    for (named, why) in [
        ("nowhere.sqlite", "there is no book at"),
        ("notes.txt", "is not a book"),
        ("empty.sqlite", "is an empty file"),
        ("sites", "is a folder"),
        ("stintbook.sqlite", "is this very book"),
    ] {
        has(&trial.run(&format!("restore {named}")).wrong(), &[why]);
    }
    let before = trial.history();
    for named in ["sites", "notes.txt", "empty.sqlite"] {
        has(&trial.run(&format!("backup {named}")).wrong(), &["is there already"]);
        trial.run(&format!("backup {named} --over")).wrong();
    }
    has(&trial.run("backup nowhere/copy.sqlite").failed(), &["nowhere/copy.sqlite"]);
    let nowhere = "--book nowhere.sqlite";
    has(&trial.run(&format!("backup new.sqlite {nowhere}")).failed(), &["there is no book at"]);
    assert_eq!(trial.history(), before);
    assert!(!trial.files("").iter().any(|file| file.contains(".part")));
}
