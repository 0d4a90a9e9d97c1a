//! What a flipped bit of the book's file can do: be harmless, or be named. Never more.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use stintbook::book::{Book, BookError, Scope, StorageError};
use stintbook::records::{Ledger, PatchName};

use crate::trial::Trial;

/// Everything that a limit follows from, asked in the ways of `week` and `check`: for all
/// patches at once, then for each by its name.
fn ask(path: &Path, patches: &[PatchName]) -> Vec<Result<Ledger, BookError>> {
    let book = match Book::open_to_read(path) {
        Ok(book) => book,
        Err(error) => return vec![Err(error)],
    };
    let week = book.ledger(&Scope::All, None);
    let check = |patch: &PatchName| {
        let known = book.patch(&patch.to_string())?;
        book.ledger(&Scope::Patch(known.name), None)
    };
    std::iter::once(week).chain(patches.iter().map(check)).collect()
}

/// How often a flip did what.
#[derive(Debug, Default)]
struct Toll {
    harmless: u32,
    /// Some answers, or all of them, were refused; the others were as before.
    some: u32,
    all: u32,
    said: BTreeMap<String, u32>,
}

/// Flips one bit in each of so many copies of the demo's book.
fn flip(times: u32, seed: u64) -> Toll {
    let trial = Trial::new();
    trial.run("demo").done();
    let whole = fs::read(trial.path("demo.sqlite")).unwrap();
    let path = trial.path("flipped.sqlite");
    let fresh = |bytes: &[u8]| {
        for beside in ["flipped.sqlite-wal", "flipped.sqlite-shm"] {
            let _ = fs::remove_file(trial.path(beside));
        }
        fs::write(&path, bytes).unwrap();
    };
    fresh(&whole);
    let book = Book::open_to_read(&path).unwrap();
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
    let ledger = book.ledger(&Scope::All, None).unwrap();
    let patches: Vec<PatchName> =
        ledger.patches().map(|(_, facts)| facts.patch.record.name.clone()).collect();
    drop(book);
    assert!(patches.len() > 20, "the demo has only {} patches", patches.len());
    let truth: Vec<Ledger> = ask(&path, &patches).into_iter().map(Result::unwrap).collect();

    let mut random = fastrand::Rng::with_seed(seed);
    let mut toll = Toll::default();
    for n in 0..times {
        // One in each stretch, so that the flips are spread over the whole file.
        let stretch = whole.len() / times as usize;
        let (at, bit) = (n as usize * stretch + random.usize(0..stretch), random.u8(0..8));
        let mut spoiled = whole.clone();
        spoiled[at] ^= 1 << bit;
        fresh(&spoiled);
        let place = format!("bit {bit} of byte {at}");
        let answers = ask(&path, &patches);
        let mut refused = 0;
        for (n, answer) in answers.iter().enumerate() {
            match answer {
                Ok(ledger) => assert!(*ledger == truth[n], "{place} changed answer {n}"),
                Err(BookError::Storage(error)) => {
                    refused += 1;
                    names_the_damage(error, &place);
                    *toll.said.entry(in_short(error)).or_default() += 1;
                }
                Err(error) => panic!("{place} was taken for something else: {error}"),
            }
        }
        // What an answer was refused for, `verify` names too.
        let verified = Book::open_to_read(&path).and_then(|book| book.integrity());
        let named = verified.as_ref().map_or(true, |wrong| !wrong.is_empty());
        assert!(named || refused == 0, "{place}: verify says nothing, but {answers:?}");
        match refused {
            0 => toll.harmless += 1,
            n if n == answers.len() => toll.all += 1,
            _ => toll.some += 1,
        }
    }
    toll
}

/// Says in a sentence or two what is damaged, and shows no SQL.
fn names_the_damage(error: &StorageError, place: &str) {
    let said = error.to_string();
    let kind = matches!(
        error,
        StorageError::Damaged { .. }
            | StorageError::Unsound { .. }
            | StorageError::Newer { .. }
            | StorageError::NotABook(_)
            | StorageError::OtherProgram(_)
            | StorageError::ReadOnly(_)
    );
    assert!(kind, "{place}: {said}");
    assert!(said.len() < 900 && !said.contains("SELECT") && !said.contains("CREATE"), "{said}");
}

fn in_short(error: &StorageError) -> String {
    let text = match error {
        StorageError::Unsound { wrong, .. } => wrong[0].clone(),
        StorageError::Damaged { what, .. } => what.clone(),
        other => format!("{other:?}"),
    };
    let until = |end: char| text.split(end).next().unwrap_or_default().to_owned();
    until('`').chars().filter(|c| !c.is_ascii_digit()).take(40).collect()
}

#[test]
fn a_flipped_bit_changes_no_answer_in_silence() {
    let toll = flip(200, 1);
    assert!(toll.harmless > 20 && toll.some + toll.all > 20, "{toll:?}");
}

/// The same at length; prints what was said how often.
#[test]
#[ignore = "takes a minute"]
fn of_800_flipped_bits_none_changes_an_answer_in_silence() {
    let toll = flip(800, 2027);
    assert!(toll.some > 0, "{toll:?}");
    println!("{toll:#?}");
}
