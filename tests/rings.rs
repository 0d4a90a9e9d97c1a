//! Inside a folder, files use those below them: lists stand above, the pieces they share below.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Folders whose files still import each other in a ring. Take names out, add none.
const KNOTTED: [&str; 3] = ["book", "rehearsal", "report"];

/// Each module of a folder, like `intake/method`, with the modules of the folder that it imports.
type Imports = BTreeMap<String, BTreeSet<String>>;

fn imports(folder: &Path) -> Imports {
    let root = folder.file_name().unwrap().to_str().unwrap().to_owned();
    let mut texts = BTreeMap::new();
    read(folder, &root, &mut texts);
    let modules: BTreeSet<String> = texts.keys().cloned().collect();
    let imported = |module: &str, text: &str| {
        let paths = used(text).into_iter();
        let found = paths.filter_map(|path| resolved(&path, module, &root, &modules));
        found.filter(|other| other != module).collect()
    };
    texts.iter().map(|(module, text)| (module.clone(), imported(module, text))).collect()
}

fn read(folder: &Path, module: &str, texts: &mut BTreeMap<String, String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap();
        if path.is_dir() {
            read(&path, &format!("{module}/{stem}"), texts);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let own = if stem == "mod" { module.to_owned() } else { format!("{module}/{stem}") };
            texts.insert(own, fs::read_to_string(&path).unwrap());
        }
    }
}

/// The paths of a file's `use` statements, one for each name; tests and comments have no say.
fn used(text: &str) -> Vec<Vec<String>> {
    let code = text.split("#[cfg(test)]").next().unwrap();
    let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    let code: String = lines.map(|line| format!("{line} ")).collect();
    let mut paths = Vec::new();
    for statement in code.split(" use ").skip(1).chain(code.strip_prefix("use ")) {
        expand(&[], statement.split(';').next().unwrap(), &mut paths);
    }
    paths
}

fn expand(before: &[String], text: &str, paths: &mut Vec<Vec<String>>) {
    let segments = |text: &str| -> Vec<String> {
        let names = text.split(" as ").next().unwrap().split("::").map(str::trim);
        before.iter().cloned().chain(names.filter(|n| !n.is_empty()).map(str::to_owned)).collect()
    };
    let Some((head, group)) = text.split_once('{') else {
        paths.push(segments(text));
        return;
    };
    let (head, group) = (segments(head), group.rsplit_once('}').map_or("", |(group, _)| group));
    let (mut depth, mut from) = (0, 0);
    for (at, c) in group.char_indices().chain([(group.len(), ',')]) {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                expand(&head, &group[from..at], paths);
                from = at + 1;
            }
            _ => {}
        }
    }
}

/// The module of the folder that a path leads to, if it leads to one.
fn resolved(
    path: &[String],
    module: &str,
    root: &str,
    modules: &BTreeSet<String>,
) -> Option<String> {
    let parent = || module.rsplit_once('/').map(|(parent, _)| parent.to_owned());
    let (mut at, rest) = match path.first().map(String::as_str) {
        Some("super") => (parent()?, &path[1..]),
        Some("self") => (module.to_owned(), &path[1..]),
        Some("crate") if path.get(1).is_some_and(|name| name == root) => {
            (root.to_owned(), &path[2..])
        }
        _ => return None,
    };
    for name in rest {
        let deeper = format!("{at}/{name}");
        if !modules.contains(&deeper) {
            break;
        }
        at = deeper;
    }
    Some(at)
}

/// What is left once every module that imports nothing of the rest is taken away, and every
/// one that nothing of the rest imports.
fn in_a_ring(mut imports: Imports) -> BTreeSet<String> {
    loop {
        let imported: BTreeSet<String> = imports.values().flatten().cloned().collect();
        let before = imports.len();
        imports.retain(|module, uses| !uses.is_empty() && imported.contains(module));
        let left: BTreeSet<String> = imports.keys().cloned().collect();
        imports.values_mut().for_each(|uses| uses.retain(|module| left.contains(module)));
        if imports.len() == before {
            return left;
        }
    }
}

#[test]
fn no_files_of_a_folder_import_each_other_in_a_ring() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let core = source.join("core");
    let entries = [&source, &core].into_iter().flat_map(|of| fs::read_dir(of).unwrap());
    let folders = entries.map(|entry| entry.unwrap().path());
    let mut looked_at = 0;
    for folder in folders.filter(|path| path.is_dir() && *path != core) {
        let imports = imports(&folder);
        looked_at += imports.len();
        let knotted = KNOTTED.iter().any(|name| folder.ends_with(name));
        let ring = in_a_ring(imports);
        assert!(knotted || ring.is_empty(), "these import each other in a ring: {ring:?}");
    }
    assert!(looked_at > 300, "only {looked_at} files were looked at");
}

#[test]
fn a_ring_of_imports_is_seen_through_groups_and_longer_ways() {
    let imports = |edges: &[(&str, &str)]| -> Imports {
        let uses = |text: &str| {
            let modules = ["f", "f/a", "f/b", "f/c"].map(str::to_owned).into();
            let paths = used(text).into_iter();
            paths.filter_map(|path| resolved(&path, "f/x", "f", &modules)).collect()
        };
        edges.iter().map(|(module, text)| ((*module).to_owned(), uses(text))).collect()
    };
    let ring = [
        ("f/a", "use super::b::{self, One};"),
        ("f/b", "use std::fmt;\nuse crate::f::{c::{Two, Three}};"),
        ("f/c", "//! use nothing\nuse super::{Four, a::Five};"),
    ];
    let ringed = ["f/a", "f/b", "f/c"].map(str::to_owned).into();
    assert_eq!(in_a_ring(imports(&ring)), ringed);
    assert_eq!(in_a_ring(imports(&ring[..2])), BTreeSet::new());
}
