//! How long the commands take as a user meets them: a cold process on a large book.
//!
//! `cargo bench` reports; nothing here passes or fails.

#![expect(clippy::unwrap_used, reason = "a benchmark may stop at once")]

mod synthetic;

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use divan::Bencher;
use synthetic::{Size, quadrats_csv, write_book};
use tempfile::TempDir;

const SIZE: Size = Size { patches: 10_000, surveys: 30_000, cuts: 100_000 };
/// One site, three surveys and ten cuts a patch.
const SITE: Size = Size { patches: 60, surveys: 180, cuts: 600 };
/// The budget of the years to come.
const LARGE: Size = Size { patches: 100_000, surveys: 300_000, cuts: 1_000_000 };
const SEED: u64 = 2027;
const DAY: &str = "2027-03-15";

static FOLDER: LazyLock<TempDir> = LazyLock::new(|| TempDir::new().unwrap());
static BOOK: LazyLock<PathBuf> = LazyLock::new(|| book("usual.sqlite", SIZE));
static SITE_BOOK: LazyLock<PathBuf> = LazyLock::new(|| book("site.sqlite", SITE));
static LARGE_BOOK: LazyLock<PathBuf> = LazyLock::new(|| book("large.sqlite", LARGE));

fn main() {
    divan::main();
}

fn book(name: &str, size: Size) -> PathBuf {
    let path = FOLDER.path().join(name);
    write_book(&path, size, SEED);
    path
}

fn stintbook(book: &PathBuf, asked: &[&str]) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.arg("--book").arg(book).args(["--on", DAY]).args(asked).stdout(Stdio::null());
    let code = command.status().unwrap().code();
    assert!(matches!(code, Some(0 | 1)), "{asked:?} ended with {code:?}");
}

#[divan::bench(sample_count = 10)]
fn week_on_10_000_patches_30_000_surveys_100_000_cuts(bencher: Bencher) {
    let book = &*BOOK;
    bencher.bench(|| stintbook(book, &["week"]));
}

#[divan::bench(sample_count = 20)]
fn check_on_the_same_book(bencher: Bencher) {
    let book = &*BOOK;
    bencher.bench(|| stintbook(book, &["check", "site 50/patch 5050"]));
}

/// The season report of one site of 60 patches.
#[divan::bench(sample_count = 20)]
fn report_of_a_site_of_60_patches(bencher: Bencher) {
    let (book, folder) = (&*SITE_BOOK, FOLDER.path().join("one"));
    let asked = ["report", "site 0", "--season", "2026/27", "--reports", folder.to_str().unwrap()];
    bencher.bench(|| stintbook(book, &asked));
}

#[divan::bench(sample_count = 3)]
fn reports_of_100_sites_of_100_patches(bencher: Bencher) {
    let (book, folder) = (&*BOOK, FOLDER.path().join("all"));
    let asked = ["report", "--all", "--season", "2026/27", "--reports", folder.to_str().unwrap()];
    bencher.bench(|| stintbook(book, &asked));
}

#[divan::bench(sample_count = 3)]
fn load_of_100_000_quadrats(bencher: Bencher) {
    let csv = FOLDER.path().join("quadrats.csv");
    fs::write(&csv, quadrats_csv(100_000, SIZE, SEED)).unwrap();
    let (csv, copy) = (csv.to_str().unwrap().to_owned(), FOLDER.path().join("copy.sqlite"));
    bencher
        .with_inputs(|| fs::copy(&*BOOK, &copy).unwrap())
        .bench_values(|_| stintbook(&copy, &["load", &csv]));
}

/// Read, shown and recorded: a spreadsheet as people keep one, with days as days.
#[divan::bench(sample_count = 3)]
fn bring_of_100_000_rows_of_xlsx(bencher: Bencher) {
    let path = FOLDER.path().join("quadrats.xlsx");
    let mut book = rust_xlsxwriter::Workbook::new();
    let as_day = rust_xlsxwriter::Format::new().set_num_format("dd/mm/yyyy");
    let sheet = book.add_worksheet();
    for (row, line) in (0..).zip(quadrats_csv(100_000, SIZE, SEED).lines()) {
        for (column, cell) in (0..).zip(line.split(',')) {
            let day = rust_xlsxwriter::ExcelDateTime::parse_from_str(cell);
            match (column, cell.parse::<f64>(), day) {
                (1, _, Ok(day)) => sheet.write_with_format(row, column, &day, &as_day),
                (3.., Ok(value), _) => sheet.write(row, column, value),
                _ => sheet.write(row, column, cell),
            }
            .unwrap();
        }
    }
    book.save(&path).unwrap();
    let (path, copy) = (path.to_str().unwrap().to_owned(), FOLDER.path().join("brought.sqlite"));
    bencher
        .with_inputs(|| fs::copy(&*BOOK, &copy).unwrap())
        .bench_values(|_| stintbook(&copy, &["bring", &path, "--yes", "--sure"]));
}

#[divan::bench(sample_count = 3)]
fn week_on_100_000_patches_300_000_surveys_1_000_000_cuts(bencher: Bencher) {
    let book = &*LARGE_BOOK;
    bencher.bench(|| stintbook(book, &["week"]));
}

#[divan::bench(sample_count = 10)]
fn check_on_that_large_book(bencher: Bencher) {
    let book = &*LARGE_BOOK;
    bencher.bench(|| stintbook(book, &["check", "site 50/patch 5050"]));
}

/// With reading the book and assessing every patch.
#[divan::bench(sample_count = 5)]
fn plan_of_20_kilos_of_one_crop_on_the_usual_book(bencher: Bencher) {
    let book = &*BOOK;
    bencher.bench(|| stintbook(book, &["walk", "plan", "--want", "nettle-tops=20kg"]));
}

#[divan::bench(sample_count = 3)]
fn plan_of_20_kilos_of_one_crop_on_the_large_book(bencher: Bencher) {
    let book = &*LARGE_BOOK;
    bencher.bench(|| stintbook(book, &["walk", "plan", "--want", "nettle-tops=20kg"]));
}
