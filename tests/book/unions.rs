//! Laws of unions over random histories of three books: it makes no difference who takes in whom,
//! in which order, in which brackets, or how often.

use std::cell::RefCell;

use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use stintbook::book::{Attendee, BookError, Scope};
use stintbook::records::{Closure, Ending, Hold, Kind, PatchName, Record, Redraw, Taken, Walk};
use stintbook::units::Amount;

use crate::merge::{all_of, merge, union};
use crate::trial::{Trial, cut, day, glance, patch, patch_name, site, site_name, survey};

#[derive(Clone, Debug)]
enum Deed {
    Cut(usize, u16),
    Glance(usize, u16),
    Survey(usize, u16),
    /// Of the nth fact of the book that may be.
    Correct(usize, u16),
    Withdraw(usize),
    NewPatch(usize),
    Rename(usize, usize),
    RenameSite(usize),
    /// A walk of a name, or what is set aside for it.
    Walk(usize, u16),
    Hold(usize, u16),
    Close(usize),
    /// A patch no longer, or one on other ground.
    Redraw(usize, bool),
    /// By way of the end that counts.
    Settle(usize),
    /// Forgets the name of a party of the walk that all books had from the start.
    Forget(usize),
    TakeIn(usize),
}

const NAMES: [&str; 4] = ["bank", "ride", "Slope", "slope"];
const SITES: [&str; 3] = ["wood", "copse", "Holt"];
const WALKS: [&str; 2] = ["spring walk", "long walk"];
const ATTENDEES: [&str; 3] = ["Ann", "Bo", "Cy"];

fn deeds() -> impl Strategy<Value = Vec<(usize, Deed)>> {
    let which = 0_usize..64;
    let deed = prop_oneof![
        4 => (which.clone(), 1_u16..900).prop_map(|(at, grams)| Deed::Cut(at, grams)),
        1 => (which.clone(), 1_u16..900).prop_map(|(at, grams)| Deed::Glance(at, grams)),
        1 => (which.clone(), 1_u16..90).prop_map(|(at, grams)| Deed::Survey(at, grams)),
        4 => (which.clone(), 1_u16..900).prop_map(|(at, grams)| Deed::Correct(at, grams)),
        3 => which.clone().prop_map(Deed::Withdraw),
        1 => (0..NAMES.len()).prop_map(Deed::NewPatch),
        2 => (which.clone(), 0..NAMES.len()).prop_map(|(at, name)| Deed::Rename(at, name)),
        1 => (0..SITES.len()).prop_map(Deed::RenameSite),
        1 => (0..WALKS.len(), 1_u16..9).prop_map(|(name, day)| Deed::Walk(name, day)),
        1 => (which.clone(), 1_u16..900).prop_map(|(at, grams)| Deed::Hold(at, grams)),
        1 => which.clone().prop_map(Deed::Close),
        1 => (which.clone(), any::<bool>()).prop_map(|(at, gone)| Deed::Redraw(at, gone)),
        3 => which.clone().prop_map(Deed::Settle),
        1 => (0..ATTENDEES.len()).prop_map(Deed::Forget),
        2 => (0_usize..3).prop_map(Deed::TakeIn),
    ];
    prop::collection::vec((0_usize..3, deed), 0..40)
}

/// Deeds that the book refuses are left undone, as a person would leave them.
fn done(outcome: Result<impl Sized, BookError>) {
    match outcome {
        Ok(_) | Err(BookError::Refused(_)) => {}
        Err(storage) => panic!("{storage}"),
    }
}

fn pick<T: Copy>(of: &[T], at: usize) -> Option<T> {
    (!of.is_empty()).then(|| of[at % of.len()])
}

fn play(books: &mut [Trial; 3], on: i32, at: usize, deed: &Deed) {
    if let Deed::TakeIn(from) = deed {
        if let Ok([into, from]) = books.get_disjoint_mut([at, *from]) {
            merge(&mut into.book, &from.book);
        }
        return;
    }
    let trial = &mut books[at];
    let directory = trial.book.directory().unwrap();
    let patches: Vec<_> = directory.patches.iter().collect();
    let history = trial.book.history(&Scope::All).unwrap();
    let open: Vec<_> = history.iter().filter(|line| line.correction.is_none()).collect();
    let on_patch = |at: usize| pick(&patches, at).map(|patch| patch.name.to_string());
    match deed {
        Deed::Cut(nth, grams) => {
            if let Some(name) = on_patch(*nth) {
                done(trial.try_record(on, cut(&name, f64::from(*grams))));
            }
        }
        Deed::Glance(nth, grams) => {
            if let Some(name) = on_patch(*nth) {
                done(trial.try_record(on, glance(&name, f64::from(*grams))));
            }
        }
        Deed::Survey(nth, grams) => {
            if let Some(name) = on_patch(*nth) {
                done(trial.try_record(on, survey(&name, &[f64::from(*grams), 3.0])));
            }
        }
        Deed::Correct(nth, grams) => {
            let grams = f64::from(*grams);
            let right = pick(&open, *nth).and_then(|line| {
                let right = match &line.fact.record {
                    Record::Cut(was) => cut(&was.patch.to_string(), grams),
                    Record::Glance(was) => glance(&was.patch.to_string(), grams),
                    Record::Survey(was) => survey(&was.patch.to_string(), &[grams, 5.0]),
                    Record::Hold(was) => {
                        Record::Hold(Hold { amount: Amount::grams(grams), ..was.clone() })
                    }
                    Record::Walk(was) => {
                        Record::Walk(Walk { seed: u32::from(*nth as u8) + 1, ..was.clone() })
                    }
                    Record::Closure(was) => {
                        Record::Closure(Closure { to: Some(day(60)), ..was.clone() })
                    }
                    _ => return None,
                };
                Some((line.fact.id, right))
            });
            if let Some((wrong, right)) = right {
                done(trial.try_correct(on, wrong, right));
            }
        }
        Deed::Withdraw(nth) => {
            if let Some(line) = pick(&open, *nth) {
                done(trial.withdraw(on, line.fact.id));
            }
        }
        Deed::NewPatch(name) => {
            if let Some(site) = directory.sites.first() {
                let name = format!("{site}/{}", NAMES[*name]);
                done(trial.try_record(on, patch(&name, "nettle-shoot")));
            }
        }
        Deed::Rename(nth, name) => {
            if let Some(known) = pick(&patches, *nth) {
                let name = format!("{}/{}", known.name.site(), NAMES[*name]);
                let id = known.id.unwrap();
                done(trial.try_correct(on, id, patch(&name, "nettle-shoot")));
            }
        }
        Deed::RenameSite(name) => {
            let mut sites = open.iter().filter(|line| line.fact.record.kind() == Kind::Site);
            if let Some(line) = sites.next_back() {
                done(trial.try_correct(on, line.fact.id, site(SITES[*name])));
            }
        }
        Deed::Walk(name, day) => {
            if let Some(site) = directory.sites.first() {
                done(trial.try_record(on, walk(WALKS[*name], site.as_str(), i32::from(*day) + 30)));
            }
        }
        Deed::Hold(nth, grams) => {
            let mut walks = open.iter().filter_map(|line| match &line.fact.record {
                Record::Walk(walk) => Some(walk),
                _ => None,
            });
            if let Some((name, walk)) = on_patch(*nth).zip(walks.next_back()) {
                done(trial.try_record(on, hold(&name, walk, f64::from(*grams))));
            }
        }
        Deed::Close(nth) => {
            if let Some(known) = pick(&patches, *nth) {
                done(trial.try_record(on, closure(&known.name, on)));
            }
        }
        Deed::Redraw(nth, is_gone) => {
            if let Some(known) = pick(&patches, *nth) {
                let ground = match patch(&known.name.to_string(), "nettle-shoot") {
                    Record::Patch(patch) if !is_gone => Some(patch.footprint),
                    _ => None,
                };
                let (patch, note) = (known.name.clone(), None);
                done(trial.try_record(on, Record::Redraw(Redraw { patch, ground, note })));
            }
        }
        Deed::Settle(nth) => {
            let clashes: Vec<_> = trial.book.clashes().unwrap();
            let fact = clashes.iter().find_map(|clash| match clash.standing() {
                Ending::Says(fact, _) => Some((**fact).clone()),
                Ending::Withdrawn(_) => None,
            });
            if let Some(fact) = fact {
                match nth % 2 {
                    0 => done(trial.try_correct(on, fact.id, fact.record)),
                    _ => done(trial.withdraw(on, fact.id)),
                }
            }
        }
        Deed::Forget(name) => {
            trial.book.forget(ATTENDEES[*name], day(on)).unwrap();
        }
        Deed::TakeIn(_) => {}
    }
}

fn walk(name: &str, site: &str, on: i32) -> Record {
    Record::Walk(Walk {
        name: name.parse().unwrap(),
        day: day(on),
        site: site_name(site),
        other_sites: Vec::new(),
        parties: ["2", "1", "3"].map(|party| party.parse().unwrap()).into(),
        wants: Vec::new(),
        stated_purpose: None,
        seed: 1,
    })
}

fn hold(patch: &str, walk: &Walk, grams: f64) -> Record {
    Record::Hold(Hold {
        patch: patch_name(patch),
        walk: walk.name.clone(),
        day: walk.day,
        amount: Amount::grams(grams),
        taken: Taken::All,
        people: None,
    })
}

fn closure(patch: &PatchName, on: i32) -> Record {
    Record::Closure(Closure {
        site: patch.site().clone(),
        patch: Some(patch.patch().into()),
        from: day(on),
        to: None,
        reason: "nests".into(),
    })
}

/// Three books that go their own ways from one, in which a walk has named parties.
fn one_book_three_times() -> [Trial; 3] {
    let mut first = Trial::with_two_patches();
    first.record(1, cut("wood/bank", 500.0));
    first.record(1, walk(WALKS[0], "wood", 40));
    let named = ATTENDEES.iter().zip(1..).map(|(name, party)| Attendee {
        walk: WALKS[0].parse().unwrap(),
        party,
        name: (*name).to_owned(),
    });
    first.book.name_attendees(&named.collect::<Vec<_>>()).unwrap();
    [1, 2, 3].map(|nth| {
        let mut copy = Trial::copy_of(&first);
        copy.count_ids_from(1_000 * nth);
        copy
    })
}

fn named(trial: &Trial) -> Vec<String> {
    let named = trial.book.attendees(&WALKS[0].parse().unwrap()).unwrap().into_iter();
    named.map(|attendee| attendee.name).collect()
}

/// What came up in histories, so that a law over them says something.
#[derive(Debug, Default)]
struct Met {
    clashes: usize,
    settled: usize,
    forgotten: usize,
    renamed_sites: usize,
}

fn holds(deeds: &[(usize, Deed)], met: &mut Met) -> Result<(), TestCaseError> {
    let mut books = one_book_three_times();
    for ((at, deed), n) in deeds.iter().zip(6..) {
        let clashes = books[*at].book.clashes().unwrap().len();
        play(&mut books, n / 3, *at, deed);
        let is_person = !matches!(deed, Deed::TakeIn(_));
        let fewer = books[*at].book.clashes().unwrap().len() < clashes;
        met.settled += usize::from(is_person && fewer);
    }
    let [a, b, c] = &books;
    let whole = union(a, &[b, c]);
    met.clashes += whole.book.clashes().unwrap().len();
    met.renamed_sites += usize::from(
        whole.book.directory().unwrap().sites.iter().all(|site| site.as_str() != "wood"),
    );
    let all = all_of(&whole);
    prop_assert_eq!(&all_of(&union(c, &[a, b])), &all);
    prop_assert_eq!(&all_of(&union(b, &[c, a, b])), &all);
    prop_assert_eq!(&all_of(&union(a, &[&union(b, &[c])])), &all);
    prop_assert_eq!(all_of(&union(a, &[])), all_of(a));
    for known_on in [1, 3, 5, 7] {
        let then = |trial: &Trial| {
            let ledger = trial.book.ledger(&Scope::All, Some(day(known_on))).unwrap();
            format!("{ledger:#?}")
        };
        prop_assert_eq!(then(&union(b, &[a, c])), then(&union(c, &[b, a])));
    }
    // A name stays only where no book has forgotten it, whoever takes in whom first.
    let [of_a, of_b, of_c] = [a, b, c].map(named);
    let kept: Vec<String> =
        of_a.into_iter().filter(|name| of_b.contains(name) && of_c.contains(name)).collect();
    met.forgotten += ATTENDEES.len() - kept.len();
    for (into, order) in [(0, [1, 2]), (1, [2, 0]), (2, [0, 1])] {
        let mut into = Trial::copy_of(&books[into]);
        order.iter().for_each(|from| {
            merge(&mut into.book, &books[*from].book);
        });
        prop_assert_eq!(&named(&into), &kept);
        prop_assert_eq!(&all_of(&into), &all);
    }
    Ok(())
}

fn the_laws_hold_over(cases: u32, seed: u64) -> Met {
    let config = ProptestConfig {
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        ..ProptestConfig::with_cases(cases)
    };
    let met = RefCell::new(Met::default());
    let outcome =
        TestRunner::new(config).run(&deeds(), |deeds| holds(&deeds, &mut met.borrow_mut()));
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
    met.into_inner()
}

#[test]
fn the_union_is_the_same_in_any_order_and_bracketing_and_however_often() {
    the_laws_hold_over(10, 20_270_315);
}

#[test]
#[ignore = "takes minutes: a thousand histories"]
fn a_thousand_histories_keep_the_laws_of_unions() {
    let met = the_laws_hold_over(1000, 20_270_316);
    let Met { clashes, settled, forgotten, renamed_sites } = met;
    assert!(clashes > 500 && settled > 25 && forgotten > 500 && renamed_sites > 100, "{met:?}");
}
