//! Two commands at once, and commands that are cut off.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};
use stintbook::book::{Book, BookError, NewFact, Scope, StorageError};

use crate::trial::{Trial, cut, day, fact, id};

const BATCH: u128 = 5;

/// The facts of one command: all of them, or none, must be found again.
fn batch(number: u128) -> Vec<NewFact> {
    let first = 1_000_000 + number * BATCH;
    (first..first + BATCH).map(|n| fact(id(n), day(1), cut("wood/bank", 1.0))).collect()
}

fn cuts_in(path: &Path) -> usize {
    let ledger = Book::open_to_read(path).unwrap().ledger(&Scope::All, None).unwrap();
    ledger.patches().map(|(_, facts)| facts.cuts.len()).sum()
}

#[test]
fn two_that_write_at_once_wait_for_each_other_and_lose_nothing() {
    const ROUNDS: u128 = 25;
    let trial = Trial::with_two_patches();
    thread::scope(|threads| {
        for writer in 0..2_u128 {
            let path = &trial.path;
            threads.spawn(move || {
                let mut book = Book::open(path).unwrap();
                for round in 0..ROUNDS {
                    book.append(&batch(writer * ROUNDS + round), &[]).unwrap();
                }
            });
        }
        let path = &trial.path;
        threads.spawn(move || {
            for _ in 0..ROUNDS {
                assert_eq!(cuts_in(path) % BATCH as usize, 0, "half a command was seen");
            }
        });
    });
    assert_eq!(cuts_in(&trial.path), (2 * ROUNDS * BATCH) as usize);
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn a_book_that_another_command_keeps_is_named_after_a_wait() {
    let mut trial = Trial::with_two_patches();
    let mut other = Connection::open(&trial.path).unwrap();
    let kept = other.transaction_with_behavior(TransactionBehavior::Immediate).unwrap();
    let error = trial.try_record(1, cut("wood/bank", 1.0)).unwrap_err();
    assert!(matches!(error, BookError::Storage(StorageError::Busy(_))));
    assert_eq!(
        error.to_string(),
        format!(
            "another stintbook command is writing to `{}`; try again in a moment",
            trial.path.display()
        )
    );
    // Reading goes on meanwhile.
    assert_eq!(trial.cuts_of("wood/bank", None), Vec::<f64>::new());
    drop(kept);
    trial.record(1, cut("wood/bank", 1.0));
}

const CHILD: &str = "STINTBOOK_TEST_CHILD";

/// This test program again, to run one of the children below and nothing else.
fn child(program: &Path, test: &str, book: &Path) -> Command {
    let mut command = Command::new(program);
    command
        .args(["--exact", test, "--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD, book)
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

fn book_of_child() -> std::path::PathBuf {
    std::env::var_os(CHILD).expect("run by the test that kills it").into()
}

#[test]
#[ignore = "run by the test that kills it"]
fn appends_until_it_is_killed() {
    let mut book = Book::open(&book_of_child()).unwrap();
    let done = cuts_in(&book_of_child()) as u128 / BATCH;
    for number in done.. {
        book.append(&batch(number), &[]).unwrap();
        println!("recorded {number}");
        std::io::stdout().flush().unwrap();
    }
}

#[test]
fn whatever_was_acknowledged_is_there_after_a_kill_and_nothing_by_half() {
    let trial = Trial::with_two_patches();
    let program = std::env::current_exe().unwrap();
    let mut acknowledged = 0;
    for life in 1..=6 {
        let mut writer =
            child(&program, "together::appends_until_it_is_killed", &trial.path).spawn().unwrap();
        let mut lines = BufReader::new(writer.stdout.take().unwrap()).lines();
        let is_done = |line: &String| line.contains("recorded ");
        assert!(lines.by_ref().map(Result::unwrap).any(|line| is_done(&line)));
        acknowledged += 1;
        thread::sleep(Duration::from_millis(17 * life));
        writer.kill().unwrap();
        writer.wait().unwrap();
        acknowledged += lines.map(Result::unwrap).filter(is_done).count();
        let there = cuts_in(&trial.path);
        assert_eq!(there % BATCH as usize, 0, "half a command was recorded");
        assert!(there >= acknowledged * BATCH as usize, "{there} after {acknowledged}");
        // A command may have been recorded and killed before it could say so.
        acknowledged = there / BATCH as usize;
        assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
    }
    assert!(acknowledged >= 6);
}

#[cfg(unix)]
mod read_only {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;

    use super::*;

    const NOBODY: u32 = 65_534;

    #[test]
    #[ignore = "run by the test that takes its rights away"]
    fn reads_and_tries_to_write() {
        let path = book_of_child();
        println!("read {}", cuts_in(&path));
        let wrote = Book::open(&path).and_then(|mut book| book.append(&batch(9), &[]));
        println!("wrote: {}", wrote.unwrap_err());
    }

    /// A super-user may write anywhere, so the child then runs as nobody in particular.
    #[test]
    fn a_book_where_nothing_can_be_written_is_read_all_the_same() {
        let Trial { mut book, path, folder, .. } = Trial::with_two_patches();
        book.append(&batch(0), &[]).unwrap();
        drop(book);
        let program = folder.path().join("again");
        fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
        let set_mode = |path: &Path, mode| {
            fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
        };
        set_mode(&program, 0o555);
        set_mode(&path, 0o444);
        set_mode(folder.path(), 0o555);
        let test = "together::read_only::reads_and_tries_to_write";
        let super_user = fs::File::create(folder.path().join("probe")).is_ok();
        let mut command = child(&program, test, &path);
        if super_user {
            command.uid(NOBODY).gid(NOBODY);
        }
        let said = String::from_utf8(command.output().unwrap().stdout).unwrap();
        set_mode(folder.path(), 0o755);
        assert!(said.contains(&format!("read {BATCH}")), "{said}");
        assert!(
            said.contains("cannot be written to: the file or its folder is read-only"),
            "{said}"
        );
    }
}
