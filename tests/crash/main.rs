//! A command that is cut off, or meets a full disk, leaves the book as it was or as it should
//! be, and its last word is true.
//!
//! A shim before the C library stops each writing command at each of its system calls that
//! change anything: once by a kill, once by a full disk.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

mod bench;
mod files;
mod killed;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use stintbook::book::{Book, Scope};

use bench::{Bench, EMPTY, FIRST_LOAD, copy, state, told};

const WALK: &str = "walk new spring --on 2021-03-20 --leader Ida --site Hill \
    --parties parties.csv --want nettle-tops=500g --recorded-on 2021-03-10 --seed 3";

const HOLD: &str = "walk hold spring --recorded-on 2021-03-10";
const HELD: &[&str] = &[WALK, HOLD];
/// A command, what leads up to it, and whether it prints more than it changes.
struct Deed {
    asked: &'static str,
    before: &'static [&'static str],
}

const DEEDS: &[Deed] = &[
    Deed { asked: FIRST_LOAD, before: EMPTY },
    Deed { asked: "load cuts.csv", before: &[] },
    Deed { asked: "load changed.csv --replace --formerly cuts.csv", before: &["load cuts.csv"] },
    Deed { asked: "cut Bank 300g --part --by Ida --on 2021-03-15", before: &[] },
    Deed { asked: "glance Bank 30kg --by Ida --on 2021-03-15", before: &[] },
    Deed { asked: "survey Bank 31 18 40 22 --frame 0.25 --by Ida --on 2021-03-15", before: &[] },
    Deed { asked: WALK, before: &[] },
    Deed { asked: "walk hold spring --recorded-on 2021-03-10", before: &[WALK] },
    Deed {
        asked: "walk settle spring --all --recorded-on 2021-03-21",
        before: &[WALK, "walk hold spring --recorded-on 2021-03-10"],
    },
    Deed { asked: "walk join spring 2+1 --called Cleo --recorded-on 2021-03-11", before: &[WALK] },
    Deed { asked: "walk leave spring Ann --recorded-on 2021-03-11", before: &[WALK] },
    Deed { asked: "walk name spring Ann Zoe", before: &[WALK] },
    Deed { asked: "walk cancel spring", before: &[WALK] },
    Deed { asked: "walk forget Ann", before: &[WALK] },
    Deed { asked: "walk hold spring --again --recorded-on 2021-03-11", before: HELD },
    Deed {
        asked: "walk settle spring --all --again --method scissors --recorded-on 2021-03-22",
        before: &[WALK, HOLD, "walk settle spring --all --recorded-on 2021-03-21"],
    },
    Deed {
        asked: "correct {walk} day=2021-03-22 --why rain --by Ida --recorded-on 2021-03-12",
        before: HELD,
    },
    Deed {
        asked: "correct {survey} note=dry --why asked --by Ida --recorded-on 2021-03-12",
        before: &[],
    },
    Deed { asked: "withdraw {survey} --why twice --by Ida --recorded-on 2021-03-12", before: &[] },
    Deed { asked: "load overrides.csv", before: &[] },
    Deed { asked: "load closures.csv glances.csv", before: &[] },
    Deed { asked: "retire Bank --why gone --by Ida --on 2021-03-12", before: &[] },
    Deed { asked: "redraw Bank part.json --by Ida --on 2021-03-12", before: &[] },
    Deed { asked: "split Bank halves.json --by Ida --on 2021-03-12", before: &[] },
    Deed {
        asked: "undo --by Ida --on 2021-03-12 --sure",
        before: &["split Bank halves.json --by Ida --on 2021-03-12"],
    },
    Deed {
        asked: "box --month 2021-04 --count 4 --each nettle-tops=50g --hold april --leader Ida \
                --recorded-on 2021-03-12",
        before: &[],
    },
    Deed {
        asked: "merge other.sqlite",
        before: &["--book other.sqlite cut Bank 90g --part --by Una --on 2021-03-12"],
    },
    Deed {
        asked: "restore other.sqlite",
        before: &["--book other.sqlite cut Bank 90g --part --by Una --on 2021-03-12"],
    },
];

/// With the short id of the last fact of a kind in the place of its name in braces.
fn with_ids(asked: &str, here: &Path) -> String {
    let book = Book::open(&here.join("stintbook.sqlite")).unwrap();
    let lines = book.history(&Scope::All).unwrap();
    lines.iter().fold(asked.to_owned(), |asked, line| {
        let name = format!("{{{}}}", line.fact.record.kind().name());
        asked.replace(&name, &line.fact.id.short())
    })
}

/// A deed, the folder in which it is to be done, and what the book is before and after it.
struct Case {
    asked: String,
    ready: PathBuf,
    before: Vec<String>,
    after: Vec<String>,
    /// System calls that change something.
    calls: u64,
}

fn cases(bench: &Bench) -> impl Iterator<Item = Case> {
    DEEDS.iter().enumerate().map(|(number, deed)| {
        let ready = bench.ready(&format!("ready-{number}"), deed.before);
        let before = state(&ready);
        let asked = with_ids(deed.asked, &ready);
        let whole = bench.folder.path().join(format!("whole-{number}"));
        copy(&ready, &whole);
        let done = bench.run(&whole, &asked, Some(("kill", 0)));
        assert!(done.status.success(), "{}", told(&done));
        let after = state(&whole);
        assert_ne!(before, after, "{asked} changed nothing");
        let calls = fs::read_to_string(whole.join("count")).unwrap().parse().unwrap();
        Case { asked, ready, before, after, calls }
    })
}

impl Case {
    /// What must hold of the book after the deed was stopped; says whether it was done.
    fn holds(&self, here: &Path, ended: &Output, how: &str) -> bool {
        let found = state(here);
        let told = format!("{}, {how}: {}", self.asked, told(ended));
        let is_after = found == self.after;
        assert!(is_after || found == self.before, "half a deed: {told}\n{found:#?}");
        let said = String::from_utf8_lossy(&ended.stdout);
        let refused = String::from_utf8_lossy(&ended.stderr);
        if ended.status.success() || said.contains("Recorded") {
            assert!(is_after, "said to be done: {told}");
        }
        if refused.contains("nothing was recorded") {
            assert!(!is_after, "said not to be done: {told}");
        }
        is_after
    }
}

/// Stops every deed at every `stride`th of its calls; gives how many points were tried.
fn stop_at_every(stride: u64, first: u64) -> u64 {
    // Cargo itself needs a linker to build this test, so one is as good as always there.
    let Some(bench) = Bench::new() else { return u64::MAX };
    let here = bench.folder.path().join("here");
    let mut points = 0;
    for case in cases(&bench) {
        for how in ["kill", "full", "short"] {
            for at in (1 + first..=case.calls).step_by(stride as usize) {
                let _ = fs::remove_dir_all(&here);
                copy(&case.ready, &here);
                let ended = bench.run(&here, &case.asked, Some((how, at)));
                case.holds(&here, &ended, &format!("{how} at {at} of {}", case.calls));
                points += 1;
            }
        }
    }
    points
}

#[test]
fn a_command_that_is_cut_off_or_meets_a_full_disk_tells_the_truth() {
    let points = stop_at_every(23, 7);
    assert!(points >= 20, "only {points} points were tried");
}

#[test]
#[ignore = "takes minutes: every call of every writing command"]
fn every_system_call_of_every_writing_command_may_be_the_last() {
    let points: u64 = stop_at_every(1, 0);
    assert!(points >= 2000, "only {points} points were tried");
}
