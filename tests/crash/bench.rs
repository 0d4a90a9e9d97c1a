//! Folders with a book in them, and the program with the shim before it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use stintbook::book::{Book, Scope};

/// What every book begins with.
pub const FIRST_LOAD: &str = "load places.geojson permissions.csv surveys.csv";
/// Before that.
pub const EMPTY: &[&str] = &[""];

const PLACES: &str = r#"{"type": "FeatureCollection", "by": "Ida", "date": "2020-01-02", "features": [
 {"type": "Feature", "properties": {"kind": "site", "name": "Hill", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-20.0,48.0],[-19.99,48.0],[-19.99,48.01],[-20.0,48.01],[-20.0,48.0]]]}},
 {"type": "Feature", "properties": {"kind": "patch", "name": "Bank", "site": "Hill", "crop": "nettle-tops", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-19.999,48.001],[-19.9985,48.001],[-19.9985,48.0015],[-19.999,48.0015],[-19.999,48.001]]]}}
]}"#;
/// A second site, with a patch of its own.
const MOOR: &str = r#"{"type": "FeatureCollection", "by": "Ida", "date": "2020-01-02", "features": [
 {"type": "Feature", "properties": {"kind": "site", "name": "Moor", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-19.98,48.0],[-19.97,48.0],[-19.97,48.01],[-19.98,48.01],[-19.98,48.0]]]}},
 {"type": "Feature", "properties": {"kind": "patch", "name": "Edge", "site": "Moor", "crop": "nettle-tops", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-19.979,48.001],[-19.9785,48.001],[-19.9785,48.0015],[-19.979,48.0015],[-19.979,48.001]]]}}
]}"#;
const PERMISSIONS: &str = "site,basis,for,from,by,recorded_on\nHill,written,own use; walk; sale,2020-01-01,Ida,2020-01-01\n";
const SURVEYS: &str = "patch,date,by,frame_area_m2,mass_g,recorded_on\n\
    Hill/Bank,2021-03-01,Ida,0.25,30,2021-03-01\nHill/Bank,2021-03-01,Ida,0.25,44,2021-03-01\n\
    Hill/Bank,2021-03-01,Ida,0.25,22,2021-03-01\nHill/Bank,2021-03-01,Ida,0.25,35,2021-03-01\n";
const CUTS: &str = "patch,date,by,mass_g,taken,recorded_on\n\
    Hill/Bank,2021-03-05,Ida,100,part,2021-03-05\nHill/Bank,2021-03-06,Ben,120,part,2021-03-06\n";
const CHANGED: &str = "patch,date,by,mass_g,taken,recorded_on\n\
    Hill/Bank,2021-03-05,Ida,150,part,2021-03-05\nHill/Bank,2021-03-06,Ben,120,part,2021-03-06\n";
const PARTIES: &str = "party,adults\nAnn,2\nBea,1\n";
const OVERRIDES: &str = "site,patch,crop,field,value,source,date,by,recorded_on\n\
    Hill,Bank,nettle-tops,reserve,0.3,our own,2021-03-02,Ida,2021-03-02\n";
const CLOSURES: &str = "site,patch,from,to,reason,by,recorded_on\n\
    Hill,Bank,2021-05-01,2021-06-01,nests,Ida,2021-03-02\n";
const GLANCES: &str =
    "patch,date,by,standing,recorded_on\nHill/Bank,2021-03-03,Ida,30kg,2021-03-03\n";

/// Two thirds of the bank.
const PART: &str = r#"{"type": "Polygon", "coordinates":
 [[[-19.999,48.001],[-19.99866,48.001],[-19.99866,48.0015],[-19.999,48.0015],[-19.999,48.001]]]}"#;
const HALVES: &str = r#"{"type": "FeatureCollection", "features": [
 {"type": "Feature", "properties": {"name": "West"}, "geometry": {"type": "Polygon", "coordinates":
  [[[-19.999,48.001],[-19.99875,48.001],[-19.99875,48.0015],[-19.999,48.0015],[-19.999,48.001]]]}},
 {"type": "Feature", "properties": {"name": "East"}, "geometry": {"type": "Polygon", "coordinates":
  [[[-19.99875,48.001],[-19.9985,48.001],[-19.9985,48.0015],[-19.99875,48.0015],[-19.99875,48.001]]]}}
]}"#;

/// A book in a folder, and the program with the shim before it.
pub struct Bench {
    pub folder: tempfile::TempDir,
    shim: PathBuf,
}

impl Bench {
    /// `None` where there is no C compiler.
    pub fn new() -> Option<Self> {
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

    /// A fresh folder in which `before` was done behind the first load, or nothing where it is
    /// [`EMPTY`].
    pub fn ready(&self, name: &str, before: &[&str]) -> PathBuf {
        let here = self.folder.path().join(name);
        fs::create_dir_all(&here).unwrap();
        for (file, text) in [
            ("places.geojson", PLACES),
            ("moor.geojson", MOOR),
            ("permissions.csv", PERMISSIONS),
            ("surveys.csv", SURVEYS),
            ("cuts.csv", CUTS),
            ("changed.csv", CHANGED),
            ("parties.csv", PARTIES),
            ("overrides.csv", OVERRIDES),
            ("closures.csv", CLOSURES),
            ("glances.csv", GLANCES),
            ("part.json", PART),
            ("halves.json", HALVES),
        ] {
            fs::write(here.join(file), text).unwrap();
        }
        Book::create(&here.join("stintbook.sqlite")).unwrap();
        let done = [FIRST_LOAD].iter().chain(before).filter(|_| before != EMPTY);
        for (number, asked) in done.enumerate() {
            if number == 1 {
                let book = here.join("stintbook.sqlite");
                fs::copy(book, here.join("other.sqlite")).unwrap();
            }
            let done = self.run(&here, asked, None);
            assert!(done.status.success(), "{asked}: {}", String::from_utf8_lossy(&done.stderr));
        }
        here
    }

    pub fn run(&self, here: &Path, asked: &str, stop: Option<(&str, u64)>) -> Output {
        let mut command = command(here, asked);
        if let Some((how, at)) = stop {
            command.env("LD_PRELOAD", &self.shim).env("STINTBOOK_STOP_HOW", how);
            command.env("STINTBOOK_STOP_AT", at.to_string());
            command.env("STINTBOOK_STOP_COUNT", here.join("count"));
        }
        command.output().unwrap()
    }
}

/// What is asked, in a folder.
pub fn command(here: &Path, asked: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stintbook"));
    command.args(asked.split_whitespace()).current_dir(here).stdin(Stdio::null());
    command.env_remove("STINTBOOK").env("COLUMNS", "80");
    command
}

/// What a book holds, without the ids that are drawn: each fact's gist and fate, and the names.
pub fn state(here: &Path) -> Vec<String> {
    state_of(&here.join("stintbook.sqlite"))
}

/// As [`state`], of the book in that file.
pub fn state_of(file: &Path) -> Vec<String> {
    let book = Book::open(file).unwrap();
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

/// With the folders in it.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let there = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &there);
        } else {
            fs::copy(entry.path(), there).unwrap();
        }
    }
}

/// What a command said: its status, its output and its problems.
pub fn told(ended: &Output) -> String {
    format!(
        "{:?}\n{}{}",
        ended.status,
        String::from_utf8_lossy(&ended.stdout),
        String::from_utf8_lossy(&ended.stderr)
    )
}
