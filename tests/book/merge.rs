//! The union of books: what it is never depends on who takes in whom, when, or how often.

use stintbook::book::{
    Attendee, Book, BookError, Coming, Merged, Moment, Refusal, Scope, StorageError,
};
use stintbook::records::{Ending, FactId, Kind};

use crate::trial::{Trial, correction, cut, day, patch, patch_name, refusal, site};

pub fn merge(into: &mut Book, from: &Book) -> Coming {
    let keep = |coming: &Coming, _: &Moment<'_>| Ok::<_, BookError>(Merged::Keep(coming.clone()));
    into.merge(from, keep).unwrap().unwrap().0
}

pub fn union(first: &Trial, then: &[&Trial]) -> Trial {
    let mut all = Trial::new();
    merge(&mut all.book, &first.book);
    for other in then {
        merge(&mut all.book, &other.book);
    }
    all
}

/// All that counts and all that was ever recorded, in words, since it holds ids and no numbers
/// of places.
pub fn all_of(trial: &Trial) -> (String, String) {
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
    let ledger = trial.book.ledger(&Scope::All, None).unwrap();
    let mut history = trial.book.history(&Scope::All).unwrap();
    history.sort_by_key(|line| line.fact.id);
    (format!("{ledger:#?}"), format!("{history:#?}"))
}

/// Two books that went their own ways from one.
fn parted() -> [Trial; 2] {
    let mut one = Trial::with_two_patches();
    one.record(1, cut("wood/bank", 500.0));
    let mut other = Trial::new();
    merge(&mut other.book, &one.book);
    other.count_ids_from(1_000);
    [one, other]
}

fn the_cut(trial: &Trial) -> FactId {
    let history = trial.book.history(&Scope::All).unwrap();
    history.iter().find(|line| line.fact.record.kind() == Kind::Cut).unwrap().fact.id
}

#[test]
fn of_two_corrections_of_one_cut_the_larger_counts_in_both_books_until_it_is_settled() {
    let [mut one, mut other] = parted();
    let wrong = the_cut(&one);
    let larger = one.correct(2, wrong, cut("wood/bank", 650.0));
    let smaller = other.correct(3, wrong, cut("wood/bank", 560.0));
    let coming = merge(&mut one.book, &other.book);
    assert_eq!(coming.facts, [(smaller, Kind::Cut)]);
    assert_eq!(coming.corrections.len(), 1);
    merge(&mut other.book, &one.book);
    assert_eq!(all_of(&one), all_of(&other));
    assert_eq!(one.cuts_of("wood/bank", None), [650.0]);
    assert_eq!(one.cuts_of("wood/bank", Some(1)), [500.0]);
    let [clash] = &one.book.clashes().unwrap()[..] else { panic!("not one clash") };
    assert_eq!((clash.of, clash.standing().id()), (wrong, larger));

    // Settled in one book by way of the end that lost; the other hears of it.
    one.correct(4, smaller, cut("wood/bank", 600.0));
    assert_eq!(one.cuts_of("wood/bank", None), [600.0]);
    assert_eq!(one.book.clashes().unwrap(), []);
    assert_eq!(one.cuts_of("wood/bank", Some(3)), [650.0]);
    merge(&mut other.book, &one.book);
    assert_eq!(all_of(&one), all_of(&other));
    let refused = refusal(other.try_correct(5, larger, cut("wood/bank", 1.0)));
    assert!(matches!(refused, Refusal::AlreadyReplaced { .. }), "{refused}");
}

#[test]
fn a_cut_that_one_book_withdrew_and_the_other_put_right_counts_until_it_is_settled() {
    let [mut one, mut other] = parted();
    let wrong = the_cut(&one);
    one.withdraw(2, wrong).unwrap();
    let right = other.correct(2, wrong, cut("wood/bank", 560.0));
    merge(&mut one.book, &other.book);
    assert_eq!(one.cuts_of("wood/bank", None), [560.0]);
    let clash = &one.book.clashes().unwrap()[0];
    assert!(clash.ends.iter().any(|end| matches!(end, Ending::Withdrawn(_))));
    let mut kept = union(&one, &[]);
    kept.count_ids_from(2_000);
    kept.correct(4, right, cut("wood/bank", 560.0));
    assert_eq!(kept.book.clashes().unwrap(), []);
    assert_eq!(kept.cuts_of("wood/bank", None), [560.0]);
    one.withdraw(4, right).unwrap();
    assert_eq!(one.book.clashes().unwrap(), []);
    assert_eq!(one.cuts_of("wood/bank", None), Vec::<f64>::new());
}

/// Withdrawals and what is settled of them come over together, six of each, in whatever order.
#[test]
fn what_is_settled_of_a_withdrawal_lies_with_its_patch_in_the_other_book_too() {
    let [mut one, mut other] = parted();
    for n in 0..6 {
        let wrong = other.record(1, cut("wood/ride", 100.0));
        let withdrawal = other.new_id();
        other.book.append(&[], &[correction(withdrawal, wrong, None, day(2))]).unwrap();
        other.correct(3, withdrawal, cut("wood/ride", f64::from(n)));
    }
    merge(&mut one.book, &other.book);
    assert_eq!(all_of(&one), all_of(&other));
    let file = rusqlite::Connection::open(&one.path).unwrap();
    let nowhere = "SELECT count(*) FROM correction WHERE place = 0";
    assert_eq!(file.query_row(nowhere, [], |row| row.get::<_, u32>(0)).unwrap(), 0);
}

#[test]
fn two_patches_of_one_name_both_stay_and_the_first_keeps_the_name() {
    let mut one = Trial::new();
    one.record(0, site("wood"));
    let mut other = Trial::new();
    merge(&mut other.book, &one.book);
    other.count_ids_from(1_000);
    one.record(1, patch("wood/bank", "nettle-shoot"));
    one.record(2, cut("wood/bank", 100.0));
    let second = other.record(1, patch("wood/Bank", "sorrel-leaf"));
    other.record(2, cut("wood/Bank", 7.0));
    merge(&mut one.book, &other.book);
    merge(&mut other.book, &one.book);
    assert_eq!(all_of(&one), all_of(&other));
    let shown = format!("wood/Bank {}", second.short());
    assert_eq!(one.cuts_of("wood/bank", None), [100.0]);
    assert_eq!(one.cuts_of(&shown, None), [7.0]);
    assert_eq!(one.book.patch("bank").unwrap().name, patch_name("wood/bank"));
    assert_eq!(one.book.patch(&shown).unwrap().id, Some(second));
    let alone = one.book.ledger(&Scope::Patch(patch_name(&shown)), None).unwrap();
    let (_, facts) = alone.patches().find(|(_, it)| it.patch.id == second).unwrap();
    assert_eq!(facts.patch.record.name, patch_name(&shown));
    assert_eq!(one.book.history(&Scope::Patch(patch_name(&shown))).unwrap().len(), 2);
    // What is recorded under the longer name goes to it, and so does its new name.
    other.record(3, cut(&shown, 8.0));
    other.correct(4, second, patch("wood/ride", "sorrel-leaf"));
    assert_eq!(other.cuts_of("wood/ride", None), [7.0, 8.0]);
    assert_eq!(other.cuts_of("wood/bank", None), [100.0]);
}

#[test]
fn a_cut_on_a_patch_that_the_other_book_withdrew_is_named_and_kept() {
    let [mut one, mut other] = parted();
    let ride = one.book.patch("ride").unwrap().id.unwrap();
    one.withdraw(2, ride).unwrap();
    let there = other.record(2, cut("wood/ride", 40.0));
    merge(&mut one.book, &other.book);
    merge(&mut other.book, &one.book);
    assert_eq!(all_of(&one), all_of(&other));
    let [misplaced] = &one.book.misplaced().unwrap()[..] else { panic!("not one") };
    assert_eq!(misplaced.fact.id, there);
    one.withdraw(3, there).unwrap();
    assert_eq!(one.book.misplaced().unwrap(), []);
}

#[test]
fn one_fact_told_in_two_ways_or_a_damaged_book_is_refused_and_nothing_is_taken_in() {
    let keep = |_: &Coming, _: &Moment<'_>| Ok::<_, BookError>(Merged::Keep(()));
    let [mut one, mut other] = parted();
    one.count_ids_from(5_000);
    other.count_ids_from(5_000);
    let told = one.record(2, cut("wood/ride", 40.0));
    other.record(2, cut("wood/ride", 41.0));
    let before = all_of(&one);
    let refused = refusal(one.book.merge(&other.book, keep).map(|_| ()));
    assert_eq!(refused, Refusal::ToldOtherwise(told));
    let file = rusqlite::Connection::open(&other.path).unwrap();
    file.execute("UPDATE cut SET taken_g = 501 WHERE taken_g = 500", []).unwrap();
    let damaged = one.book.merge(&other.book, keep).map(|_| ()).unwrap_err();
    assert!(matches!(damaged, BookError::Storage(StorageError::Damaged { .. })), "{damaged}");
    assert_eq!(all_of(&one), before);
}

#[test]
fn what_is_only_looked_at_changes_nothing() {
    let [mut one, mut other] = parted();
    other.record(2, cut("wood/ride", 40.0));
    let before = all_of(&one);
    let look =
        |coming: &Coming, _: &Moment<'_>| Ok::<_, BookError>(Merged::Leave(coming.facts.len()));
    assert_eq!(one.book.merge(&other.book, look).unwrap().unwrap().0, 1);
    assert_eq!(all_of(&one), before);
}

#[test]
fn a_name_that_one_book_has_forgotten_is_forgotten_in_both() {
    let folder = tempfile::tempdir().unwrap();
    let [mut one, other] = parted();
    let walk: stintbook::records::WalkName = "spring walk".parse().unwrap();
    let name = |party, name: &str| Attendee { walk: walk.clone(), party, name: name.to_owned() };
    one.book.name_attendees(&[name(1, "Ann"), name(2, "Bo")]).unwrap();
    let copy = folder.path().join("copy.book");
    rusqlite::Connection::open(&one.path)
        .unwrap()
        .execute("VACUUM INTO ?", [copy.to_str().unwrap()])
        .unwrap();
    let mut copy = Book::open(&copy).unwrap();
    copy.forget("Ann", day(3)).unwrap();
    assert_eq!(merge(&mut one.book, &copy).forgotten, 1);
    assert_eq!(one.book.attendees(&walk).unwrap(), [name(2, "Bo")]);
    assert!(merge(&mut one.book, &copy).is_empty());
    merge(&mut copy, &other.book);
    assert_eq!(copy.attendees(&walk).unwrap(), [name(2, "Bo")]);
}
