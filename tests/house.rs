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

/// The folders that each folder's files name after `crate::`.
fn found() -> Arrows {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let folders = fs::read_dir(&source).unwrap().map(|entry| entry.unwrap().path());
    let folders = folders.filter(|path| path.is_dir());
    folders
        .map(|folder| {
            let name = folder.file_name().unwrap().to_str().unwrap().to_owned();
            let used = rust_files(&folder).iter().flat_map(|file| uses(file)).collect();
            (name, used)
        })
        .collect()
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
