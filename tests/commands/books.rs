//! Books that cannot be read or written: exit status 3, and a sentence.

use std::fs;

use rusqlite::{Connection, TransactionBehavior};

use crate::said::{Said, has};
use crate::trial::{Trial, in_a_file};

/// Commands that read, and commands that write.
const ASKED: [&str; 9] = [
    "week",
    "check bank",
    "history",
    "pressure",
    "verify",
    "export out --whole",
    "cut bank 5g --by Ida",
    "glance bank 3kg --by Ida",
    "load places.geojson",
];

fn each_says(trial: &Trial, parts: &[&str]) {
    for words in ASKED {
        has(&trial.run(words).failed(), parts);
    }
}

#[test]
fn a_missing_book_is_told_with_the_way_out() {
    let trial = Trial::new();
    each_says(&trial, &["there is no book at `stintbook.sqlite`; make one with `stintbook new`"]);
    assert!(trial.files("").is_empty(), "asking made a file");
}

#[test]
fn what_is_no_book_is_called_what_it_is_and_left_alone() {
    in_a_file();
    let trial = Trial::on_hill();
    trial.write("stintbook.sqlite", "not a book ".repeat(999));
    each_says(&trial, &["`stintbook.sqlite` is not a book"]);
    assert!(trial.read("stintbook.sqlite").starts_with("not a book"));
    fs::remove_file(trial.path("stintbook.sqlite")).unwrap();
    fs::create_dir(trial.path("stintbook.sqlite")).unwrap();
    each_says(&trial, &["`stintbook.sqlite` is a folder; name the book file in it"]);
}

#[test]
fn a_newer_book_is_left_alone() {
    in_a_file();
    let trial = Trial::on_hill();
    let book = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    book.pragma_update(None, "user_version", 99).unwrap();
    drop(book);
    each_says(
        &trial,
        &["was written by a newer stintbook (layout 99", "update stintbook to use it"],
    );
}

#[test]
fn a_book_that_another_program_keeps_locked_is_named_and_can_be_read() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    let mut other = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    let kept = other.transaction_with_behavior(TransactionBehavior::Immediate).unwrap();
    let said = trial.run("cut bank 5g --by Ida").failed();
    has(&said, &["another stintbook command is writing to `stintbook.sqlite`; try again"]);
    trial.run("check bank --on 2021-03-15").done();
    drop(kept);
    trial.run("cut bank 5g --by Ida").done();
}

#[test]
fn a_book_is_named_on_the_command_line_or_by_a_variable_and_the_command_line_wins() {
    let trial = Trial::with_a_surveyed_bank();
    fs::rename(trial.path("stintbook.sqlite"), trial.path("my book")).unwrap();
    trial.run("week").failed();
    let week = trial.run("week --on 2021-03-15 --book \"my book\"").done();
    assert_eq!(trial.run("--book \"my book\" week --on 2021-03-15").done(), week);
    let with = |words: &str, book: &str| Said::by(trial.command(words).env("STINTBOOK", book));
    assert_eq!(with("week --on 2021-03-15", "my book").done(), week);
    assert_eq!(with("week --on 2021-03-15 --book \"my book\"", "nowhere").done(), week);
    has(&with("week", "nowhere").failed(), &["there is no book at `nowhere`"]);
}

#[test]
fn a_page_missing_from_a_book_is_found_by_verify() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    let path = trial.path("stintbook.sqlite");
    let whole = fs::read(&path).unwrap();
    fs::write(&path, &whole[..whole.len() / 2]).unwrap();
    let said = trial.run("verify");
    assert_eq!(said.status, 3, "{said:?}");
}

/// A super-user may write anywhere, so the command then runs as nobody in particular.
#[cfg(unix)]
mod read_only {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    use std::process::Command;

    use super::*;

    const NOBODY: u32 = 65_534;

    fn set_mode(trial: &Trial, file: &str, mode: u32) {
        fs::set_permissions(trial.path(file), fs::Permissions::from_mode(mode)).unwrap();
    }

    fn run_as_nobody(trial: &Trial, words: &[&str]) -> Said {
        let mut command = Command::new(trial.path("program"));
        command.args(words).current_dir(trial.path("")).env("COLUMNS", "80");
        if fs::File::create(trial.path("probe")).is_ok() {
            command.uid(NOBODY).gid(NOBODY);
        }
        Said::by(&mut command)
    }

    #[test]
    fn a_book_in_a_read_only_folder_is_read_but_not_written() {
        in_a_file();
        let trial = Trial::with_a_surveyed_bank();
        fs::copy(env!("CARGO_BIN_EXE_stintbook"), trial.path("program")).unwrap();
        set_mode(&trial, "program", 0o555);
        set_mode(&trial, "stintbook.sqlite", 0o444);
        fs::remove_dir(trial.path("reports")).unwrap();
        set_mode(&trial, "", 0o555);
        let week = run_as_nobody(&trial, &["week", "--on", "2021-03-15"]);
        let cut = run_as_nobody(&trial, &["cut", "bank", "5g", "--by", "Ida"]);
        let drawn = run_as_nobody(&trial, &["pressure", "--season", "2020/21"]);
        let new = run_as_nobody(&trial, &["new", "myland"]);
        set_mode(&trial, "", 0o755);
        has(&week.done(), &["OPEN: 1 patch"]);
        has(&cut.failed(), &["cannot be written to: the file or its folder is read-only"]);
        has(&drawn.failed(), &["could not make `reports`: Permission denied"]);
        has(&new.failed(), &["could not make `myland/sites`: Permission denied"]);
    }
    #[test]
    fn a_book_of_an_older_layout_in_a_read_only_folder_says_what_must_be_done_first() {
        in_a_file();
        let trial = Trial::new();
        let old = rusqlite::Connection::open(trial.path("stintbook.sqlite")).unwrap();
        old.pragma_update(None, "foreign_keys", false).unwrap();
        old.execute_batch(include_str!("../fixtures/book/layout_3.sql")).unwrap();
        old.pragma_update(None, "application_id", 0x7374_626b).unwrap();
        old.pragma_update(None, "user_version", 3).unwrap();
        old.close().unwrap();
        fs::copy(env!("CARGO_BIN_EXE_stintbook"), trial.path("program")).unwrap();
        set_mode(&trial, "program", 0o555);
        set_mode(&trial, "stintbook.sqlite", 0o444);
        set_mode(&trial, "", 0o555);
        let week = run_as_nobody(&trial, &["week", "--on", "2021-03-15"]);
        set_mode(&trial, "", 0o755);
        has(
            &week.failed(),
            &["was written by an older stintbook and must first be brought up to date"],
        );
    }
}
