//! The pages of the demo, made once.

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

/// A page that is handed to people.
#[derive(Debug)]
pub struct Page {
    pub name: String,
    pub path: PathBuf,
    pub text: String,
}

struct Made {
    _folder: tempfile::TempDir,
    pages: Vec<Page>,
}

/// Every page that the demo writes, by name.
pub fn pages() -> &'static [Page] {
    static MADE: OnceLock<Made> = OnceLock::new();
    &MADE.get_or_init(make).pages
}

fn make() -> Made {
    let folder = tempfile::tempdir().unwrap();
    let demo = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(["demo", "--folder"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(demo.status.success(), "{}", String::from_utf8_lossy(&demo.stderr));
    let files = fs::read_dir(folder.path().join("reports")).unwrap();
    let paths = files.map(|file| file.unwrap().path());
    let mut pages: Vec<Page> = paths
        .filter(|path| path.extension().is_some_and(|end| end == "html"))
        .map(|path| Page {
            name: path.file_name().unwrap().to_string_lossy().into_owned(),
            text: fs::read_to_string(&path).unwrap(),
            path,
        })
        .collect();
    pages.sort_by(|a, b| a.name.cmp(&b.name));
    assert!(!pages.is_empty(), "the demo writes no page");
    Made { _folder: folder, pages }
}
