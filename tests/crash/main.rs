//! A command that is cut off, or meets a full disk, leaves the book as it was or as it should
//! be, and its last word is true.
//!
//! A shim before the C library stops each writing command at each of its system calls that
//! change anything: once by a kill, once by a full disk.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use stintbook::book::{Book, Scope};

const PLACES: &str = r#"{"type": "FeatureCollection", "by": "Ida", "date": "2020-01-02", "features": [
 {"type": "Feature", "properties": {"kind": "site", "name": "Hill", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-20.0,48.0],[-19.99,48.0],[-19.99,48.01],[-20.0,48.01],[-20.0,48.0]]]}},
 {"type": "Feature", "properties": {"kind": "patch", "name": "Bank", "site": "Hill", "crop": "nettle-tops", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-19.999,48.001],[-19.9985,48.001],[-19.9985,48.0015],[-19.999,48.0015],[-19.999,48.001]]]}}
]}"#;
const PERMISSIONS: &str =
    "site,basis,from,by,recorded_on\nHill,written,2020-01-01,Ida,2020-01-01\n";
const SURVEYS: &str = "patch,date,by,frame_area_m2,mass_g,recorded_on\n\
    Hill/Bank,2021-03-01,Ida,0.25,30,2021-03-01\nHill/Bank,2021-03-01,Ida,0.25,44,2021-03-01\n\
    Hill/Bank,2021-03-01,Ida,0.25,22,2021-03-01\nHill/Bank,2021-03-01,Ida,0.25,35,2021-03-01\n";
const CUTS: &str = "patch,date,by,mass_g,taken,recorded_on\n\
    Hill/Bank,2021-03-05,Ida,100,part,2021-03-05\nHill/Bank,2021-03-06,Ben,120,part,2021-03-06\n";
const CHANGED: &str = "patch,date,by,mass_g,taken,recorded_on\n\
    Hill/Bank,2021-03-05,Ida,150,part,2021-03-05\nHill/Bank,2021-03-06,Ben,120,part,2021-03-06\n";
const PARTIES: &str = "party,adults\nAnn,2\nBea,1\n";
const WALK: &str = "walk new spring --on 2021-03-20 --leader Ida --site Hill \
    --parties parties.csv --want nettle-tops=500g --recorded-on 2021-03-10 --seed 3";

const HOLD: &str = "walk hold spring --recorded-on 2021-03-10";
const HELD: &[&str] = &[WALK, HOLD];
const OVERRIDES: &str = "site,patch,crop,field,value,source,date,by,recorded_on\n\
    Hill,Bank,nettle-tops,reserve,0.3,our own,2021-03-02,Ida,2021-03-02\n";
const CLOSURES: &str = "site,patch,from,to,reason,by,recorded_on\n\
    Hill,Bank,2021-05-01,2021-06-01,nests,Ida,2021-03-02\n";
const GLANCES: &str =
    "patch,date,by,standing,recorded_on\nHill/Bank,2021-03-03,Ida,30kg,2021-03-03\n";

/// A command, what leads up to it, and whether it prints more than it changes.
struct Deed {
    asked: &'static str,
    before: &'static [&'static str],
}

const DEEDS: &[Deed] = &[
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

/// A book in a folder, and the program with the shim before it.
struct Bench {
    folder: tempfile::TempDir,
    shim: PathBuf,
}

impl Bench {
    /// `None` where there is no C compiler.
    fn new() -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let shim = folder.path().join("shim.so");
        let source = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/crash/shim.c");
        let made = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1", "-o"])
            .arg(&shim)
            .args([source, "-ldl"])
            .status();
        made.is_ok_and(|status| status.success()).then_some(Self { folder, shim })
    }

    /// A fresh folder in which `before` was done.
    fn ready(&self, name: &str, before: &[&str]) -> PathBuf {
        let here = self.folder.path().join(name);
        fs::create_dir_all(&here).unwrap();
        for (file, text) in [
            ("places.geojson", PLACES),
            ("permissions.csv", PERMISSIONS),
            ("surveys.csv", SURVEYS),
            ("cuts.csv", CUTS),
            ("changed.csv", CHANGED),
            ("parties.csv", PARTIES),
            ("overrides.csv", OVERRIDES),
            ("closures.csv", CLOSURES),
            ("glances.csv", GLANCES),
        ] {
            fs::write(here.join(file), text).unwrap();
        }
        Book::create(&here.join("stintbook.sqlite")).unwrap();
        for (number, asked) in
            ["load places.geojson permissions.csv surveys.csv"].iter().chain(before).enumerate()
        {
            if number == 1 {
                let book = here.join("stintbook.sqlite");
                fs::copy(book, here.join("other.sqlite")).unwrap();
            }
            let done = self.run(&here, asked, None);
            assert!(done.status.success(), "{asked}: {}", String::from_utf8_lossy(&done.stderr));
        }
        here
    }

    fn run(&self, here: &Path, asked: &str, stop: Option<(&str, u64)>) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
        command.args(asked.split_whitespace()).current_dir(here).stdin(Stdio::null());
        command.env_remove("STINTBOOK").env("COLUMNS", "80");
        if let Some((how, at)) = stop {
            command.env("LD_PRELOAD", &self.shim).env("STINTBOOK_STOP_HOW", how);
            command.env("STINTBOOK_STOP_AT", at.to_string());
            command.env("STINTBOOK_STOP_COUNT", here.join("count"));
        }
        command.output().unwrap()
    }
}

/// What a book holds, without the ids that are drawn: each fact's gist and fate, and the names.
fn state(here: &Path) -> Vec<String> {
    let book = Book::open(&here.join("stintbook.sqlite")).unwrap();
    let lines = book.history(&Scope::All).unwrap();
    let mut state: Vec<String> = lines
        .iter()
        .map(|line| {
            let kind = line.fact.record.kind().name();
            format!("{kind} {} counts: {}", line.key, line.counts())
        })
        .collect();
    let walks = lines.iter().filter_map(|line| match &line.fact.record {
        stintbook::records::Record::Walk(walk) => Some(walk.name.clone()),
        _ => None,
    });
    for walk in walks {
        let names = book.attendees(&walk).unwrap();
        state.extend(names.iter().map(|name| format!("{} is {}", name.party, name.name)));
    }
    state.sort();
    assert_eq!(book.integrity().unwrap(), Vec::<String>::new());
    state
}

/// With the short id of the last fact of a kind in the place of its name in braces.
fn with_ids(asked: &str, here: &Path) -> String {
    let book = Book::open(&here.join("stintbook.sqlite")).unwrap();
    let lines = book.history(&Scope::All).unwrap();
    lines.iter().fold(asked.to_owned(), |asked, line| {
        let name = format!("{{{}}}", line.fact.record.kind().name());
        asked.replace(&name, &line.fact.id.short())
    })
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

/// Stops every deed at every `stride`th of its calls; gives how many points were tried.
fn stop_at_every(stride: u64, first: u64) -> u64 {
    let Some(bench) = Bench::new() else {
        // Cargo itself needs a linker to build this test, so one is as good as always there.
        return u64::MAX;
    };
    let mut points = 0;
    for (number, deed) in DEEDS.iter().enumerate() {
        let ready = bench.ready(&format!("ready-{number}"), deed.before);
        let before = state(&ready);
        let asked = &with_ids(deed.asked, &ready);
        let whole = bench.folder.path().join(format!("whole-{number}"));
        copy(&ready, &whole);
        let done = bench.run(&whole, asked, Some(("kill", 0)));
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        let after = state(&whole);
        assert_ne!(before, after, "{asked} changed nothing");
        let calls: u64 = fs::read_to_string(whole.join("count")).unwrap().parse().unwrap();
        for (how, at) in ["kill", "full", "short"]
            .into_iter()
            .flat_map(|how| (1 + first..=calls).step_by(stride as usize).map(move |at| (how, at)))
        {
            let here = bench.folder.path().join("here");
            let _ = fs::remove_dir_all(&here);
            copy(&ready, &here);
            let ended = bench.run(&here, asked, Some((how, at)));
            let found = state(&here);
            let told = format!(
                "{asked} at call {at} of {calls}, {how}: {:?}\n{}{}",
                ended.status,
                String::from_utf8_lossy(&ended.stdout),
                String::from_utf8_lossy(&ended.stderr)
            );
            let is_after = found == after;
            assert!(is_after || found == before, "half a deed: {told}\n{found:#?}");
            let said = String::from_utf8_lossy(&ended.stdout);
            let refused = String::from_utf8_lossy(&ended.stderr);
            if ended.status.success() || said.contains("Recorded") {
                assert!(is_after, "said to be done: {told}");
            }
            if refused.contains("nothing was recorded") {
                assert!(!is_after, "said not to be done: {told}");
            }
            points += 1;
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
