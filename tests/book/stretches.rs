use std::collections::BTreeSet;

use geo::Point;
use proptest::prelude::*;
use rusqlite::Connection;
use stintbook::assess::{AllEyes, Prepared, Shared, prepare, prepare_part, sites_that_meet};
use stintbook::book::{Book, BookError, Scope, StorageError};
use stintbook::catalogue::Catalogue;
use stintbook::records::{
    FactId, Footprint, Ledger, Patch, PatchFacts, PatchName, Record, SiteFacts,
};
use stintbook::units::Metres;
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

use crate::merge::merge;
use crate::trial::{Trial, cut, day, fact, glance, patch, site, site_at, survey};

const SITES: [&str; 4] = ["wood", "shore", "heath", "fen"];

/// What may be recorded next: of which patch, on which day, what.
#[derive(Clone, Copy, Debug)]
enum Deed {
    Cut,
    Glance,
    Survey,
    NewPatch,
    /// It lies on another site than was said.
    Move,
    Withdraw,
}

fn deeds() -> impl Strategy<Value = Vec<(Deed, usize, i32)>> {
    let deed = prop_oneof![
        3 => Just(Deed::Cut),
        2 => Just(Deed::Glance),
        2 => Just(Deed::Survey),
        2 => Just(Deed::NewPatch),
        1 => Just(Deed::Move),
        1 => Just(Deed::Withdraw),
    ];
    proptest::collection::vec((deed, 0usize..40, 1i32..5), 0..40)
}

/// A book whose sites' patches were set down in any order, so that their numbers lie mixed.
fn told(deeds: &[(Deed, usize, i32)]) -> Trial {
    let mut trial = Trial::new();
    let mut patches = Vec::new();
    let mut facts: Vec<FactId> = Vec::new();
    for name in SITES {
        trial.record(0, site(name));
    }
    for (n, (deed, which, on)) in deeds.iter().enumerate() {
        if let Deed::NewPatch = deed {
            // The last by name comes first.
            let name = format!("{}/patch {}", SITES[which % SITES.len()], deeds.len() - n);
            let fact = trial.record(0, patch(&name, "nettle-shoot"));
            patches.push((name, fact));
            continue;
        }
        if let Deed::Move = deed {
            let among = patches.len().max(1);
            if let Some((name, fact)) = patches.get_mut(which % among) {
                let (_, own) = name.split_once('/').unwrap();
                *name = format!("{}/{own}", SITES[(which / 7) % SITES.len()]);
                *fact = trial.correct(5, *fact, patch(name, "nettle-shoot"));
            }
            continue;
        }
        if let Deed::Withdraw = deed {
            if !facts.is_empty() {
                let fact = facts.swap_remove(which % facts.len());
                trial.withdraw(6, fact).unwrap();
            }
            continue;
        }
        let Some((name, _)) = patches.get(which % patches.len().max(1)) else { continue };
        facts.push(trial.record(
            *on,
            match deed {
                Deed::Cut => cut(name, 10.0 + n as f64),
                Deed::Glance => glance(name, 900.0 + n as f64),
                _ => survey(name, &[1.0, 4.0, n as f64]),
            },
        ));
    }
    trial
}

fn sorted(ledgers: Vec<Ledger>) -> Vec<SiteFacts> {
    let mut sites: Vec<SiteFacts> = ledgers.into_iter().flat_map(|ledger| ledger.sites).collect();
    sites.sort_by(|one, other| one.site.record.name.cmp(&other.site.record.name));
    sites
}

/// Patches on which an eye can be checked.
fn is_judged(patch: &PatchFacts) -> bool {
    let surveyed: BTreeSet<_> = patch.surveys.iter().map(|survey| survey.happened_on).collect();
    patch.glances.iter().any(|glance| surveyed.contains(&glance.happened_on))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20))]

    #[test]
    fn all_stretches_together_are_the_whole_book(
        deeds in deeds(),
        patches in 1usize..6,
        known_on in prop_oneof![Just(None), (0i32..8).prop_map(Some)],
    ) {
        let trial = told(&deeds);
        let known_on = known_on.map(day);
        let whole = trial.book.ledger(&Scope::All, known_on).unwrap();
        let stretches = trial.book.stretches(known_on, patches).unwrap();

        let judged = stretches.each_judged(Ledger::clone).unwrap();
        let found: BTreeSet<String> = sorted(judged)
            .iter()
            .flat_map(|site| site.patches.iter().filter(|patch| is_judged(patch)))
            .map(|patch| patch.patch.record.name.to_string())
            .collect();
        let wanted = whole.patches().filter(|(_, patch)| is_judged(patch));
        let wanted: BTreeSet<String> =
            wanted.map(|(_, patch)| patch.patch.record.name.to_string()).collect();
        prop_assert_eq!(found, wanted);

        let drawn = |sites: &[SiteFacts]| -> Vec<_> {
            let patches = sites.iter().flat_map(|site| &site.patches);
            patches.map(|facts| facts.patch.clone()).collect()
        };
        let every_other = |n: usize| n.is_multiple_of(2);
        let land = stretches.land_of(|sites| (0..sites.len()).map(every_other).collect()).unwrap();
        let of_whole = whole.sites.iter().enumerate().filter(|(n, _)| every_other(*n));
        let of_whole: Vec<SiteFacts> = of_whole.map(|(_, site)| site.clone()).collect();
        prop_assert_eq!(drawn(&sorted(vec![land])), drawn(&of_whole));
        prop_assert_eq!(sorted(stretches.each(Ledger::clone).unwrap()), whole.sites);
    }
}

/// A site at one of six places, of which neighbours meet; patches of two crops on any of them, at
/// one of six places too.
fn drawn(first_id: u128, sites: &[usize], patches: &[(usize, usize, usize)]) -> Trial {
    let mut trial = Trial::new();
    trial.count_ids_from(first_id);
    for (name, at) in SITES.iter().zip(sites) {
        trial.record(0, site_at(name, -20.0 + 0.006 * *at as f64));
    }
    for (n, (on, crop, at)) in patches.iter().enumerate() {
        let crop = ["nettle-tops", "ramsons-leaf"][*crop];
        let Record::Patch(patch) = patch(&format!("{}/patch {n}", SITES[*on]), crop) else {
            unreachable!()
        };
        let centre = Point::new(-20.0 + 0.006 * *at as f64, 45.005);
        let footprint = Footprint::Disc { centre, radius: Metres(30.0) };
        trial.record(0, Record::Patch(Patch { footprint, ..patch }));
    }
    trial
}

/// By each patch whose ground another claims, that other.
fn contested(prepared: &[Prepared]) -> Vec<(PatchName, PatchName)> {
    let name = |patch: &Prepared| patch.facts.patch.record.name.clone();
    prepared.iter().filter_map(|patch| Some((name(patch), patch.contested.clone()?))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20))]

    #[test]
    fn the_same_ground_is_contested_in_stretches_as_in_the_whole_book(
        sites in proptest::collection::vec(0usize..6, SITES.len()),
        patches in proptest::collection::vec((0..SITES.len(), 0usize..2, 0usize..6), 2..14),
    ) {
        let trial = drawn(1, &sites, &patches);
        prop_assert_eq!(contested_in_stretches(&trial), contested_at_once(&trial));
    }
}

fn contested_at_once(trial: &Trial) -> Vec<(PatchName, PatchName)> {
    let whole = trial.book.ledger(&Scope::All, None).unwrap();
    contested(&prepare(&whole, Catalogue::built_in(), day(1)).unwrap())
}

fn contested_in_stretches(trial: &Trial) -> Vec<(PatchName, PatchName)> {
    let (catalogue, on) = (Catalogue::built_in(), day(1));
    let stretches = trial.book.stretches(None, 1).unwrap();
    let land = stretches.land_of(sites_that_meet).unwrap();
    let shared = Shared::new(&land, AllEyes::default(), on);
    let found =
        stretches.each(|ledger| contested(&prepare_part(ledger, catalogue, on, &shared).unwrap()));
    let mut found = found.unwrap().concat();
    found.sort();
    found
}

/// Two leaders may have drawn one wood far apart by mistake, and its patch in the same place.
#[test]
fn ground_that_far_sites_of_one_name_claim_is_contested_in_stretches_too() {
    let mut trial = drawn(1, &[0], &[(0, 0, 1)]);
    let other = drawn(5_000, &[1000], &[(0, 0, 1)]);
    merge(&mut trial.book, &other.book);
    let told = contested_in_stretches(&trial);
    assert_eq!(told.len(), 2);
    assert_eq!(told, contested_at_once(&trial));
}

/// It tells which rows are read together, and one read with others' would be left out.
#[test]
fn a_patch_that_an_index_puts_on_another_site_is_told_of() {
    for site in ["site + 3", "site + 7"] {
        let mut trial = Trial::with_two_patches();
        trial.record(0, site_at("shore", -10.0));
        let told = in_stretches(&trial).unwrap();
        assert_eq!(told.iter().map(|site| site.patches.len()).sum::<usize>(), 2);
        let other = Connection::open(&trial.path).unwrap();
        let elsewhere = format!(
            "DROP INDEX patch_by_place; CREATE INDEX patch_by_place ON patch (place, ({site})); \
             PRAGMA writable_schema = ON; UPDATE sqlite_schema \
             SET sql = 'CREATE INDEX patch_by_place ON patch (place, site)' \
             WHERE name = 'patch_by_place'; PRAGMA writable_schema = RESET"
        );
        other.execute_batch(&elsewhere).unwrap();
        drop(other);
        let book = Book::open_to_read(&trial.path).unwrap();
        let said = book.stretches(None, 1).unwrap().each(Ledger::clone).unwrap_err();
        assert_eq!(said.to_string().matches("does not match its checksum").count(), 2, "{said}");
    }
}

#[test]
fn a_book_whose_only_site_was_withdrawn_has_nothing_in_it_and_is_whole() {
    let mut trial = Trial::new();
    let wood = trial.record(0, site("wood"));
    let bank = trial.record(0, patch("wood/bank", "nettle-shoot"));
    let cut = trial.record(1, cut("wood/bank", 40.0));
    for fact in [cut, bank, wood] {
        trial.withdraw(2, fact).unwrap();
    }
    assert_eq!(in_stretches(&trial).unwrap(), []);
}

#[test]
fn stretches_are_of_the_moment_at_which_they_began() {
    let mut trial = Trial::with_two_patches();
    trial.record(1, cut("wood/bank", 40.0));
    let book = Book::open_to_read(&trial.path).unwrap();
    let stretches = book.stretches(None, 1).unwrap();
    trial.record(2, cut("wood/bank", 50.0));
    trial.record(2, cut("wood/ride", 60.0));
    let cuts = |ledger: &Ledger| ledger.patches().map(|(_, patch)| patch.cuts.len()).sum::<usize>();
    assert_eq!(stretches.each(cuts).unwrap().iter().sum::<usize>(), 1);
    let again = book.stretches(None, 1).unwrap();
    assert_eq!(again.each(cuts).unwrap().iter().sum::<usize>(), 3);
}

/// Rows that nothing was kept of are no less amiss than those that differ from it.
#[test]
fn a_patch_of_which_the_count_is_lost_is_missed_when_the_whole_book_is_read() {
    let mut trial = Trial::with_two_patches();
    trial.record(1, cut("wood/bank", 40.0));
    let is_told = |trial: &Trial| match trial.book.ledger(&Scope::All, None) {
        Err(BookError::Storage(StorageError::Unsound { wrong, .. })) => {
            wrong.iter().any(|row| row.contains("bank"))
        }
        _ => false,
    };
    assert!(!is_told(&trial));
    let lost = "DELETE FROM tally WHERE topic = 'place' AND subject = \
                (SELECT place FROM cut WHERE taken_g = 40)";
    assert_eq!(Connection::open(&trial.path).unwrap().execute(lost, []).unwrap(), 1);
    assert!(is_told(&trial));
}

/// The two patches with a cut each, and what every stretch says.
fn two_cuts() -> (Trial, Vec<SiteFacts>) {
    let mut trial = Trial::with_two_patches();
    trial.record(1, cut("wood/bank", 40.0));
    trial.record(2, cut("wood/ride", 50.0));
    let told = in_stretches(&trial).unwrap();
    (trial, told)
}

fn in_stretches(trial: &Trial) -> Result<Vec<SiteFacts>, BookError> {
    Ok(sorted(trial.book.stretches(None, 1)?.each(Ledger::clone)?))
}

fn run(trial: &Trial, sql: &str) {
    assert!(Connection::open(&trial.path).unwrap().execute(sql, []).unwrap() > 0, "{sql}");
}

/// And what is said of it.
const DAMAGE: [(&str, &str); 2] = [
    ("DELETE FROM cut WHERE taken_g = 50", "is not whole"),
    ("UPDATE cut SET taken_g = 5 WHERE 1", "does not match its checksum"),
];

#[test]
fn a_cut_that_is_lost_or_changed_is_missed_in_any_stretch() {
    for (damage, said) in DAMAGE {
        let (trial, _) = two_cuts();
        run(&trial, "DELETE FROM packed");
        run(&trial, damage);
        let handed_over = std::cell::Cell::new(0);
        let in_turn = trial.book.stretches(None, 1).unwrap().in_turn(|_| {
            handed_over.set(handed_over.get() + 1);
            Ok(())
        });
        for answer in [in_stretches(&trial).map(|_| ()), in_turn] {
            let Err(BookError::Storage(error @ StorageError::Unsound { .. })) = answer else {
                panic!("after {damage} it says {answer:?}");
            };
            assert!(error.to_string().contains(said), "{error}");
        }
        assert_eq!(handed_over.get(), 0, "of a damaged book nothing is handed over");
    }
}

#[test]
fn sites_patches_and_counts_that_are_lost_are_missed_beside_what_is_packed() {
    for damage in [
        "DELETE FROM site",
        "DELETE FROM patch WHERE name = 'ride'",
        "DELETE FROM tally WHERE topic = 'place'",
    ] {
        let (trial, _) = two_cuts();
        run(&trial, damage);
        let answer = in_stretches(&trial);
        assert!(
            matches!(answer, Err(BookError::Storage(StorageError::Unsound { .. }))),
            "after {damage} it says {answer:?}"
        );
    }
}

#[test]
fn what_was_packed_of_a_patch_stands_in_for_facts_that_are_damaged_since_and_verify_tells() {
    for (damage, said) in DAMAGE {
        let (trial, told) = two_cuts();
        run(&trial, damage);
        assert_eq!(in_stretches(&trial).unwrap(), told, "{damage}");
        let wrong = trial.book.integrity().unwrap();
        assert!(wrong.iter().any(|wrong| wrong.contains(said)), "{wrong:?}");
    }
}

#[test]
fn what_is_packed_is_dropped_at_will_and_never_believed_where_it_was_changed() {
    let changes = [
        ("DELETE FROM packed", 0),
        ("UPDATE packed SET facts = x'00'", 2),
        ("UPDATE packed SET digest = digest + 1", 2),
        ("UPDATE packed SET facts = (SELECT facts FROM packed ORDER BY place LIMIT 1)", 1),
        ("UPDATE packed SET form = form + 1", 0),
        ("UPDATE packed SET of_digest = of_digest + 1", 0),
    ];
    for (change, wrong) in changes {
        let (trial, told) = two_cuts();
        run(&trial, change);
        assert_eq!(in_stretches(&trial).unwrap(), told, "{change}");
        assert_eq!(trial.book.integrity().unwrap().len(), wrong, "{change}");
    }
}

/// Whoever writes one by hand can make its checksum fit, but cannot make it of the facts.
#[test]
fn verify_tells_of_a_pack_that_says_something_else_under_a_checksum_that_fits() {
    let (trial, _) = two_cuts();
    let file = Connection::open(&trial.path).unwrap();
    let (numbers, mut facts): (Vec<i64>, Vec<u8>) = file
        .query_row(
            "SELECT place, form, of_rows, of_digest, rows, digest, facts FROM packed LIMIT 1",
            [],
            |row| Ok(((0..6).map(|at| row.get(at)).collect::<Result<_, _>>()?, row.get(6)?)),
        )
        .unwrap();
    facts.push(0);
    let head: Vec<u8> = numbers.iter().flat_map(|number| number.to_le_bytes()).collect();
    let seal = xxh3_64_with_seed(&facts, xxh3_64(&head)).cast_signed();
    let forge = "UPDATE packed SET facts = ?, seal = ? WHERE place = ?";
    file.execute(forge, rusqlite::params![facts, seal, numbers[0]]).unwrap();
    let wrong = trial.book.integrity().unwrap();
    assert!(matches!(&wrong[..], [wrong] if wrong.contains("what is packed of")), "{wrong:?}");
}

/// Whoever records one more cut of such a patch would pack all of them anew.
#[test]
fn a_patch_of_more_than_a_thousand_rows_is_read_from_its_facts() {
    let mut trial = Trial::with_two_patches();
    let cuts = |trial: &mut Trial, many: usize| {
        let cuts: Vec<_> = (0..many)
            .map(|n| fact(trial.new_id(), day(1), cut("wood/bank", 10.0 + n as f64)))
            .collect();
        trial.book.append(&cuts, &[]).unwrap();
        let packed = "SELECT count(*) FROM packed WHERE place = (SELECT place FROM cut LIMIT 1)";
        let file = Connection::open(&trial.path).unwrap();
        let packed = file.query_row(packed, [], |row| row.get::<_, i64>(0)).unwrap();
        (packed, in_stretches(trial).unwrap()[0].patches[0].cuts.len())
    };
    // The patch itself is a row too.
    assert_eq!(cuts(&mut trial, 999), (1, 999));
    assert_eq!(cuts(&mut trial, 1), (0, 1000));
}

#[test]
fn what_is_packed_of_a_damaged_patch_is_not_made_anew_of_the_damage() {
    let (mut trial, _) = two_cuts();
    run(&trial, "UPDATE cut SET taken_g = 5 WHERE taken_g = 50");
    trial.record(3, cut("wood/ride", 60.0));
    let answer = in_stretches(&trial);
    assert!(matches!(answer, Err(BookError::Storage(StorageError::Unsound { .. }))), "{answer:?}");
}
