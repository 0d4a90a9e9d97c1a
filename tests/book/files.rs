use std::fs;
use std::path::Path;

use rusqlite::Connection;
use stintbook::book::{Book, BookError, Scope, StorageError};
use stintbook::records::{Patch, Record, Underfoot};

use crate::trial::{Trial, cut, day, fact, id, patch, site};

fn storage<T: std::fmt::Debug>(result: Result<T, BookError>) -> StorageError {
    match result.unwrap_err() {
        BookError::Storage(error) => error,
        BookError::Refused(refusal) => panic!("it was refused: {refusal}"),
    }
}

/// What opening says of a file, whether to write or to read.
fn said_of(path: &Path) -> String {
    let to_write = storage(Book::open(path)).to_string();
    assert_eq!(storage(Book::open_to_read(path)).to_string(), to_write);
    to_write.replace(&path.display().to_string(), "X")
}

#[test]
fn a_new_book_takes_the_place_of_nothing() {
    let trial = Trial::with_two_patches();
    assert!(matches!(storage(Book::create(&trial.path)), StorageError::AlreadyThere(_)));
    assert!(matches!(storage(Book::create(trial.folder.path())), StorageError::Folder(_)));
    assert!(Book::create(&trial.folder.path().join("nowhere/new.book")).is_err());
    assert!(trial.book.patch("bank").is_ok());
}

#[test]
fn what_is_no_book_is_called_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    assert_eq!(said_of(&at("none")), "there is no book at `X`; make one with `stintbook new`");
    assert_eq!(said_of(folder.path()), "`X` is a folder; name the book file in it");
    fs::write(at("empty"), "").unwrap();
    assert_eq!(
        said_of(&at("empty")),
        "`X` is an empty file, not a book; delete it and make one with `stintbook new`"
    );
    fs::write(at("junk"), "not a book at all ".repeat(400)).unwrap();
    assert_eq!(said_of(&at("junk")), "`X` is not a book: nothing in it reads as one");
    fs::write(at("short"), "x").unwrap();
    assert_eq!(said_of(&at("short")), "`X` is not a book: nothing in it reads as one");
    let other = Connection::open(at("other")).unwrap();
    other.execute_batch("CREATE TABLE birds (name TEXT)").unwrap();
    drop(other);
    assert_eq!(said_of(&at("other")), "`X` is another program's SQLite database, not a book");
    assert_eq!(fs::read(at("empty")).unwrap(), b"", "a look changed the file");
}

#[test]
fn a_book_of_a_later_layout_is_left_alone() {
    let trial = Trial::with_two_patches();
    let Trial { book, path, folder: _folder, .. } = trial;
    drop(book);
    let file = Connection::open(&path).unwrap();
    let newest: i64 = file.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
    file.pragma_update(None, "user_version", 99).unwrap();
    drop(file);
    assert_eq!(
        said_of(&path),
        format!(
            "`X` was written by a newer stintbook (layout 99, this one knows layouts up to \
             {newest}); update stintbook to use it"
        )
    );
}

/// A book as the first release made it, with a site and a patch.
fn a_book_of_the_first_layout(path: &Path) {
    let file = Connection::open(path).unwrap();
    file.execute_batch(include_str!("../../src/book/migrations/0001_first.sql")).unwrap();
    file.pragma_update(None, "application_id", 0x7374_626b).unwrap();
    file.pragma_update(None, "user_version", 1).unwrap();
    file.execute_batch(include_str!("../fixtures/book/layout_1.sql")).unwrap();
}

#[test]
fn a_book_of_the_first_layout_is_brought_up_to_date_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    a_book_of_the_first_layout(&path);
    let mut book = Book::open(&path).unwrap();
    let ground = |book: &Book| {
        let ledger = book.ledger(&Scope::All, None).unwrap();
        let patches = ledger.patches().map(|(_, facts)| facts.patch.record.clone());
        patches.map(|patch| (patch.name.to_string(), patch.underfoot)).collect::<Vec<_>>()
    };
    assert_eq!(ground(&book), [("wood/bank".to_owned(), None)]);
    let Record::Patch(patch) = patch("wood/ride", "nettle-shoot") else { unreachable!() };
    let trodden = Record::Patch(Patch { underfoot: Some(Underfoot::Lawn), ..patch });
    book.append(&[fact(id(9), day(9), trodden)], &[]).unwrap();
    assert!(ground(&book).contains(&("wood/ride".to_owned(), Some(Underfoot::Lawn))));
    assert!(book.integrity().unwrap().is_empty());
}

#[test]
fn a_book_of_the_first_layout_can_be_read_without_being_changed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    a_book_of_the_first_layout(&path);
    let book = Book::open_to_read(&path).unwrap();
    assert_eq!(book.ledger(&Scope::All, None).unwrap().patches().count(), 1);
}

#[test]
fn a_book_that_was_cut_off_is_called_damaged_and_nothing_panics() {
    let mut trial = Trial::with_two_patches();
    for number in 0..50 {
        trial.record(number, cut("wood/bank", 1.0));
    }
    let Trial { book, path, folder: _folder, .. } = trial;
    drop(book);
    let whole = fs::read(&path).unwrap();
    let mut damaged = 0;
    for length in (1..whole.len()).step_by(whole.len() / 24) {
        fs::write(&path, &whole[..length]).unwrap();
        let read =
            Book::open_to_read(&path).and_then(|book| book.ledger(&Scope::All, None).map(|_| ()));
        damaged += usize::from(read.is_err());
    }
    assert!(damaged > 12, "only {damaged} of the cut-off books were noticed");
    // Noise in the middle is either noticed or not read, but never a panic.
    for at in (4096..whole.len()).step_by(997) {
        let mut spoiled = whole.clone();
        spoiled[at..].iter_mut().take(9).for_each(|byte| *byte = !*byte);
        fs::write(&path, &spoiled).unwrap();
        if let Ok(book) = Book::open_to_read(&path) {
            let _ = book.ledger(&Scope::All, None);
            let _ = book.history(&Scope::All);
            let _ = book.integrity();
        }
    }
}

#[test]
fn a_fact_that_was_changed_behind_the_books_back_is_named() {
    let mut trial = Trial::with_two_patches();
    trial.record(1, cut("wood/bank", 1.0));
    let file = Connection::open(&trial.path).unwrap();
    file.execute("UPDATE cut SET happened_on = '2027-02-30'", []).unwrap();
    let error = storage(trial.book.ledger(&Scope::All, None));
    assert_eq!(
        error.to_string(),
        format!(
            "`{}` is damaged, and no limit is given from what is: cut `00000004` of wood/bank does \
             not match its checksum; `stintbook verify` names all of it, `stintbook restore` puts \
             a backup in its place; until then `check` and `week --site` still answer for places \
             that are whole",
            trial.path.display()
        )
    );
    let said = trial.book.integrity().unwrap();
    assert!(said.iter().any(|line| line.contains("column `happened_on` holds no day")), "{said:?}");
}

/// How the pages of a file are written.
fn written_by(path: &Path) -> String {
    let file = Connection::open(path).unwrap();
    file.pragma_query_value(None, "journal_mode", |row| row.get(0)).unwrap()
}

#[test]
fn a_book_beside_which_nothing_can_be_made_is_read_as_one_that_does_not_change() {
    let Trial { book, path, folder, .. } = Trial::with_two_patches();
    drop(book);
    // What writers write ahead would be a file of that name.
    let beside = folder.path().join("trial.book-wal");
    std::os::unix::fs::symlink("no such folder/wal", beside).unwrap();
    let book = Book::open_to_read(&path).unwrap();
    assert_eq!(book.ledger(&Scope::All, None).unwrap().patches().count(), 2);
}

#[test]
fn an_empty_book_takes_in_files_straight_and_is_written_ahead_from_then_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.book");
    let mut book = Book::create(&path).unwrap();
    assert_eq!(written_by(&path), "wal");
    book.takes_in_files();
    assert_eq!(written_by(&path), "delete");
    book.append(&[fact(id(1), day(1), site("wood"))], &[]).unwrap();
    assert_eq!(written_by(&path), "wal");
    book.takes_in_files();
    assert_eq!(written_by(&path), "wal", "it has facts");
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn an_empty_book_that_others_have_open_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.book");
    let book = Book::create(&path).unwrap();
    let reads = Book::open_to_read(&path).unwrap();
    book.takes_in_files();
    assert_eq!(written_by(&path), "wal");
    drop(reads);
}
