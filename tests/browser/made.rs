//! The pages of the demo and of walks on its ground, made once.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// A page that is handed to people.
#[derive(Debug)]
pub struct Page {
    pub name: String,
    pub path: PathBuf,
    pub text: String,
}

/// Of a walk sheet: two for one stop, slips included, and four for five.
const SHEETS_OF_A_WALK: usize = 2;
const SHEETS_OF_FIVE_STOPS: usize = 2;
/// The account on the first, and an appendix of three.
const SHEETS_OF_A_REPORT: usize = 4;

impl Page {
    /// The most sheets of paper that it may take.
    pub fn most_sheets(&self) -> usize {
        match self.text.matches("<article class=\"stop\">").count() {
            0 => SHEETS_OF_A_REPORT,
            stops => SHEETS_OF_A_WALK + SHEETS_OF_FIVE_STOPS * stops / 5,
        }
    }
}

struct Made {
    _folder: tempfile::TempDir,
    pages: Vec<Page>,
}

/// Every page that the demo writes, and walk sheets, by name.
pub fn pages() -> &'static [Page] {
    static MADE: OnceLock<Made> = OnceLock::new();
    &MADE.get_or_init(make).pages
}

fn make() -> Made {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["demo"]);
    walks(folder.path());
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

/// One on the shore for which quota is set aside, and one of many kinds of ground for which
/// none is.
fn walks(folder: &Path) {
    const ON: [&str; 4] = ["--book", "demo.sqlite", "--recorded-on", "2027-03-15"];
    let run = |words: &[&str]| run(folder, &[words, &ON].concat());
    run(&["walk", "sheet", "creek walk"]);
    let who = ["--leader", "Ida", "--adults", "4", "--children", "3", "--seed", "7"];
    let place = ["--on", "2027-03-20", "--site", "Wendlestow", "--site", "Ammerlow"];
    run(&[&["walk", "new", "long walk"][..], &who, &place].concat());
    run(&["walk", "sheet", "long walk"]);
}

fn run(folder: &Path, words: &[&str]) {
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(words)
        .current_dir(folder)
        .env_remove("STINTBOOK")
        .output()
        .unwrap();
    assert!(made.status.success(), "{words:?}: {}", String::from_utf8_lossy(&made.stderr));
}
