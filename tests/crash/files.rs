//! A command that writes files and is cut off, or meets a full disk, leaves each of them as it was
//! or as it should be: never half of one, nothing that could be taken for one, and no untrue word.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::Mutex;

use rusqlite::Connection;

use crate::bench::{Bench, copy, state_of, told};

/// A command that writes files, and what leads up to it.
struct Deed {
    asked: &'static str,
    before: &'static [&'static str],
    /// Asked again after it was cut off, it does what it should have done.
    can_be_asked_again: bool,
}

const fn deed(asked: &'static str, before: &'static [&'static str]) -> Deed {
    Deed { asked, before, can_be_asked_again: true }
}

const CUT: &str = "cut Bank 300g --part --by Ida --on 2021-03-15 --recorded-on 2021-03-15";
const WALK: &str = "walk new spring --on 2021-03-20 --leader Ida --site Hill --adults 2 \
    --want nettle-tops=500g --recorded-on 2021-03-10 --seed 3";
const OTHER: &str = "--book other.sqlite cut Bank 90g --part --by Una --on 2021-03-12";
const REPORT: &str = "report Hill --season 2020/21";
const PRESSURE: &str = "pressure --season 2020/21 --on 2021-04-01 --reports plots";
const REHEARSE: &str = "rehearse --season 2020/21 --on 2021-03-16 --weekly 500g --runs 20 --seed 5";
const SHEET: &str = "walk sheet spring --recorded-on 2021-03-16 --out sheets/spring.html";

/// What is asked of every book that stands here: the first leaves nothing behind to begin with,
/// those with something before them find an earlier file in the place.
const DEEDS: &[Deed] = &[
    deed("export out --whole", &[CUT]),
    Deed { can_be_asked_again: false, ..deed("export plots --whole", &[PRESSURE, CUT]) },
    deed(REPORT, &[]),
    deed(REPORT, &[REPORT, CUT]),
    deed("report --all --season 2020/21", &["load moor.geojson"]),
    deed("report Hill --format md --reports pages", &[CUT]),
    deed(PRESSURE, &["load moor.geojson", PRESSURE, CUT]),
    deed(SHEET, &[WALK]),
    deed(SHEET, &[WALK, SHEET, "walk hold spring --recorded-on 2021-03-15"]),
    deed(REHEARSE, &[]),
    deed("backup copy.sqlite", &[CUT]),
    deed("backup copy.sqlite --over", &["backup copy.sqlite", CUT]),
    Deed { can_be_asked_again: false, ..deed("restore other.sqlite", &[OTHER]) },
    // Done the first time, it keeps what it did aside the second.
    Deed { can_be_asked_again: false, ..deed("--book gone.sqlite restore other.sqlite", &[OTHER]) },
    deed("new land", &[]),
    deed("demo", &[]),
    deed("demo", &["demo", "--book demo.sqlite --on 2027-03-15 cut 70b4d3a8 40g --part --by Ida"]),
    deed("--book old.sqlite history", &[]),
    deed("merge old.sqlite", &[]),
];

/// What a file holds.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Content {
    Bytes(Vec<u8>),
    /// A book, told by its facts, since their ids are drawn. An older layout is another content.
    Book(i64, Vec<String>),
}

/// What lies in a folder and the folders in it, by path. What SQLite keeps beside a book is part
/// of the book.
fn contents(here: &Path) -> BTreeMap<PathBuf, Content> {
    let mut found = BTreeMap::new();
    gather(here, here, &mut found);
    found
}

fn gather(root: &Path, here: &Path, found: &mut BTreeMap<PathBuf, Content>) {
    for entry in fs::read_dir(here).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            gather(root, &path, found);
        } else if name != "count"
            && !["-wal", "-shm", "-journal"].iter().any(|it| name.ends_with(it))
        {
            let content = match name.ends_with(".sqlite") {
                true => book(&path),
                false => Content::Bytes(fs::read(&path).unwrap()),
            };
            found.insert(path.strip_prefix(root).unwrap().to_owned(), content);
        }
    }
}

/// Looked at in a copy, since a look may bring a book up to date; and once only, since most files
/// are what they were.
fn book(path: &Path) -> Content {
    static SEEN: Mutex<BTreeMap<u64, Content>> = Mutex::new(BTreeMap::new());
    let mut hasher = DefaultHasher::new();
    for end in ["", "-wal", "-journal"] {
        fs::read(format!("{}{end}", path.display())).unwrap_or_default().hash(&mut hasher);
    }
    let bytes = hasher.finish();
    if let Some(seen) = SEEN.lock().unwrap().get(&bytes) {
        return seen.clone();
    }
    let found = looked_at(path);
    SEEN.lock().unwrap().insert(bytes, found.clone());
    found
}

fn looked_at(path: &Path) -> Content {
    let looked_at = tempfile::tempdir().unwrap();
    let name = path.file_name().unwrap();
    for end in ["", "-wal", "-journal"] {
        let with_end = |path: &Path| PathBuf::from(format!("{}{end}", path.display()));
        let (from, to) = (with_end(path), with_end(&looked_at.path().join(name)));
        assert!(fs::copy(from, to).is_ok() || !end.is_empty());
    }
    let copy = looked_at.path().join(name);
    let file = Connection::open(&copy).unwrap();
    let layout = file.pragma_query_value(None, "user_version", |row| row.get(0));
    let layout: i64 = layout.unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    drop(file);
    Content::Book(layout, state_of(&copy))
}

/// Whether a name tells that the file is no result, so that nobody takes it for one.
fn is_marked_as_a_part(path: &Path) -> bool {
    path.components().any(|part| part.as_os_str().to_string_lossy().ends_with(".part"))
}

/// What is there in one of the two and not, or otherwise, in the other.
fn others<'a>(
    one: &'a BTreeMap<PathBuf, Content>,
    other: &'a BTreeMap<PathBuf, Content>,
) -> Vec<(&'a Path, Option<&'a Content>, Option<&'a Content>)> {
    let paths: BTreeSet<&PathBuf> = one.keys().chain(other.keys()).collect();
    let both = paths.into_iter().map(|path| (path.as_path(), one.get(path), other.get(path)));
    both.filter(|(_, one, other)| one != other).collect()
}

/// What a command says that it wrote.
fn written(said: &str) -> BTreeSet<PathBuf> {
    let named = |line: &str| -> Option<PathBuf> {
        ["Written: ", "Drawn: "].iter().find_map(|start| Some(line.strip_prefix(start)?.into()))
    };
    said.lines().filter_map(named).collect()
}

/// The files that a problem names as written, and those of which it says that nothing was.
fn told_of(problems: &str) -> (Vec<PathBuf>, Vec<PathBuf>) {
    let in_ticks = |text: &str| -> Vec<PathBuf> {
        text.split('`').skip(1).step_by(2).map(PathBuf::from).collect()
    };
    let (mut done, mut not_done) = (Vec::new(), Vec::new());
    for line in problems.lines().filter(|line| line.contains("could not write `")) {
        match line.split_once("these were written: ") {
            Some((_, files)) => done.extend(in_ticks(files)),
            None if line.contains(" was written") => not_done.extend(in_ticks(line)),
            None => {}
        }
    }
    (done, not_done)
}

/// A deed, the folder in which it is to be done, and what is there before and after it.
pub struct Case {
    pub asked: &'static str,
    can_be_asked_again: bool,
    pub ready: PathBuf,
    old: BTreeMap<PathBuf, Content>,
    new: BTreeMap<PathBuf, Content>,
    /// System calls that change something.
    pub calls: u64,
}

pub fn cases(bench: &Bench) -> impl Iterator<Item = Case> {
    DEEDS.iter().enumerate().map(|(number, deed)| {
        let Deed { asked, before, can_be_asked_again } = *deed;
        let ready = bench.ready(&format!("files-{number}"), before);
        an_older_book(&ready.join("old.sqlite"));
        let old = contents(&ready);
        let whole = bench.folder.path().join(format!("whole-files-{number}"));
        copy(&ready, &whole);
        let done = bench.run(&whole, asked, Some(("kill", 0)));
        assert!(done.status.success(), "{asked}: {}", told(&done));
        let new = contents(&whole);
        assert_ne!(old, new, "{asked} changed nothing");
        let calls = fs::read_to_string(whole.join("count")).unwrap().parse().unwrap();
        Case { asked, can_be_asked_again, ready, old, new, calls }
    })
}

impl Case {
    /// What must hold in the folder after the deed was stopped; says whether all of it was done.
    pub fn holds(&self, bench: &Bench, here: &Path, ended: &Output, how: &str) -> bool {
        let Self { asked, old, new, .. } = self;
        let told = format!("{asked}, {how}: {}", told(ended));
        let found = contents(here);
        for (path, content) in &found {
            let is_part = is_marked_as_a_part(path);
            assert!(
                is_part || old.get(path) == Some(content) || new.get(path) == Some(content),
                "{} is neither the old one nor the new: {content:?}\n{told}",
                path.display()
            );
            // A disk that is full still lets go of what is there.
            let may_stay = how.starts_with("kill") || how.starts_with("full");
            assert!(!is_part || may_stay, "{} was left: {told}", path.display());
        }
        for path in old.keys().filter(|path| new.contains_key(*path)) {
            assert!(found.contains_key(path), "{} is gone: {told}", path.display());
        }
        let said = String::from_utf8_lossy(&ended.stdout);
        let (done, not_done) = told_of(&String::from_utf8_lossy(&ended.stderr));
        for path in written(&said).iter().chain(&done) {
            assert_eq!(found.get(path), new.get(path), "{} as told: {told}", path.display());
        }
        for path in &not_done {
            assert_eq!(found.get(path), old.get(path), "{} as told: {told}", path.display());
        }
        match ended.status.code() {
            Some(0) => {
                let others = others(&found, new);
                assert!(others.is_empty(), "said to be done: {told}\n{others:?}");
            }
            Some(code) => assert_eq!(code, 3, "{told}"),
            None => assert!(how.starts_with("kill"), "{told}"),
        }
        // A part may be left of what is done already.
        let whole = found.iter().filter(|(path, _)| !is_marked_as_a_part(path));
        let is_done = whole.eq(new.iter());
        if self.can_be_asked_again && !is_done {
            let again = bench.run(here, asked, None);
            assert!(again.status.success(), "{told}\nagain: {}", self::told(&again));
            let mut found = contents(here);
            found.retain(|path, _| !is_marked_as_a_part(path));
            let others = others(&found, new);
            assert!(others.is_empty(), "asked again: {told}\n{others:?}");
        }
        is_done
    }
}

/// Stops each deed at every `stride`th of its calls, and at no more than some `most` of them for
/// each way to stop; gives how many points were tried.
fn stop_at_every(stride: u64, first: u64, most: u64) -> u64 {
    let Some(bench) = Bench::new() else { return u64::MAX };
    let here = bench.folder.path().join("here");
    let mut points = 0;
    for case in cases(&bench) {
        let stride = stride.max(case.calls / most) as usize;
        for how in ["kill", "full", "short"] {
            for at in (1 + first.min(case.calls / 2)..=case.calls).step_by(stride) {
                let _ = fs::remove_dir_all(&here);
                copy(&case.ready, &here);
                let ended = bench.run(&here, case.asked, Some((how, at)));
                case.holds(&bench, &here, &ended, &format!("{how} at {at} of {}", case.calls));
                points += 1;
            }
        }
    }
    points
}

/// A book of the third layout, as the last program that wrote such books left it.
fn an_older_book(path: &Path) {
    let file = Connection::open(path).unwrap();
    file.pragma_update(None, "foreign_keys", false).unwrap();
    file.execute_batch(include_str!("../fixtures/book/layout_3.sql")).unwrap();
    file.pragma_update(None, "application_id", 0x7374_626b).unwrap();
    file.pragma_update(None, "user_version", 3).unwrap();
}

#[test]
fn a_file_is_the_old_one_or_the_whole_new_one_wherever_its_writer_stops() {
    let points = stop_at_every(1, 3, 3);
    assert!(points >= 100, "only {points} points were tried");
}

#[test]
#[ignore = "takes minutes: every call of every command that writes files"]
fn every_system_call_of_every_command_that_writes_files_may_be_the_last() {
    let points = stop_at_every(1, 0, u64::MAX);
    assert!(points >= 2000, "only {points} points were tried");
}
