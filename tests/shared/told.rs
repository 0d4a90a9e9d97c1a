//! What processes were told that record on one book at a time, how long they waited, and whether
//! it is so.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use jiff::civil::{Date, date};
use stintbook::assess::{Asker, overpromised, prepare_for};
use stintbook::book::{Book, Scope};
use stintbook::catalogue::Catalogue;

use crate::said::Said;
use crate::trial::Trial;

pub const TODAY: Date = date(2027, 3, 15);

/// What may be said where nothing is recorded, or where nobody can know.
const PLAIN: [&str; 2] = ["nothing was recorded", "cannot be reached"];
const UNSURE: &str = "do not record it again before you looked";

#[derive(Default)]
pub struct Told {
    inner: Mutex<Inner>,
}

#[derive(Default)]
struct Inner {
    /// Cuts that were told to be recorded, by their amounts: no two are alike.
    cuts: Vec<String>,
    /// Walks for which something was told to be set aside, and how much, in grams.
    holds: BTreeMap<String, f64>,
    refused: usize,
    unsure: usize,
    /// How long each took, by what it was.
    waits: BTreeMap<&'static str, Vec<Duration>>,
    /// How much each process got done.
    done: BTreeMap<usize, usize>,
}

impl Told {
    /// Runs a cut of so many grams by a process of that number.
    pub fn cut(&self, worker: usize, amount: &str, run: impl FnOnce() -> Said) {
        let said = self.timed("cut", run);
        let mut inner = self.inner.lock().unwrap();
        match said.status {
            0 => {
                inner.cuts.push(amount.to_owned());
                *inner.done.entry(worker).or_default() += 1;
            }
            _ if said.err.contains(UNSURE) => inner.unsure += 1,
            _ => {
                assert!(PLAIN.iter().any(|part| said.err.contains(part)), "{said:?}");
                inner.refused += 1;
            }
        }
    }

    /// Runs a `walk new` and, once there is the walk, a `walk hold` that says as JSON what it holds.
    pub fn hold(
        &self,
        worker: usize,
        walk: &str,
        plan: impl FnOnce() -> Said,
        hold: impl FnOnce() -> Said,
    ) {
        let made = self.timed("walk new", plan);
        let held = if made.status == 0 { self.timed("walk hold", hold) } else { made };
        let mut inner = self.inner.lock().unwrap();
        match held.status {
            0 => {
                let grams = grams_in(&held.out);
                inner.holds.insert(walk.to_owned(), grams);
                *inner.done.entry(worker).or_default() += 1;
            }
            // All that may be promised is promised.
            1 | 2 => inner.refused += 1,
            _ if held.err.contains(UNSURE) => inner.unsure += 1,
            _ => {
                assert!(PLAIN.iter().any(|part| held.err.contains(part)), "{held:?}");
                inner.refused += 1;
            }
        }
    }

    fn timed(&self, what: &'static str, run: impl FnOnce() -> Said) -> Said {
        let began = Instant::now();
        let said = run();
        let took = began.elapsed();
        self.inner.lock().unwrap().waits.entry(what).or_default().push(took);
        said
    }

    pub fn cuts(&self) -> usize {
        self.inner.lock().unwrap().cuts.len()
    }

    /// In one paragraph.
    pub fn summary(&self) -> String {
        let mut inner = self.inner.lock().unwrap();
        let mut text = format!(
            "{} cuts and {} holds recorded, {} refused, {} unsure\n",
            inner.cuts.len(),
            inner.holds.len(),
            inner.refused,
            inner.unsure
        );
        for (what, waits) in &mut inner.waits {
            waits.sort();
            let at = |part: f64| waits[((waits.len() - 1) as f64 * part) as usize];
            text += &format!(
                "{what}: {} times, half within {:.2?}, 99 in 100 within {:.2?}, the longest {:.2?}\n",
                waits.len(),
                at(0.5),
                at(0.99),
                at(1.0)
            );
        }
        let done = inner.done.values();
        let (least, most) = (done.clone().min().unwrap_or(&0), done.max().unwrap_or(&0));
        text + &format!("of {} processes one got {least} done, one {most}", inner.done.len())
    }

    /// The book is whole, every cut that was told of is there once, whatever was set aside is still
    /// set aside, and nothing is promised that is not there.
    pub fn is_so(&self, trial: &Trial) {
        trial.run("backup after.sqlite").done();
        let book = Book::open(&trial.path("after.sqlite")).unwrap();
        assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
        let ledger = book.ledger(&Scope::All, None).unwrap();
        let mut found: BTreeMap<String, usize> = BTreeMap::new();
        let mut held: BTreeMap<String, f64> = BTreeMap::new();
        for (_, patch) in ledger.patches() {
            for cut in &patch.cuts {
                *found.entry(cut.record.amount.value.to_string()).or_default() += 1;
            }
            for hold in &patch.holds {
                let walk = hold.record.walk.to_string();
                *held.entry(walk).or_default() += hold.record.amount.value;
            }
        }
        let inner = self.inner.lock().unwrap();
        for cut in &inner.cuts {
            assert_eq!(found.get(cut), Some(&1), "the cut of {cut} g was told to be recorded");
        }
        for (walk, grams) in &inner.holds {
            let held = held.get(walk).copied().unwrap_or(0.0);
            let is_so = (held - grams).abs() < 1.0 + grams / 100.0;
            assert!(is_so, "{walk}: told {grams} g, held {held} g");
        }
        let asker = Asker { today: TODAY, walk: None };
        let prepared = prepare_for(&ledger, Catalogue::built_in(), TODAY, asker).unwrap();
        let over: Vec<String> = prepared
            .iter()
            .flat_map(|patch| overpromised(patch, TODAY))
            .map(|over| format!("{} for {}", over.patch, over.promise.walk))
            .collect();
        assert!(over.is_empty(), "{over:?}");
    }
}

/// What `walk hold` said that it set aside, before what is not to be had.
fn grams_in(said: &str) -> f64 {
    let lines = said.lines().take_while(|line| !line.starts_with("Not to be had"));
    lines.filter_map(grams_of_line).sum()
}

/// `Hill/Wood: 300 g of ramsons-leaf`, or in kilograms.
fn grams_of_line(line: &str) -> Option<f64> {
    let (_, amount) = line.split_once(": ")?;
    let mut words = amount.split_whitespace();
    let value: f64 = words.next()?.replace(',', "").parse().ok()?;
    match words.next()? {
        "g" => Some(value),
        "kg" => Some(value * 1000.0),
        _ => None,
    }
}
