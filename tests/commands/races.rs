//! Eight leaders set aside at once, each in a process of its own: each is told what it would be
//! told if they came one after the other.

use std::collections::BTreeMap;
use std::process::Stdio;
use std::thread;

use jiff::civil::{Date, date};
use rusqlite::Connection;
use stintbook::assess::{Asker, overpromised, prepare_for};
use stintbook::book::Scope;
use stintbook::catalogue::Catalogue;
use stintbook::records::Ledger;

use crate::trial::Trial;

const LEADERS: usize = 8;
const PLANNED: Date = date(2021, 3, 10);

/// Walks that want at random, all on one day or each on its own; nothing is set aside yet.
fn eight_walks(trial: &Trial, chance: &mut fastrand::Rng) {
    let one_day = chance.bool();
    for n in 0..LEADERS {
        let day = date(2021, 3, if one_day { 20 } else { chance.i8(16..=22) });
        let (nettles, ramsons) = (chance.u32(1..=14) * 250, chance.u32(1..=6) * 100);
        let words = format!(
            "walk new w{n} --on {day} --leader Ida --site hill --adults {} --seed {} \
             --want nettle-tops={nettles}g,ramsons-leaf={ramsons}g --recorded-on {PLANNED}",
            chance.u32(1..=3),
            chance.u32(1..=99),
        );
        trial.run(&words).done();
    }
}

fn ledger(trial: &Trial, book: &str) -> Ledger {
    let book = trial.open(book);
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
    book.ledger(&Scope::All, None).unwrap()
}

/// What is set aside for each walk on each patch, in grams.
fn held(ledger: &Ledger) -> BTreeMap<(String, String), f64> {
    let holds = ledger.patches().flat_map(|(_, patch)| &patch.holds);
    holds
        .map(|hold| {
            let hold = &hold.record;
            ((hold.walk.to_string(), hold.patch.to_string()), hold.amount.value)
        })
        .collect()
}

/// The walks for which something is set aside, in the order in which it was recorded: an id begins
/// with the time at which it was drawn, while nobody else could write.
fn recorded(trial: &Trial) -> Vec<String> {
    let book = Connection::open(trial.open("race.sqlite").path()).unwrap();
    let mut walks = book.prepare("SELECT walk FROM hold GROUP BY walk ORDER BY min(id)").unwrap();
    let rows = walks.query_map([], |row| row.get(0)).unwrap();
    rows.collect::<Result<_, _>>().unwrap()
}

/// Sets aside for all eight walks at once, again and again; gives how many got something.
fn race(rounds: u32, seed: u64) -> usize {
    let mut chance = fastrand::Rng::with_seed(seed);
    let mut served = 0;
    let mut trial = Trial::new();
    for round in 0..rounds {
        // Other walks from time to time.
        if round % 25 == 0 {
            trial = Trial::with_surveyed_patches();
            eight_walks(&trial, &mut chance);
        }
        trial.begin_anew("race.sqlite");
        let running: Vec<_> = (0..LEADERS)
            .map(|n| {
                let words = format!("--book race.sqlite walk hold w{n} --recorded-on {PLANNED}");
                let mut command = trial.command(&words);
                command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
            })
            .collect();
        let ended: Vec<_> =
            running.into_iter().map(|running| running.wait_with_output().unwrap()).collect();
        let after = ledger(&trial, "race.sqlite");
        let held = held(&after);
        let mut went_away_empty = Vec::new();
        for (n, ended) in ended.iter().enumerate() {
            let said = String::from_utf8_lossy(&ended.stdout);
            let problems = String::from_utf8_lossy(&ended.stderr);
            let told = format!("seed {seed}, round {round}, w{n}: {said}{problems}");
            let got = held.keys().filter(|(walk, _)| *walk == format!("w{n}")).count();
            match ended.status.code() {
                Some(0) => {
                    assert_eq!(said.matches("\n  - Hill/").count(), got, "{told}");
                    assert!(got > 0, "{told}");
                    served += 1;
                }
                Some(1) => {
                    assert!(said.contains("Nothing can be set aside") && got == 0, "{told}");
                    went_away_empty.push(format!("w{n}"));
                }
                Some(3) => assert!(problems.contains("try again") && got == 0, "{told}"),
                _ => panic!("{told}"),
            }
        }
        // Nobody's promise rests on another's.
        let asker = Asker { today: PLANNED, walk: None };
        let prepared = prepare_for(&after, Catalogue::built_in(), PLANNED, asker).unwrap();
        let short: Vec<String> = prepared
            .iter()
            .flat_map(|patch| overpromised(patch, PLANNED))
            .map(|over| format!("{} for {}", over.patch, over.promise.walk))
            .collect();
        assert!(short.is_empty(), "seed {seed}, round {round}: {short:?} of {held:?}");
        // As if they had come one after the other, in the order in which they were recorded; who
        // was told to try again did not come.
        if round % 4 == 0 {
            let mut order = recorded(&trial);
            order.extend(went_away_empty);
            trial.begin_anew("turns.sqlite");
            for walk in &order {
                let words = format!("--book turns.sqlite walk hold {walk} --recorded-on {PLANNED}");
                assert!([0, 1].contains(&trial.run(&words).status));
            }
            let in_turn = self::held(&ledger(&trial, "turns.sqlite"));
            assert_eq!(held, in_turn, "seed {seed}, round {round}: raced, and in turn {order:?}");
        }
        if (round + 1) % 50 == 0 {
            println!("{} rounds of seed {seed}: {served} served", round + 1);
        }
    }
    served
}

#[test]
fn eight_leaders_at_once_are_promised_what_they_would_be_in_turn() {
    let served = race(8, 3);
    assert!(served > 8, "{served}");
}

/// `cargo test --test commands -- --ignored ten_thousand_holds`.
#[test]
#[ignore = "takes minutes; run it after a change to how holds are recorded"]
fn ten_thousand_holds_of_eight_leaders_at_once_are_what_they_would_be_in_turn() {
    const HANDS: u64 = 4;
    let served: usize = thread::scope(|threads| {
        let hands: Vec<_> =
            (0..HANDS).map(|hand| threads.spawn(move || race(313, 20_210_320 + hand))).collect();
        hands.into_iter().map(|hand| hand.join().unwrap()).sum()
    });
    println!("10016 holds by eight processes at once, {served} of them served");
    assert!(served > 1250, "{served}");
}
