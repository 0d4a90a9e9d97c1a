//! Many processes, each with a working copy of its own, promise and record on a few sites at a
//! time: what they are told is so, whatever becomes of the server and of the line meanwhile.

use std::process::Stdio;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::cluster::Kill;
use crate::line::{Break, Line};
use crate::said::Said;
use crate::told::{TODAY, Told};
use crate::trial::Trial;

/// Where they cut. What they set aside is of other crops, so that nobody's cut eats a promise.
const PATCHES: [&str; 5] = [
    "Ammerlow/Allotment edge",
    "Wendlestow/Drive edge",
    "Wendlestow/Mill bank",
    "North moor/Bank",
    "South moor/Bank",
];

/// What they set aside, and where.
const WANTED: [(&str, &str); 5] = [
    ("Ammerlow", "sorrel-leaf"),
    ("Gullhythe", "sea-beet-leaf"),
    ("Wendlestow", "nettle-tops"),
    ("North moor", "ramsons-leaf"),
    ("South moor", "ramsons-leaf"),
];

/// A race on the five sites.
struct Race {
    workers: usize,
    /// How many things each of them does.
    each: usize,
    /// How often the server is killed meanwhile.
    kills: usize,
    how: Kill,
    seed: u64,
    /// Lines that break now and then, for those who do not reach the server directly.
    lines: Vec<Line>,
}

impl Race {
    /// Without an accident.
    fn of(workers: usize, each: usize, seed: u64) -> Self {
        Self { workers, each, kills: 0, how: Kill::Immediate, seed, lines: Vec::new() }
    }

    /// Gives what they were told, and how often the server was killed.
    fn run(&self, trial: &Trial) -> (Told, usize) {
        let (told, killed) = (Told::default(), AtomicUsize::new(0));
        let is_over = AtomicBool::new(false);
        thread::scope(|scope| {
            let all: Vec<_> = (0..self.workers)
                .map(|worker| {
                    let told = &told;
                    scope.spawn(move || self.work(trial, worker, told))
                })
                .collect();
            let (is_over, killed) = (&is_over, &killed);
            let accidents = scope.spawn(move || {
                let mut chance = fastrand::Rng::with_seed(self.seed);
                while !is_over.load(Ordering::Relaxed)
                    && (killed.load(Ordering::Relaxed) < self.kills || !self.lines.is_empty())
                {
                    thread::sleep(Duration::from_millis(chance.u64(50..2500)));
                    if killed.load(Ordering::Relaxed) < self.kills {
                        trial.cluster.kill(self.how);
                        killed.fetch_add(1, Ordering::Relaxed);
                    }
                    for line in &self.lines {
                        line.break_after(
                            chance.usize(200..9_000),
                            chance.choice(Break::ALL).unwrap(),
                        );
                    }
                }
            });
            for one in all {
                one.join().unwrap();
            }
            is_over.store(true, Ordering::Relaxed);
            accidents.join().unwrap();
        });
        (told, killed.into_inner())
    }

    fn work(&self, trial: &Trial, worker: usize, told: &Told) {
        let mut chance = fastrand::Rng::with_seed(self.seed * 1000 + worker as u64);
        let cache = format!("cache-{worker}");
        let line = self.lines.get(worker);
        let run = |words: &str| -> Said {
            let mut command = trial.command("postgres", &cache, words);
            if let Some(line) = line {
                command.env("STINTBOOK", line.address(&trial.database));
            }
            command.stderr(Stdio::piped());
            Said::by(&mut command)
        };
        for number in 0..self.each {
            if chance.u32(0..3) == 0 {
                let walk = format!("walk {worker} {number}");
                let (site, want) = WANTED[chance.usize(0..WANTED.len())];
                let plan = format!(
                    "walk new \"{walk}\" --on 2027-03-{} --leader Ida --site \"{site}\" --adults 3 \
                     --seed 1 --want {want}={}g --recorded-on {TODAY}",
                    chance.u32(18..25),
                    chance.u32(1..8) * 100,
                );
                let hold = format!("walk hold \"{walk}\" --recorded-on {TODAY}");
                told.hold(worker, &walk, || run(&plan), || run(&hold));
            } else {
                // No two cuts are of the same amount, so that each can be found again.
                let patch = PATCHES[chance.usize(0..PATCHES.len())];
                let amount = format!("{}.{worker:02}{number:04}7", chance.u32(1..9));
                let cut = format!("cut \"{patch}\" {amount}g --by Ida --part --on {TODAY} --again");
                told.cut(worker, &amount, || run(&cut));
            }
        }
    }
}

#[test]
fn eight_leaders_on_five_sites_are_told_what_is_so() {
    let Some(trial) = Trial::of_five_sites_alone() else { return };
    let (told, _) = Race::of(8, 4, 1).run(&trial);
    told.is_so(&trial);
    assert!(told.cuts() >= 8, "{}", told.summary());
}

#[test]
fn what_is_told_is_so_while_the_server_is_killed() {
    stop_the_server(Kill::Immediate);
}

#[test]
fn what_is_told_is_so_where_all_processes_of_the_server_are_killed() {
    stop_the_server(Kill::Nine);
}

fn stop_the_server(how: Kill) {
    let Some(trial) = Trial::of_five_sites_alone() else { return };
    let race = Race { kills: 3, how, ..Race::of(4, 4, 5) };
    let (told, _) = race.run(&trial);
    told.is_so(&trial);
}

/// Takes some ten minutes in a build without checks: `cargo test --release --features shared --test
/// shared -- --ignored --nocapture twenty`. `STINTBOOK_RACE` sets how many things are done in all,
/// `STINTBOOK_KILLS` how often the server is killed, and `STINTBOOK_KILL=9` that it is by `kill -9`.
#[test]
#[ignore = "long; run by hand"]
fn twenty_processes_and_a_server_that_is_killed_two_hundred_times() {
    let Some(trial) = Trial::of_five_sites_alone() else { return };
    let set = |name: &str, usual: usize| {
        std::env::var(name).ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
    };
    let all = set("STINTBOOK_RACE", 10_000);
    let how = if set("STINTBOOK_KILL", 0) == 9 { Kill::Nine } else { Kill::Immediate };
    let race = Race { kills: set("STINTBOOK_KILLS", 200), how, ..Race::of(20, all / 20, 2027) };
    let began = Instant::now();
    let (told, killed) = race.run(&trial);
    println!(
        "{all} things by 20 processes in {:.0?}; the server was killed {killed} times\n{}",
        began.elapsed(),
        told.summary()
    );
    told.is_so(&trial);
}

/// Half of eight processes reach the server by lines that stall, drop, or close half-way, and
/// never wait longer than 6 s for one.
#[test]
#[ignore = "long; run by hand"]
fn eight_processes_of_which_four_have_bad_lines() {
    let Some(trial) = Trial::of_five_sites_alone() else { return };
    let lines: Vec<Line> = (0..4).map(|_| Line::to(&trial.socket())).collect();
    let race = Race { lines, ..Race::of(8, 60, 77) };
    let began = Instant::now();
    let (told, _) = race.run(&trial);
    let broken: usize = race.lines.iter().map(Line::breaks).sum();
    println!(
        "480 things in {:.0?}; lines broke {broken} times\n{}",
        began.elapsed(),
        told.summary()
    );
    assert!(broken >= 20, "the lines broke {broken} times");
    told.is_so(&trial);
}

#[test]
fn what_is_told_is_so_where_the_line_drops_in_the_middle() {
    break_the_line(14, Break::Drop);
}

/// Where a wall between forgets the connection, the server finds that out only by and by.
#[test]
fn what_is_told_is_so_where_one_side_of_the_line_stays_open() {
    break_the_line(2, Break::CloseHalf);
}

#[test]
fn what_is_told_is_so_where_the_line_goes_silent() {
    break_the_line(2, Break::Stall);
}

fn break_the_line(times: usize, how: Break) {
    let Some(trial) = Trial::of_demo() else { return };
    let line = Line::to(&trial.socket());
    let mut chance = fastrand::Rng::with_seed(11);
    let told = Told::default();
    for number in 0..times {
        line.break_after(chance.usize(200..4_000), how);
        let amount = format!("{}.{number:03}7", number % 7 + 1);
        let words = format!("cut \"mill bank\" {amount}g --by Ida --part --on {TODAY} --again");
        told.cut(0, &amount, || {
            let mut command = trial.command("postgres", "cache-line", &words);
            command.env("STINTBOOK", line.address(&trial.database));
            Said::by(&mut command)
        });
    }
    assert!(line.breaks() > times / 2, "the line broke {} times", line.breaks());
    assert!(told.cuts() > 0, "{}", told.summary());
    told.is_so(&trial);
}
