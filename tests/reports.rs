//! What lies in `reports/` is what the demo makes.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

#[test]
fn the_committed_reports_are_what_the_demo_makes() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(["demo", "--folder"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let made = files(&folder.path().join("reports"));
    let committed = files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("reports"));
    assert!(!made.is_empty());
    assert_eq!(
        made.keys().collect::<Vec<_>>(),
        committed.keys().collect::<Vec<_>>(),
        "run `cargo run -- demo` and commit reports/"
    );
    for (name, text) in made {
        assert!(text == committed[&name], "{name} differs: run `cargo run -- demo`");
    }
}

fn files(folder: &Path) -> BTreeMap<String, String> {
    fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap())
        .map(|file| {
            let name = file.file_name().into_string().unwrap();
            (name, fs::read_to_string(file.path()).unwrap())
        })
        .collect()
}
