//! What a shared book costs: `check`, `week --site`, `cut` and `walk hold` by 1, 8 and 32 processes at
//! a time, beside what the server does by itself in the same run, as `pgbench` measures it.
//!
//! `cargo bench --features shared --bench shared` takes a book of 10,000 patches; `-- 100000` another.
//! Each client is a process with a working copy of its own, as on a machine of its own. Nothing
//! passes or fails here.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop at once")]

#[path = "../shared/cluster.rs"]
#[allow(dead_code, reason = "the benchmark uses a part")]
mod cluster;
mod synthetic;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use cluster::{Cluster, cluster};
use synthetic::{Size, write_book};

const DAY: &str = "2027-03-15";
const CLIENTS: [usize; 3] = [1, 8, 32];
const TIME: Duration = Duration::from_secs(8);

fn main() {
    let patches = std::env::args().find_map(|word| word.parse().ok()).unwrap_or(10_000);
    let Some(cluster) = cluster() else { return };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.sqlite");
    let size = Size { patches, surveys: patches * 2, cuts: patches * 7 };
    write_book(&file, size, 2027);
    let database = cluster.database();
    let address = cluster.address(&database, "postgres");
    let begun = Instant::now();
    let first = folder.path().join("cache");
    ran(&address, &first, &["copy", file.to_str().unwrap(), &address]);
    println!(
        "{patches} patches with {} facts: copied and read back in {:.1?}",
        patches * 10,
        begun.elapsed()
    );
    for n in 0..*CLIENTS.last().unwrap() {
        copy_folder(&first, &folder.path().join(format!("cache-{n}")));
    }
    cluster.sql("postgres", "CREATE DATABASE bench");
    pgbench(cluster, &["-i", "-q", "-s", "1"]);
    println!("{:28} {:>8} {:>10} {:>9} {:>9}", "", "clients", "a second", "p50 ms", "p99 ms");
    for clients in CLIENTS {
        for (name, kind) in [("pgbench: one row read", "-S"), ("pgbench: simple update", "-N")] {
            beside(cluster, name, kind, clients);
        }
        let sites = patches / 100;
        measure("check", clients, folder.path(), &address, |n, chance| {
            let patch = chance.usize(0..patches);
            vec![vec!["check".into(), format!("site {}/patch {patch}", patch / 100), n.to_string()]]
        });
        measure("week --site", clients, folder.path(), &address, |_, chance| {
            vec![vec!["week".into(), "--site".into(), format!("site {}", chance.usize(0..sites))]]
        });
        measure("cut", clients, folder.path(), &address, |n, chance| {
            // Every client on sites of its own, as leaders are.
            let site = chance.usize(0..sites.div_ceil(32)) * 32 + n;
            let patch = (site % sites) * 100 + chance.usize(0..100);
            let words = [
                "cut",
                &format!("site {}/patch {patch}", patch / 100),
                "1g",
                "--by",
                "Ana",
                "--part",
                "--again",
                "--sure",
            ];
            vec![words.iter().map(|&word| word.to_owned()).collect()]
        });
        measure("walk new, walk hold", clients, folder.path(), &address, |n, chance| {
            let site = format!("site {}", (chance.usize(0..sites.div_ceil(32)) * 32 + n) % sites);
            let walk = format!("walk {:x}", chance.u64(..));
            let made = [
                "walk",
                "new",
                &walk,
                "--leader",
                "Ana",
                "--site",
                &site,
                "--adults",
                "3",
                "--want",
                "nettle-tops=100g",
            ];
            let held = ["walk", "hold", &walk];
            [&made[..], &held[..]]
                .map(|words| words.iter().map(|&word| word.to_owned()).collect())
                .to_vec()
        });
    }
}

fn beside(cluster: &Cluster, name: &str, kind: &str, clients: usize) {
    let n = clients.to_string();
    let log = tempfile::tempdir().unwrap();
    let prefix = log.path().join("log");
    let said = pgbench(
        cluster,
        &[
            "-n",
            kind,
            "-c",
            &n,
            "-j",
            "2",
            "-T",
            "5",
            "-l",
            "--log-prefix",
            prefix.to_str().unwrap(),
        ],
    );
    let tps = said.lines().find_map(|line| line.strip_prefix("tps = "));
    let tps: f64 = tps.and_then(|rest| rest.split(' ').next()?.parse().ok()).unwrap_or(0.0);
    let mut took: Vec<Duration> = Vec::new();
    for file in fs::read_dir(log.path()).unwrap() {
        let text = fs::read_to_string(file.unwrap().path()).unwrap();
        took.extend(
            text.lines().filter_map(|line| {
                Some(Duration::from_micros(line.split(' ').nth(2)?.parse().ok()?))
            }),
        );
    }
    row(name, clients, tps, &mut took);
}

fn pgbench(cluster: &Cluster, words: &[&str]) -> String {
    let output = Command::new("pgbench")
        .args(words)
        .arg("-h")
        .arg(cluster.folder())
        .args(["-U", "postgres", "bench"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Each of the clients runs one command after the other for some seconds; the last one of what
/// `words` gives is measured. The first words are a command, and the second number is dropped.
fn measure(
    name: &str,
    clients: usize,
    folder: &Path,
    address: &str,
    words: impl Fn(usize, &mut fastrand::Rng) -> Vec<Vec<String>> + Sync,
) {
    let took = Mutex::new(Vec::new());
    let begun = Instant::now();
    thread::scope(|scope| {
        for n in 0..clients {
            let (words, took) = (&words, &took);
            scope.spawn(move || {
                let mut chance =
                    fastrand::Rng::with_seed(begun.elapsed().as_nanos() as u64 + n as u64);
                let cache = folder.join(format!("cache-{n}"));
                while begun.elapsed() < TIME {
                    let mut all = words(n, &mut chance);
                    let last = all.pop().unwrap();
                    for before in all {
                        run(address, &cache, &before);
                    }
                    let last = match last[0].as_str() {
                        "check" => last[..2].to_vec(),
                        _ => last,
                    };
                    let started = Instant::now();
                    run(address, &cache, &last);
                    took.lock().unwrap().push(started.elapsed());
                }
            });
        }
    });
    let elapsed = begun.elapsed();
    let mut took = took.into_inner().unwrap();
    let rate = took.len() as f64 / elapsed.as_secs_f64();
    row(name, clients, rate, &mut took);
}

fn row(name: &str, clients: usize, rate: f64, took: &mut [Duration]) {
    took.sort();
    let at = |part: f64| {
        let at = ((took.len() as f64 * part) as usize).min(took.len().saturating_sub(1));
        took.get(at).map_or(0.0, |took| took.as_secs_f64() * 1000.0)
    };
    println!("{name:28} {clients:>8} {rate:>10.1} {:>9.2} {:>9.2}", at(0.5), at(0.99));
}

fn run(address: &str, cache: &Path, words: &[String]) {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let status =
        command(address, cache, &words).stdout(Stdio::null()).stderr(Stdio::null()).status();
    // 1: may not be cut, or nothing can be set aside.
    assert!(matches!(status.unwrap().code(), Some(0 | 1)), "{words:?}");
}

fn ran(address: &str, cache: &Path, words: &[&str]) {
    assert!(command(address, cache, words).stdout(Stdio::null()).status().unwrap().success());
}

fn command(address: &str, cache: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.args(words).args(["--on", DAY]).env("STINTBOOK", address).env("XDG_CACHE_HOME", cache);
    command.stdin(Stdio::null());
    command
}

fn copy_folder(from: &Path, to: &Path) {
    let (from, to): (PathBuf, PathBuf) = (from.join("stintbook"), to.join("stintbook"));
    fs::create_dir_all(&to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), to.join(file.file_name())).unwrap();
    }
}
