//! Every command that writes, killed by another process at whatever moment comes.

use std::fs;
use std::path::Path;
use std::process::{Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::bench::{Bench, command, copy};

/// How the commands that were to be killed ended.
#[derive(Debug, Default)]
struct Ends {
    /// Killed, and nothing of it was done.
    undone: u64,
    /// Killed when all of it was done.
    done: u64,
    /// Ended before the kill came.
    quicker: u64,
}

enum Case {
    OfTheBook(crate::Case),
    OfFiles(crate::files::Case),
}

impl Case {
    fn asked(&self) -> &str {
        match self {
            Self::OfTheBook(case) => &case.asked,
            Self::OfFiles(case) => case.asked,
        }
    }

    fn ready(&self) -> &Path {
        match self {
            Self::OfTheBook(case) => &case.ready,
            Self::OfFiles(case) => &case.ready,
        }
    }

    fn holds(&self, bench: &Bench, here: &Path, ended: &Output, how: &str) -> bool {
        match self {
            Self::OfTheBook(case) => case.holds(here, ended, how),
            Self::OfFiles(case) => case.holds(bench, here, ended, how),
        }
    }
}

fn kill(kills: u64, seed: u64) -> Ends {
    let mut ends = Ends::default();
    let Some(bench) = Bench::new() else { return ends };
    let mut chance = fastrand::Rng::with_seed(seed);
    let mut cases: Vec<Case> = crate::cases(&bench).map(Case::OfTheBook).collect();
    cases.extend(crate::files::cases(&bench).map(Case::OfFiles));
    let here = bench.folder.path().join("here");
    let begin_anew = |case: &Case| {
        let _ = fs::remove_dir_all(&here);
        copy(case.ready(), &here);
    };
    // As long as each takes, so that the kill comes anywhere in it.
    let times = cases.iter().map(|case| {
        begin_anew(case);
        let began = Instant::now();
        bench.run(&here, case.asked(), None);
        began.elapsed()
    });
    let times: Vec<Duration> = times.collect();
    for n in 0..kills {
        let at = chance.usize(..cases.len());
        let case = &cases[at];
        begin_anew(case);
        let wait = times[at].mul_f64(1.2 * chance.f64());
        let mut running = command(&here, case.asked())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        thread::sleep(wait);
        running.kill().unwrap();
        let ended = running.wait_with_output().unwrap();
        let told = format!("kill {n} of seed {seed}, after {wait:?}");
        let is_done = case.holds(&bench, &here, &ended, &told);
        match (ended.status.code(), is_done) {
            (Some(_), _) => ends.quicker += 1,
            (None, true) => ends.done += 1,
            (None, false) => ends.undone += 1,
        }
        if (n + 1) % 500 == 0 {
            println!("{} kills of seed {seed}: {ends:?}", n + 1);
        }
    }
    ends
}

#[test]
fn a_command_that_is_killed_at_any_moment_leaves_all_or_nothing_of_what_it_does() {
    let ends = kill(80, 5);
    assert!(ends.undone > 0 && ends.done + ends.quicker > 0, "{ends:?}");
}

/// `cargo test --test crash -- --ignored ten_thousand_kills --nocapture`.
#[test]
#[ignore = "takes half an hour: ten thousand kills over all commands that write"]
fn ten_thousand_kills_leave_all_or_nothing_of_what_a_command_does() {
    const HANDS: u64 = 4;
    let ends: Vec<Ends> = thread::scope(|threads| {
        let hands: Vec<_> = (0..HANDS)
            .map(|hand| threads.spawn(move || kill(10_000 / HANDS, 20_210_320 + hand)))
            .collect();
        hands.into_iter().map(|hand| hand.join().unwrap()).collect()
    });
    let sum = |of: fn(&Ends) -> u64| ends.iter().map(of).sum::<u64>();
    let (undone, done) = (sum(|ends| ends.undone), sum(|ends| ends.done));
    let quicker = sum(|ends| ends.quicker);
    println!("killed: {undone} undone, {done} done; {quicker} were quicker");
    assert!(undone > 1000 && done > 100, "{ends:?}");
}
