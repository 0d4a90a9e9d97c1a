//! What the commands cost on books of growing size: one table, in ratios that mean the same on
//! any machine.
//!
//! `cargo bench --bench scale` takes books of 1,000 and 10,000 patches; `cargo bench --bench scale
//! -- 100000 week load` others, and of the commands only those that begin so. Books and files are
//! made once and kept beside the build. Nothing passes or fails here.

#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop at once")]

mod synthetic;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use rusqlite::{Connection, OpenFlags};
use stintbook::book::Book;
use synthetic::{Size, write_book, write_files};

const SEED: u64 = 2027;
const SCAN: &str = "scan by SQLite";
const DAY: &str = "2027-03-15";
/// Enough for a median that holds, where a run is short.
const RUNS: usize = 5;
/// Nothing that takes longer is run again.
const LONG: Duration = Duration::from_secs(8);

/// What one run took.
#[derive(Clone, Copy, Debug)]
struct Cost {
    wall: Duration,
    /// Of all its threads, user and system; zero where the system does not tell.
    cpu: Duration,
    /// The most that it held at once, in kibibytes; zero where the system does not tell.
    peak_kib: u64,
}

struct Ground {
    folder: PathBuf,
    book: PathBuf,
    files: PathBuf,
}

fn main() {
    let sizes: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![1_000, 10_000] } else { sizes };
    let words = std::env::args().skip(1).filter(|word| word.parse::<usize>().is_err());
    let wanted = Wanted(words.filter(|word| !word.starts_with('-')).collect());
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    println!("on {cores} cores; CPU seconds, wall seconds, peak MB, and CPU as a multiple of");
    println!("SQLite's own scan of the same tables\n");
    for patches in sizes {
        let ground = ground(patches);
        let size = fs::metadata(&ground.book).unwrap().len() / 1_000_000;
        println!("{patches} patches, 3 surveys and 10 cuts each: a book of {size} MB");
        println!("  {:28} {:>8} {:>8} {:>8} {:>8}", "", "CPU", "wall", "MB", "scans");
        table(&ground, patches, &wanted);
        println!();
    }
}

/// How the commands begin that are asked for; none for all.
struct Wanted(Vec<String>);

impl Wanted {
    fn has(&self, name: &str) -> bool {
        self.0.is_empty() || self.0.iter().any(|start| name.starts_with(start.as_str()))
    }
}

fn table(ground: &Ground, patches: usize, wanted: &Wanted) {
    let scan = median(|| scanned(&ground.book));
    let show = |name: &str, cost: &mut dyn FnMut() -> Cost| {
        if name != SCAN && !wanted.has(name) {
            return;
        }
        let cost = cost();
        let times = cost.cpu.as_secs_f64() / scan.cpu.as_secs_f64().max(1e-3);
        println!(
            "  {name:28} {:8.3} {:8.3} {:8} {times:8.1}",
            cost.cpu.as_secs_f64(),
            cost.wall.as_secs_f64(),
            cost.peak_kib / 1000,
        );
    };
    show(SCAN, &mut || scan);
    let patch = &format!("site 0/patch {}", patches.min(100) / 2);
    let asked: [(&str, &[&str]); 8] = [
        ("week", &["week", "--format", "csv"]),
        ("week --site", &["week", "--site", "site 3", "--format", "csv"]),
        ("check", &["check", patch]),
        ("survey advise --site", &["survey", "advise", "--site", "site 3"]),
        ("report of a site", &["report", "site 3", "--season", "2026/27"]),
        ("walk plan, 20 kg of a crop", &["walk", "plan", "--want", "ramsons-leaf=20kg"]),
        ("pressure", &["pressure", "--format", "csv"]),
        ("verify", &["verify"]),
    ];
    for (name, words) in asked {
        show(name, &mut || median(|| run(ground, &ground.book, words)));
    }
    let copy = ground.folder.join("copy.sqlite");
    fs::copy(&ground.book, &copy).unwrap();
    let mut grams = 100;
    let mut cut = || {
        grams += 1;
        let grams = format!("{grams}g");
        run(ground, &copy, &["cut", patch, &grams, "--by", "Ana", "--again", "--sure"])
    };
    show("cut", &mut || median(&mut cut));
    let glance = ["glance", patch, "900g", "--by", "Ana", "--again", "--sure"];
    show("glance", &mut || median(|| run(ground, &copy, &glance)));
    let files = files_of(ground);
    let load: Vec<&str> = ["load"].into_iter().chain(files.iter().map(String::as_str)).collect();
    let new = ground.folder.join("new.sqlite");
    let mut first = || {
        let _ = fs::remove_file(&new);
        Book::create(&new).unwrap();
        run(ground, &new, &load)
    };
    show("load, first", &mut || median(&mut first));
    if new.exists() {
        show("load, again", &mut || median(|| run(ground, &new, &load)));
        fs::remove_file(&new).unwrap();
    }
    fs::remove_file(&copy).unwrap();
}

fn ground(patches: usize) -> Ground {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("scale-{patches}"));
    let (book, files) = (folder.join("book.sqlite"), folder.join("files"));
    let size = Size { patches, surveys: 3 * patches, cuts: 10 * patches };
    if !folder.join("made").exists() {
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&files).unwrap();
        write_book(&book, size, SEED);
        let written = write_files(&files, size, SEED);
        let names = written.iter().map(|path| path.file_name().unwrap().to_str().unwrap());
        fs::write(folder.join("made"), names.collect::<Vec<_>>().join("\n")).unwrap();
    }
    Ground { folder, book, files }
}

/// In the order in which they may be loaded: land, permissions, surveys, cuts.
fn files_of(ground: &Ground) -> Vec<String> {
    let told = fs::read_to_string(ground.folder.join("made")).unwrap();
    told.lines().map(|name| ground.files.join(name).to_str().unwrap().to_owned()).collect()
}

/// Every row and column of the tables that a week reads, by SQLite alone.
fn scanned(book: &Path) -> Cost {
    let (start, before) = (Instant::now(), cpu_of("/proc/self/stat", OWN));
    let book = Connection::open_with_flags(book, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    for table in ["site", "zone", "patch", "permission", "survey", "part", "cut"] {
        let mut statement = book.prepare(&format!("SELECT * FROM {table}")).unwrap();
        let columns = statement.column_count();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            for column in 0..columns {
                std::hint::black_box(row.get_ref(column).unwrap());
            }
        }
    }
    let cpu = cpu_of("/proc/self/stat", OWN).saturating_sub(before);
    Cost { wall: start.elapsed(), cpu, peak_kib: 0 }
}

fn run(ground: &Ground, book: &Path, asked: &[&str]) -> Cost {
    let (start, before) = (Instant::now(), cpu_of("/proc/self/stat", CHILDREN));
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.arg("--book").arg(book).args(["--on", DAY]).args(asked).current_dir(&ground.folder);
    let errors = ground.folder.join("errors.txt");
    let mut child =
        command.stdout(Stdio::null()).stderr(fs::File::create(&errors).unwrap()).spawn().unwrap();
    let peak_kib = watch(&mut child);
    let code = child.wait().unwrap().code();
    let told = fs::read_to_string(errors).unwrap();
    assert!(matches!(code, Some(0 | 1)), "{asked:?} ended with {code:?}: {told}");
    let cpu = cpu_of("/proc/self/stat", CHILDREN).saturating_sub(before);
    Cost { wall: start.elapsed(), cpu, peak_kib }
}

/// The most that a process holds until it ends, in kibibytes.
fn watch(child: &mut Child) -> u64 {
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    while let Ok(None) = child.try_wait() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let held = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let held = held.and_then(|held| held.split_whitespace().next()?.parse().ok());
        peak = peak.max(held.unwrap_or(0));
        std::thread::sleep(Duration::from_micros(500));
    }
    peak
}

/// Fields of `/proc/self/stat`, counted from the end of the name: user and system time.
const OWN: [usize; 2] = [11, 12];
const CHILDREN: [usize; 2] = [13, 14];

/// In hundredths of a second, as Linux counts; zero elsewhere.
fn cpu_of(stat: &str, fields: [usize; 2]) -> Duration {
    let text = fs::read_to_string(stat).unwrap_or_default();
    let after_name = text.rsplit_once(") ").map_or("", |(_, rest)| rest);
    let fields = fields.map(|at| after_name.split(' ').nth(at)?.parse::<u64>().ok());
    Duration::from_millis(10 * fields.into_iter().flatten().sum::<u64>())
}

fn median(mut run: impl FnMut() -> Cost) -> Cost {
    let mut costs = vec![run()];
    while costs.len() < RUNS && costs[0].wall < LONG {
        costs.push(run());
    }
    costs.sort_by_key(|cost| cost.wall);
    costs[costs.len() / 2]
}
