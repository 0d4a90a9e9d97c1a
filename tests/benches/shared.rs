//! What a shared book costs: `check`, `week --site`, `cut` and `walk hold` by 1, 8 and 32 leaders at a
//! time, beside what the server does by itself in the same run, as `pgbench` measures it.
//!
//! `cargo bench --features shared --bench shared` takes a book of 10,000 patches with 100,000 facts;
//! `-- 100000` one of ten times that. Each leader is a role with sites and a working copy of its own,
//! as on a machine of its own; every command is a process. `shared.md` has what came of it. Nothing
//! passes or fails here.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop at once")]

#[path = "../shared/cluster.rs"]
#[allow(dead_code, reason = "the benchmark uses a part")]
mod cluster;
mod synthetic;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use cluster::{Cluster, cluster};
use synthetic::{Size, write_book};

const DAY: &str = "2027-03-15";
const CLIENTS: [usize; 3] = [1, 8, LEADERS];
const LEADERS: usize = 32;
const TIME: Duration = Duration::from_secs(8);

fn main() {
    let patches = std::env::args().find_map(|word| word.parse().ok()).unwrap_or(10_000);
    let Some(cluster) = cluster() else { return };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.sqlite");
    let size = Size { patches, surveys: patches * 2, cuts: patches * 7 };
    write_book(&file, size, 2027);
    let database = cluster.database();
    cluster.sql("postgres", "ALTER SYSTEM SET autovacuum_naptime = '1min'");
    cluster.sql("postgres", "SELECT pg_reload_conf()");
    let address = cluster.address(&database, "postgres");
    println!("a file of {:.0} MB", fs::metadata(&file).unwrap().len() as f64 / 1e6);
    let begun = Instant::now();
    let first = folder.path().join("cache");
    ran(&address, &first, &["copy", file.to_str().unwrap(), &address]);
    println!(
        "{patches} patches with {} facts: copied and read back in {:.1?}",
        patches * 10,
        begun.elapsed()
    );
    let leaders = Leaders { cluster, database, folder: folder.path(), sites: patches / 100 };
    leaders.let_in(&address, &first);
    let begun = Instant::now();
    leaders.run(0, &["week".into(), "--site".into(), leaders.site(0, 0)]);
    println!("a leader's first working copy, of {} sites: {:.1?}", leaders.each(), begun.elapsed());
    for n in 1..LEADERS {
        leaders.run(n, &["week".into(), "--site".into(), leaders.site(n, 0)]);
    }
    println!("a leader's working copy: {:.1} MB", leaders.megabytes("cache-0"));
    println!("a keeper's working copy: {:.1} MB", leaders.megabytes("cache"));
    let begun = Instant::now();
    ran(&address, &first, &["week", "--site", "site 0"]);
    println!("a keeper's week of a site, among {} sites: {:.2?}", leaders.sites, begun.elapsed());
    cluster.sql("postgres", "CREATE DATABASE bench");
    pgbench(cluster, &["-i", "-q", "-s", "1"]);
    println!("{:28} {:>8} {:>10} {:>9} {:>9}", "", "clients", "a second", "p50 ms", "p99 ms");
    for clients in CLIENTS {
        for (name, kind) in [("pgbench: one row read", "-S"), ("pgbench: simple update", "-N")] {
            beside(cluster, name, kind, clients);
        }
        measure("check", clients, &leaders, |n, chance| {
            vec![vec!["check".into(), leaders.patch(n, chance)]]
        });
        measure("week --site", clients, &leaders, |n, chance| {
            let site = leaders.site(n, chance.usize(0..leaders.each()));
            vec![vec!["week".into(), "--site".into(), site]]
        });
        measure("cut", clients, &leaders, |n, chance| {
            let patch = leaders.patch(n, chance);
            let words = ["cut", &patch, "1g", "--by", "Ana", "--part", "--again", "--sure"];
            vec![words.map(str::to_owned).to_vec()]
        });
        measure("walk hold", clients, &leaders, |n, chance| {
            let site = leaders.site(n, chance.usize(0..leaders.each()));
            let walk = format!("walk {:x}", chance.u64(..));
            let made = "walk new WALK --leader Ana --site SITE --adults 3 --want nettle-tops=100g";
            let made = made.split(' ').map(|word| match word {
                "WALK" => walk.clone(),
                "SITE" => site.clone(),
                word => word.to_owned(),
            });
            vec![made.collect(), ["walk", "hold", &walk].map(str::to_owned).to_vec()]
        });
    }
}

/// Leaders with sites of their own, side by side.
struct Leaders<'a> {
    cluster: &'a Cluster,
    database: String,
    folder: &'a Path,
    /// How many there are in all.
    sites: usize,
}

impl Leaders<'_> {
    /// How many sites each of them leads.
    fn each(&self) -> usize {
        self.sites / LEADERS
    }

    fn let_in(&self, address: &str, cache: &Path) {
        for n in 0..LEADERS {
            self.cluster.sql("postgres", &format!("CREATE ROLE leader_{n} LOGIN"));
            let mut words: Vec<String> = format!("access role leader_{n} --as leader --signs Ana")
                .split(' ')
                .map(str::to_owned)
                .collect();
            for site in 0..self.each() {
                words.extend(["--site".to_owned(), self.site(n, site)]);
            }
            ran(address, cache, &words.iter().map(String::as_str).collect::<Vec<_>>());
        }
    }

    fn site(&self, leader: usize, site: usize) -> String {
        format!("site {}", leader * self.each() + site)
    }

    fn patch(&self, leader: usize, chance: &mut fastrand::Rng) -> String {
        let site = leader * self.each() + chance.usize(0..self.each());
        format!("site {site}/patch {}", site * 100 + chance.usize(0..100))
    }

    fn run(&self, leader: usize, words: &[String]) {
        let address = self.cluster.address(&self.database, &format!("leader_{leader}"));
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let mut command = command(&address, &self.folder.join(format!("cache-{leader}")), &words);
        let output = command.output().unwrap();
        // 1: may not be cut, or nothing can be set aside.
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{words:?}: {said}");
    }

    fn megabytes(&self, cache: &str) -> f64 {
        let files = fs::read_dir(self.folder.join(cache).join("stintbook")).unwrap();
        files.map(|file| file.unwrap().metadata().unwrap().len() as f64 / 1e6).sum()
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

/// Each of the leaders runs one command after the other for some seconds; the last one of what
/// `words` gives is measured.
fn measure(
    name: &str,
    clients: usize,
    leaders: &Leaders,
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
                while begun.elapsed() < TIME {
                    let mut all = words(n, &mut chance);
                    let last = all.pop().unwrap();
                    all.iter().for_each(|before| leaders.run(n, before));
                    let started = Instant::now();
                    leaders.run(n, &last);
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

fn ran(address: &str, cache: &Path, words: &[&str]) {
    assert!(command(address, cache, words).stdout(Stdio::null()).status().unwrap().success());
}

fn command(address: &str, cache: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.args(words).args(["--on", DAY]).env("STINTBOOK", address).env("XDG_CACHE_HOME", cache);
    command.stdin(Stdio::null());
    command
}
