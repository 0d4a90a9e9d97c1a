//! The arrows between the folders are those that DEVELOPERS.md draws.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

const DEVELOPERS: &str = include_str!("../DEVELOPERS.md");

type Arrows = BTreeMap<String, BTreeSet<String>>;

/// Each folder of the table and the folders it may use; `cli` may use all.
fn drawn() -> Arrows {
    let table = DEVELOPERS.split("| folder | turns | may use |").nth(1).unwrap();
    let rows = table.lines().skip(2).take_while(|line| line.starts_with('|'));
    let mut arrows: Arrows = rows
        .map(|row| {
            let cells: Vec<&str> = row.trim_matches('|').split('|').collect();
            (in_backticks(cells[0]).pop_first().unwrap(), in_backticks(cells[2]))
        })
        .collect();
    let all = arrows.keys().cloned().collect();
    arrows.insert("cli".to_owned(), all);
    arrows
}

fn in_backticks(text: &str) -> BTreeSet<String> {
    text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Where each folder lies: in `src`, or in the crate of the core.
fn folders() -> BTreeMap<String, PathBuf> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let core = source.join("core");
    let entries = [&source, &core].into_iter().flat_map(|of| fs::read_dir(of).unwrap());
    let folders = entries.map(|entry| entry.unwrap().path());
    let folders = folders.filter(|path| path.is_dir() && *path != core);
    folders.map(|it| (it.file_name().unwrap().to_str().unwrap().to_owned(), it)).collect()
}

/// The folders that each folder's files name after `crate::`.
fn found() -> Arrows {
    let used = |folder: &Path| rust_files(folder).iter().flat_map(|file| uses(file)).collect();
    folders().into_iter().map(|(name, folder)| (name, used(&folder))).collect()
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let (folders, files): (Vec<_>, Vec<_>) = entries.partition(|path| path.is_dir());
    let here = files.into_iter().filter(|path| path.extension().is_some_and(|end| end == "rs"));
    here.chain(folders.iter().flat_map(|folder| rust_files(folder))).collect()
}

fn uses(file: &Path) -> BTreeSet<String> {
    let text = fs::read_to_string(file).unwrap();
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let name =
        |rest: &str| rest.split(|c: char| !c.is_ascii_lowercase()).next().unwrap().to_owned();
    code.flat_map(|line| line.split("crate::").skip(1).map(name).collect::<Vec<_>>()).collect()
}

#[test]
fn arrows_between_folders_are_those_drawn() {
    let (drawn, found) = (drawn(), found());
    assert_eq!(drawn.keys().collect::<Vec<_>>(), found.keys().collect::<Vec<_>>());
    for (folder, used) in found {
        for other in used.iter().filter(|other| **other != folder) {
            assert!(drawn[&folder].contains(other), "`{folder}` uses `{other}`");
        }
    }
}

#[test]
fn the_drawn_arrows_make_no_circle() {
    let mut left = drawn();
    while let Some(free) = left.iter().find(|(_, uses)| uses.iter().all(|u| !left.contains_key(u)))
    {
        let free = free.0.clone();
        left.remove(&free);
    }
    // `cli` alone is drawn as using everything, itself included.
    assert_eq!(left.keys().collect::<Vec<_>>(), ["cli"]);
}

/// Folders that hold figures, facts and refusals. Refusals begin with a small letter; what an
/// answer says begins with a capital, and is worded in `report`.
const WITHOUT_SENTENCES: [&str; 14] = [
    "assess",
    "book",
    "cli",
    "crop",
    "estimate",
    "gate",
    "ground",
    "maps",
    "regrowth",
    "rehearsal",
    "rules",
    "sampling",
    "units",
    "walk",
];

#[test]
fn no_sentence_begins_outside_the_folder_that_words_answers() {
    let folders = folders();
    let mut read = 0;
    let mut found: Vec<String> = Vec::new();
    for file in WITHOUT_SENTENCES.iter().flat_map(|folder| rust_files(&folders[*folder])) {
        let text = fs::read_to_string(&file).unwrap();
        let begun = literals(&text).into_iter().inspect(|_| read += 1).filter(|it| is_sentence(it));
        found.extend(begun.map(|sentence| format!("{}: {sentence}", file.display())));
    }
    assert!(read > 1000, "only {read} texts were read");
    assert!(found.is_empty(), "worded outside `report`:\n{}", found.join("\n"));
}

/// Folders that hold figures and nothing to read: a refusal alone says why, in its `#[error]`, and
/// what cannot be, in its `expect`. A published figure's source stands beside it.
const WITHOUT_PROSE: [&str; 10] = [
    "assess",
    "crop",
    "estimate",
    "ground",
    "pressure",
    "regrowth",
    "rehearsal",
    "rules",
    "sampling",
    "walk",
];

/// By which a verdict or a rule is known: a name, however many words it has.
const NAMES: [&str; 3] = ["out of season", "code of practice", "cuts per season"];

#[test]
fn no_prose_stands_among_figures() {
    let folders = folders();
    let mut read = 0;
    let mut found: Vec<String> = Vec::new();
    let of_folder = |folder: &&str| rust_files(&folders[*folder]);
    let files = WITHOUT_PROSE.iter().flat_map(of_folder);
    for file in files.filter(|file| !file.ends_with("pressure/resistance.rs")) {
        let text = fs::read_to_string(&file).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap();
        let told = literals(code).into_iter().inspect(|_| read += 1).filter(|it| is_prose(it));
        let told = told.filter(|it| !NAMES.contains(&&**it));
        found.extend(told.map(|prose| format!("{}: {prose}", file.display())));
    }
    assert!(read > 30, "only {read} texts were read");
    assert!(found.is_empty(), "worded outside `report`:\n{}", found.join("\n"));
}

/// Three words or more in small letters, wherever they stand; what is filled in is no word.
fn is_prose(text: &str) -> bool {
    let filled = text.split('{').map(|part| part.split_once('}').map_or(part, |(_, rest)| rest));
    let words = filled.flat_map(str::split_whitespace).filter(|word| {
        let word = word.trim_matches(|letter: char| !letter.is_alphanumeric());
        word.len() > 1 && word.chars().all(|letter| letter.is_ascii_lowercase() || letter == '\'')
    });
    words.count() >= 3
}

#[test]
fn prose_is_told_from_names_and_figures() {
    assert!(is_prose("{}: {amount} was taken there"));
    assert!(is_prose(", if it is surveyed by then"));
    assert!(!is_prose("out of {season}"));
    assert!(!is_prose("{patch} {amount} {of_crop} {day}"));
}

/// A capital, and three words or more in small letters.
fn is_sentence(text: &str) -> bool {
    let mut letters = text.trim_start().chars();
    let begins = letters.next().is_some_and(|first| first.is_ascii_uppercase())
        && letters.next().is_some_and(|second| second.is_ascii_lowercase() || second == ' ');
    let words = text.split_whitespace().filter(|word| {
        word.trim_matches(|letter: char| !letter.is_alphanumeric()).len() > 1
            && word.starts_with(|first: char| first.is_ascii_lowercase())
    });
    begins && words.count() >= 3
}

#[test]
fn a_sentence_is_told_from_a_phrase_and_a_help_text_is_left_out() {
    assert!(is_sentence(" It opens again on {}{}."));
    assert!(!is_sentence("say --sure if it is meant"));
    assert!(!is_sentence("TOO FEW of them all"));
    let code =
        "#[command(after_help = \"Examples:\\n one two three\")]\nlet a = \"b \\\n  c\"; // \"d\"";
    assert_eq!(literals(code), ["b c"]);
}

/// The texts between quotation marks, but for comments and what describes a command line.
fn literals(code: &str) -> Vec<String> {
    let code: Vec<&str> = code.lines().map(|line| line.split(" // ").next().unwrap()).collect();
    let code = code.iter().filter(|line| !line.trim_start().starts_with("//"));
    let code = code.copied().collect::<Vec<_>>().join("\n");
    let mut texts = Vec::new();
    let (mut rest, mut is_help) = (&*code, false);
    while let Some(start) = rest.find('"') {
        let before = &rest[..start];
        is_help = match before.rfind("#[") {
            Some(opens) => !before[opens..].contains("]\n"),
            None => is_help && !before.contains("]\n"),
        };
        let inside = &rest[start + 1..];
        let end = ends(inside);
        let is_told = !before.ends_with('\'') && !before.ends_with(".expect(");
        if !is_help && is_told {
            texts.push(joined(&inside[..end]));
        }
        rest = inside.get(end + 1..).unwrap_or_default();
    }
    texts
}

/// Where a text ends that has just begun.
fn ends(text: &str) -> usize {
    let mut escaped = false;
    let end = text.find(|letter| {
        let ends = letter == '"' && !escaped;
        escaped = letter == '\\' && !escaped;
        ends
    });
    end.unwrap_or(text.len())
}

/// Without the line breaks that are there for the width of the code alone.
fn joined(text: &str) -> String {
    let mut parts = text.split("\\\n");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |joined, part| joined + part.trim_start())
}
