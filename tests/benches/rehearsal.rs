//! How long a rehearsal takes: a season of 25 patches, every one visited each week, 2,000 times.
//!
//! `cargo bench` reports; nothing here passes or fails.

#![expect(clippy::unwrap_used, reason = "a benchmark may stop at once")]

mod synthetic;

use divan::Bencher;
use jiff::civil::{Date, date};
use stintbook::assess::prepare;
use stintbook::book::{Book, Scope};
use stintbook::catalogue::Catalogue;
use stintbook::records::{Habit, Ledger};
use stintbook::rehearsal::proof::{Cell, Effort, Plots, Practice};
use stintbook::rehearsal::{Demand, Kept, Plan, Repeats, Surveys, rehearse};
use stintbook::units::Season;
use synthetic::{Size, write_book};

const SIZE: Size = Size { patches: 25, surveys: 75, cuts: 250 };
const SEED: u64 = 2027;
const DAY: Date = date(2027, 9, 1);

fn main() {
    divan::main();
}

fn ledger() -> Ledger {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    write_book(&path, SIZE, SEED);
    Book::open(&path).unwrap().ledger(&Scope::All, None).unwrap()
}

#[divan::bench(sample_count = 5)]
fn season_of_25_patches_played_2_000_times(bencher: Bencher) {
    let ledger = ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), DAY).unwrap();
    let plan = Plan {
        season: Season::containing(DAY),
        from: DAY,
        demand: Demand::AllAllowed,
        groups: 1,
        people: Some(4),
        surveys: Surveys::WhenLapsed,
        rested: Vec::new(),
        tested: Vec::new(),
        kept: Kept::AsProfiled,
    };
    bencher.bench(|| rehearse(&prepared, &plan, Repeats { runs: 2_000, seed: 1 }, || ()));
}

#[divan::bench(sample_count = 5)]
fn cell_of_the_proof_with_2_000_patches(bencher: Bencher) {
    let plots = Plots::new();
    let cell = Cell::new(Habit::FastLeaf, Practice::Book { glances: true });
    bencher.bench(|| cell.score(&plots, Effort { patches: 2_000, seed: 1 }));
}
