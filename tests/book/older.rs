//! A book of layout 3, as the last program that wrote such books left it: two surveyed patches,
//! a correction, a withdrawal, and a walk with names and holds.

use std::path::Path;

use rusqlite::Connection;
use stintbook::book::{Book, Refusal, Scope};
use stintbook::records::Purpose;

use crate::trial::{cut, day, fact, refusal};

fn a_book_of_the_third_layout(path: &Path) {
    let file = Connection::open(path).unwrap();
    file.pragma_update(None, "foreign_keys", false).unwrap();
    file.execute_batch(include_str!("../fixtures/book/layout_3.sql")).unwrap();
    file.pragma_update(None, "application_id", 0x7374_626b).unwrap();
    file.pragma_update(None, "user_version", 3).unwrap();
}

/// Every id in the file, with what it is of.
fn ids(path: &Path) -> Vec<(Vec<u8>, String)> {
    let file = Connection::open(path).unwrap();
    let mut ids = file
        .prepare("SELECT id, kind FROM fact UNION ALL SELECT id, 'correction' FROM correction ORDER BY 1")
        .unwrap();
    let rows = ids.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    rows.collect::<Result<_, _>>().unwrap()
}

#[test]
fn a_book_of_the_third_layout_keeps_ids_names_and_holds_and_can_prove_itself() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    a_book_of_the_third_layout(&path);
    let before = ids(&path);
    assert_eq!(before.len(), 18, "16 facts and 2 corrections");
    let book = Book::open(&path).unwrap();
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
    assert_eq!(ids(&path), before);

    let ledger = book.ledger(&Scope::All, None).unwrap();
    let amounts = |patch: &str| {
        let found = ledger.patches().find(|(_, facts)| facts.patch.record.name.patch() == patch);
        let facts = found.unwrap().1;
        let cuts: Vec<f64> = facts.cuts.iter().map(|cut| cut.record.amount.value).collect();
        let holds: Vec<f64> = facts.holds.iter().map(|hold| hold.record.amount.value).collect();
        (cuts, holds, facts.surveys.len())
    };
    assert_eq!(amounts("Bank"), (vec![800.0], vec![790.0], 1));
    assert_eq!(amounts("Wood"), (vec![], vec![300.0], 1));
    let permission = &ledger.sites[0].permissions[0].record;
    assert_eq!(permission.purposes, None);
    let counts_for: Vec<Purpose> = permission.counts_for().collect();
    assert_eq!(counts_for, [Purpose::OwnUse], "nobody said more");
    let names = book.attendees(&"spring walk".parse().unwrap()).unwrap();
    let names: Vec<(u32, &str)> = names.iter().map(|one| (one.party, one.name.as_str())).collect();
    assert_eq!(names, [(1, "Ann"), (2, "Bj\u{f6}rk")]);
}

#[test]
fn a_cut_of_an_older_book_is_not_recorded_once_more_elsewhere() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    a_book_of_the_third_layout(&path);
    let mut book = Book::open(&path).unwrap();
    let ledger = book.ledger(&Scope::All, None).unwrap();
    let named = |name: &str| {
        let found = ledger.patches().find(|(_, facts)| facts.patch.record.name.patch() == name);
        found.unwrap().1
    };
    let (bank, wood) = (named("Bank"), named("Wood"));
    let elsewhere = cut(&wood.patch.record.name.to_string(), 5.0);
    let again = fact(bank.cuts[0].id, day(90), elsewhere);
    let refused = refusal(book.append(&[again], &[]));
    assert!(matches!(refused, Refusal::AlreadyRecorded(id) if id == bank.cuts[0].id), "{refused}");
    assert_eq!(book.ledger(&Scope::All, None).unwrap(), ledger);
}

#[test]
fn a_fact_of_an_older_book_that_is_changed_after_its_checksums_were_made_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.book");
    a_book_of_the_third_layout(&path);
    let book = Book::open(&path).unwrap();
    let file = Connection::open(&path).unwrap();
    file.execute("UPDATE quadrat SET amount = 29 WHERE amount = 30 AND ordinal = 1", []).unwrap();
    // A week does not read quadrats, only what they come to.
    assert!(book.ledger(&Scope::All, None).is_ok());
    let said = book.history(&Scope::All).unwrap_err().to_string();
    assert!(said.contains("the quadrats of survey"), "{said}");
    let wrong = book.integrity().unwrap();
    assert!(wrong.iter().any(|line| line.contains("do not match their checksum")), "{wrong:?}");
}

/// A layout number that a flipped bit has made another: one sentence, and nothing is written.
#[test]
fn a_layout_number_that_cannot_be_is_told_in_a_sentence_without_sql() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("odd.book");
    for number in [0, 1, 2, 3, -1, i64::from(i32::MIN), 99, i64::from(i32::MAX)] {
        let _ = std::fs::remove_file(&path);
        drop(Book::create(&path).unwrap());
        let file = Connection::open(&path).unwrap();
        file.pragma_update(None, "user_version", number).unwrap();
        drop(file);
        for opened in [Book::open(&path), Book::open_to_read(&path)] {
            let said = opened.unwrap_err().to_string();
            assert!(said.contains("layout") && said.len() < 300, "{number}: {said}");
            assert!(!said.contains("CREATE") && !said.contains("ALTER"), "{number}: {said}");
        }
        let file = Connection::open(&path).unwrap();
        let left: i64 = file.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
        assert_eq!(left, number);
    }
}
