//! Many processes, each with a working copy of its own, promise and record on a few sites at a
//! time: what they are told is so, whatever becomes of the server meanwhile.

use std::collections::BTreeMap;
use std::process::Stdio;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use jiff::civil::{Date, date};
use stintbook::assess::{Asker, overpromised, prepare_for};
use stintbook::book::{Book, Scope};
use stintbook::catalogue::Catalogue;

use crate::line::Line;
use crate::said::Said;
use crate::trial::Trial;

/// Where they cut. What they set aside is of other crops, so that nobody's cut eats a promise.
const PATCHES: [&str; 3] =
    ["Ammerlow/Allotment edge", "Wendlestow/Drive edge", "Wendlestow/Mill bank"];

const TODAY: Date = date(2027, 3, 15);

/// What the processes were told.
#[derive(Default)]
struct Told {
    /// Cuts that were recorded, by their words, and those of which nobody knows.
    cuts: Mutex<Vec<String>>,
    unsure: AtomicUsize,
    refused: AtomicUsize,
    holds: AtomicUsize,
    slowest: Mutex<Duration>,
    kills: AtomicUsize,
}

/// `workers` processes at a time do `each` things; the server is killed as often as said.
fn race(trial: &Trial, workers: usize, each: usize, kills: usize, seed: u64) -> Told {
    let told = Told::default();
    let is_over = AtomicBool::new(false);
    thread::scope(|scope| {
        let all: Vec<_> = (0..workers)
            .map(|worker| {
                let told = &told;
                scope.spawn(move || work(trial, worker, each, seed, told))
            })
            .collect();
        let (is_over, told) = (&is_over, &told);
        let killer = scope.spawn(move || {
            let mut chance = fastrand::Rng::with_seed(seed);
            for _ in 0..kills {
                thread::sleep(Duration::from_millis(chance.u64(50..1500)));
                if is_over.load(Ordering::Relaxed) {
                    break;
                }
                trial.cluster.kill();
                told.kills.fetch_add(1, Ordering::Relaxed);
            }
        });
        for one in all {
            one.join().unwrap();
        }
        is_over.store(true, Ordering::Relaxed);
        killer.join().unwrap();
    });
    told
}

fn work(trial: &Trial, worker: usize, each: usize, seed: u64, told: &Told) {
    let mut chance = fastrand::Rng::with_seed(seed * 1000 + worker as u64);
    let cache = format!("cache-{worker}");
    let run = |words: &str| -> Said {
        let mut command = trial.command("postgres", &cache, words);
        command.stderr(Stdio::piped());
        Said::by(&mut command)
    };
    for number in 0..each {
        let began = Instant::now();
        if chance.u32(0..3) == 0 {
            hold(&run, worker, number, &mut chance, told);
        } else {
            cut(&run, worker, number, &mut chance, told);
        }
        let mut slowest = told.slowest.lock().unwrap();
        *slowest = (*slowest).max(began.elapsed());
    }
}

/// No two cuts are of the same amount, so that each can be found again.
fn cut(
    run: &dyn Fn(&str) -> Said,
    worker: usize,
    number: usize,
    chance: &mut fastrand::Rng,
    told: &Told,
) {
    let patch = PATCHES[chance.usize(0..PATCHES.len())];
    let amount = format!("{}.{worker:02}{number:04}7g", chance.u32(1..9));
    let said = run(&format!("cut \"{patch}\" {amount} --by Ida --part --on {TODAY} --again"));
    if said.status == 0 {
        told.cuts.lock().unwrap().push(amount.trim_end_matches('g').to_owned());
    } else if said.err.contains("do not record it again before you looked") {
        told.unsure.fetch_add(1, Ordering::Relaxed);
    } else {
        let is_plain = ["nothing was recorded", "cannot be reached"];
        assert!(is_plain.iter().any(|part| said.err.contains(part)), "{said:?}");
        told.refused.fetch_add(1, Ordering::Relaxed);
    }
}

fn hold(
    run: &dyn Fn(&str) -> Said,
    worker: usize,
    number: usize,
    chance: &mut fastrand::Rng,
    told: &Told,
) {
    let walk = format!("walk {worker} {number}");
    let (site, want) = [
        ("Ammerlow", "sorrel-leaf"),
        ("Gullhythe", "sea-beet-leaf"),
        ("Wendlestow", "nettle-tops"),
    ][chance.usize(0..3)];
    let made = run(&format!(
        "walk new \"{walk}\" --on 2027-03-{} --leader Ida --site {site} --adults 3 --seed 1 \
         --want {want}={}g --recorded-on 2027-03-15",
        chance.u32(18..25),
        chance.u32(1..8) * 100,
    ));
    if made.status != 0 {
        told.refused.fetch_add(1, Ordering::Relaxed);
        return;
    }
    let held = run(&format!("walk hold \"{walk}\" --recorded-on 2027-03-15"));
    match held.status {
        0 => _ = told.holds.fetch_add(1, Ordering::Relaxed),
        _ => _ = told.refused.fetch_add(1, Ordering::Relaxed),
    }
}

/// The book is whole, every cut that was told of is there once, and nothing is promised that is not
/// there.
fn hold_against(trial: &Trial, told: &Told) {
    trial.run("backup after.sqlite").done();
    let book = Book::open(&trial.path("after.sqlite")).unwrap();
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
    let ledger = book.ledger(&Scope::All, None).unwrap();
    let mut found: BTreeMap<String, usize> = BTreeMap::new();
    for (_, patch) in ledger.patches() {
        for cut in &patch.cuts {
            *found.entry(cut.record.amount.value.to_string()).or_default() += 1;
        }
    }
    let cuts = told.cuts.lock().unwrap();
    for cut in cuts.iter() {
        assert_eq!(found.get(cut), Some(&1), "the cut of {cut} g was told to be recorded");
    }
    let asker = Asker { today: TODAY, walk: None };
    let prepared = prepare_for(&ledger, Catalogue::built_in(), TODAY, asker).unwrap();
    let over: Vec<String> = overpromised(&prepared, TODAY)
        .map(|(patch, promise)| format!("{} for {}", patch.facts.patch.record.name, promise.walk))
        .collect();
    assert!(over.is_empty(), "{over:?}");
}

#[test]
fn eight_leaders_on_three_sites_are_told_what_is_so() {
    let Some(trial) = Trial::of_demo() else { return };
    let told = race(&trial, 8, 4, 0, 1);
    hold_against(&trial, &told);
    let recorded = told.cuts.lock().unwrap().len();
    assert!(recorded >= 8, "only {recorded} cuts were recorded");
}

/// Takes some ten minutes: `cargo test --features shared --test shared -- --ignored --nocapture`.
/// `STINTBOOK_RACE` sets how many things are done in all.
#[test]
#[ignore = "long; run by hand"]
fn twenty_processes_and_a_server_that_is_killed_two_hundred_times() {
    let Some(trial) = Trial::of_demo_alone() else { return };
    let all = std::env::var("STINTBOOK_RACE").ok().and_then(|n| n.parse().ok()).unwrap_or(10_000);
    let began = Instant::now();
    let told = race(&trial, 20, all / 20, all / 50, 2027);
    println!(
        "{all} things in {:?}: {} cuts and {} holds recorded, {} refused, {} unsure; the slowest took {:?}; \
         the server was killed {} times",
        began.elapsed(),
        told.cuts.lock().unwrap().len(),
        told.holds.load(Ordering::Relaxed),
        told.refused.load(Ordering::Relaxed),
        told.unsure.load(Ordering::Relaxed),
        told.slowest.lock().unwrap(),
        told.kills.load(Ordering::Relaxed),
    );
    hold_against(&trial, &told);
}

#[test]
fn what_is_told_is_so_while_the_server_is_killed() {
    let Some(trial) = Trial::of_demo_alone() else { return };
    let told = race(&trial, 4, 3, 3, 5);
    hold_against(&trial, &told);
}

#[test]
fn what_is_told_is_so_where_the_line_is_cut_in_the_middle() {
    let Some(trial) = Trial::of_demo() else { return };
    cut_the_line(&trial, 14, false);
}

/// Where a wall between forgets the connection, the server finds that out only by and by.
#[test]
#[ignore = "long; run by hand"]
fn what_is_told_is_so_where_one_side_of_the_line_stays_open() {
    let Some(trial) = Trial::of_demo() else { return };
    cut_the_line(&trial, 14, true);
}

fn cut_the_line(trial: &Trial, times: usize, half: bool) {
    let line = Line::to(&trial.cluster.folder().join(".s.PGSQL.5432"));
    let mut chance = fastrand::Rng::with_seed(11);
    let told = Told::default();
    for number in 0..times {
        line.cut_after(chance.usize(200..4_000), half);
        let amount = format!("{}.{number:03}7", number % 7 + 1);
        let words = format!("cut \"mill bank\" {amount}g --by Ida --part --on {TODAY} --again");
        let mut command = trial.command("postgres", "cache-line", &words);
        command.env("STINTBOOK", line.address(&trial.database));
        let said = Said::by(&mut command);
        match said.status {
            0 => told.cuts.lock().unwrap().push(amount),
            _ => {
                let is_plain = ["nothing was recorded", "cannot be reached", "before you looked"];
                assert!(is_plain.iter().any(|part| said.err.contains(part)), "{said:?}");
            }
        }
    }
    assert!(line.cuts() >= times / 2, "the line was cut {} times", line.cuts());
    assert!(!told.cuts.lock().unwrap().is_empty());
    hold_against(trial, &told);
}
