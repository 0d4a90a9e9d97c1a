//! `walk forget`: a name that is gone is gone from the bytes, and stays gone.

use std::fs;

use rusqlite::Connection;
use stintbook::book::{Attendee, Book};

use crate::hill::NEW_WALK;
use crate::said::has;
use crate::trial::{Trial, in_a_file};

/// How often the bytes stand in the book's file and those beside it.
fn times(trial: &Trial, book: &str, name: &str) -> usize {
    let files = ["", "-wal", "-journal"].map(|end| trial.path(&format!("{book}{end}")));
    let found = files.iter().filter_map(|file| fs::read(file).ok());
    found.map(|bytes| bytes.windows(name.len()).filter(|at| *at == name.as_bytes()).count()).sum()
}

fn with_parties(names: &[&str]) -> Trial {
    let trial = Trial::with_surveyed_patches();
    let rows = names.iter().map(|name| format!("{name},1,\n")).collect::<String>();
    trial.write("parties.csv", format!("party,adults,children\n{rows}"));
    trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
    trial
}

#[test]
fn a_name_is_found_whatever_its_case_and_however_its_accents_are_typed() {
    in_a_file();
    let trial = with_parties(&["\u{c4}nnchen", "Bj\u{f6}rk", "Gro\u{df}"]);
    for (asked, kept) in
        [("a\u{308}nnchen", "nnchen"), ("BJO\u{308}RK", "Bj\u{f6}rk"), ("gross", "Gro\u{df}")]
    {
        assert_eq!(times(&trial, "stintbook.sqlite", kept), 1, "{kept}");
        let said = trial.run(&format!("walk forget \"{asked}\"")).done();
        has(&said, &["Forgotten: the name of 1 party", "looked through"]);
        assert_eq!(times(&trial, "stintbook.sqlite", kept), 0, "{kept}");
    }
    let said = trial.run("walk forget Bo").wrong();
    has(&said, &["no party of any walk is called `Bo`"]);
}

#[test]
fn letters_that_other_records_have_too_are_told() {
    let trial = with_parties(&["Ida", "Zebedee"]);
    let said = trial.run("walk forget Ida").done();
    has(&said, &["The letters `Ida` still stand in it", "rows of `survey`"]);
    has(&trial.run("walk forget zebedee").done(), &["the name is not in it"]);
}

/// Two hundred names in a book of some size, put in between much else and taken out one by one.
#[test]
fn of_200_names_in_a_larger_book_none_is_left_in_the_bytes() {
    let trial = Trial::with_surveyed_patches();
    let rows: String = (0..400)
        .map(|n| {
            format!("Hill/Bank,2020-{:02}-{:02},Observer {n},1kg\n", n / 28 % 12 + 1, n % 28 + 1)
        })
        .collect();
    trial.load("glances.csv", format!("patch,date,by,standing\n{rows}")).done();
    let path = trial.path("stintbook.sqlite");
    let mut book = Book::open(&path).unwrap();
    let day = jiff::civil::date(2021, 3, 10);
    let name = |n: u32| format!("Quillon{:03}{}", n * 37 % 200, "x".repeat(n as usize % 40));
    let attendee = |n: u32| Attendee {
        walk: format!("walk {}", n * 13 % 25).parse().unwrap(),
        party: n + 1,
        name: name(n),
    };
    for n in 0..200 {
        book.name_attendees(&[attendee(n)]).unwrap();
    }
    // Some are replaced, which forgets the first of the two.
    for n in 0..20 {
        let other = Attendee { name: format!("Tamsquint{n:03}"), ..attendee(n) };
        book.name_attendees(&[other]).unwrap();
    }
    assert!(times(&trial, "stintbook.sqlite", "Quillon") >= 180);
    for n in 20..200 {
        let forgotten = book.forget(&name(n).to_uppercase(), day).unwrap();
        assert_eq!(forgotten.parties, 1, "{}", name(n));
    }
    for n in 0..20 {
        assert_eq!(book.forget(&format!("Tamsquint{n:03}"), day).unwrap().parties, 1);
    }
    for name in ["Quillon", "Tamsquint"] {
        assert_eq!(times(&trial, "stintbook.sqlite", name), 0, "{name}");
    }
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn while_a_reader_holds_old_pages_it_is_not_said_to_be_gone() {
    in_a_file();
    let trial = with_parties(&["Zebedee", "Bo"]);
    let reader = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    let named: i64 = reader
        .prepare("BEGIN")
        .and_then(|mut begin| begin.execute([]))
        .and_then(|_| reader.query_row("SELECT count(*) FROM attendee", [], |row| row.get(0)))
        .unwrap();
    assert_eq!(named, 2);
    let said = trial.run("walk forget Zebedee").failed();
    has(&said, &["gone from the book, but another program still reads", "walk forget \"Zebedee\""]);
    assert!(times(&trial, "stintbook.sqlite", "Zebedee") > 0, "the reader holds nothing");
    assert!(!trial.run("walk split \"spring walk\"").done().contains("Zebedee"));
    reader.execute_batch("COMMIT").unwrap();
    let said = trial.run("walk forget Zebedee");
    assert!(said.status == 0 || said.status == 2, "{said:?}");
    assert_eq!(times(&trial, "stintbook.sqlite", "Zebedee"), 0);
    drop(reader);
    let said = trial.run("walk forget Zebedee").wrong();
    has(&said, &["no party of any walk is called `Zebedee`", "the name is not in it"]);
}

#[test]
fn a_backup_from_before_brings_no_forgotten_name_back() {
    in_a_file();
    let trial = with_parties(&["Zebedee", "Bo", "Quillon"]);
    trial.run("backup copy.sqlite").done();
    trial.run("walk forget zebedee").done();
    let said = trial.run("restore copy.sqlite").done();
    has(&said, &["The name of 1 party, forgotten since, was taken out again"]);
    assert_eq!(times(&trial, "stintbook.sqlite", "Zebedee"), 0);
    assert!(times(&trial, "copy.sqlite", "Zebedee") > 0);
    has(&trial.run("walk split \"spring walk\"").done(), &["Quillon"]);
    trial.run("walk cancel \"spring walk\" --recorded-on 2021-03-11").done();
    let said = trial.run("restore copy.sqlite").done();
    has(&said, &["The names of 3 parties, forgotten since, were taken out again"]);
    let said = trial.run("walk split \"spring walk\"").done();
    assert!(!said.contains("Quillon"), "{said}");
    assert_eq!(times(&trial, "stintbook.sqlite", "Quillon"), 0);
}
