//! The pages of the demo and of walks on its ground, made once.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use crate::large;

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
/// With forty patches.
const SHEETS_OF_A_LARGE_REPORT: usize = 9;

impl Page {
    /// The most sheets of paper that it may take.
    pub fn most_sheets(&self) -> usize {
        match self.text.matches("<article class=\"stop\">").count() {
            0 if self.name.starts_with("longmoor") => SHEETS_OF_A_LARGE_REPORT,
            0 => SHEETS_OF_A_REPORT,
            stops => {
                let further_sites = self.text.matches("<svg").count().saturating_sub(1);
                let of_sites = if stops > 5 { further_sites } else { 0 };
                SHEETS_OF_A_WALK + (SHEETS_OF_FIVE_STOPS * (stops - 1)).div_ceil(4) + of_sites
            }
        }
    }
}

struct Made {
    _folder: tempfile::TempDir,
    pages: Vec<Page>,
    answers: Vec<Page>,
}

/// Answers that are pages too.
const ANSWERS: [(&str, &[&str]); 23] = [
    ("week", &["week", "--all"]),
    ("why", &["week", "--why"]),
    ("check", &["check", "mill bank", "--people", "9"]),
    ("full", &["check", "mill bank", "--full"]),
    ("due", &["due"]),
    ("crops", &["crops"]),
    ("crop", &["crops", "sloe"]),
    ("calendar", &["calendar"]),
    ("month", &["calendar", "--month", "2027-04"]),
    ("ahead", &["calendar", "--site", "ammerlow", "--ahead", "1 month"]),
    ("pressure", &["pressure"]),
    ("weeks", &["pressure", "--weeks"]),
    ("beside", &["pressure", "--beside", "2025/26"]),
    ("history", &["history", "mill bank"]),
    ("verify", &["verify"]),
    ("walks", &["walk", "list"]),
    ("plan", &["walk", "plan", "--want", "green leaf=500g"]),
    ("split", &["walk", "split", "creek walk"]),
    ("box", &["box", "--month", "2027-04", "--count", "3", "--each", "green leaf=100g"]),
    ("advice", &["survey", "advise"]),
    ("survey", &["survey", "plan", "mill bank", "--quadrats", "8", "--seed", "7"]),
    ("recovery", &["recovery", "plan", "mill bank", "--seed", "7"]),
    ("rehearsal", &["rehearse", "--runs", "40"]),
];

/// Every page that the demo writes, and walk sheets, by name.
pub fn pages() -> &'static [Page] {
    &made().pages
}

/// Those, and every answer as a page.
pub fn every_page() -> impl Iterator<Item = &'static Page> {
    pages().iter().chain(&made().answers)
}

fn made() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(make)
}

fn make() -> Made {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["demo"]);
    walks(folder.path());
    large::reported(folder.path());
    let folders = [folder.path().join("reports"), folder.path().join("large/reports")];
    let files = folders.into_iter().flat_map(|folder| fs::read_dir(folder).unwrap());
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
    let answers = ANSWERS.map(|(name, words)| answered(folder.path(), name, words)).into();
    Made { _folder: folder, pages, answers }
}

fn answered(folder: &Path, name: &str, words: &[&str]) -> Page {
    let on = ["--book", "demo.sqlite", "--on", "2027-03-15", "--format", "html"];
    let text = run(folder, &[words, &on].concat());
    let name = format!("answer-{name}.html");
    let path = folder.join(&name);
    fs::write(&path, &text).unwrap();
    Page { name, path, text }
}

/// One on the shore for which quota is set aside, one of many kinds of ground for which none is,
/// and one on one site and one on two, for four parties and what is set aside for them.
fn walks(folder: &Path) {
    const ON: [&str; 4] = ["--book", "demo.sqlite", "--recorded-on", "2027-03-15"];
    let run = |words: &[&str]| run(folder, &[words, &ON].concat());
    run(&["walk", "sheet", "creek walk"]);
    let who = ["--leader", "Ida", "--adults", "4", "--children", "3", "--seed", "7"];
    let place = ["--on", "2027-03-20", "--site", "Wendlestow", "--site", "Ammerlow"];
    run(&[&["walk", "new", "long walk"][..], &who, &place].concat());
    run(&["walk", "sheet", "long walk"]);
    let parties = "party,adults,children,weight\nAnn,2,1,\nBo,1,,\nCy,2,,\nDee,1,2,\n";
    fs::write(folder.join("parties.csv"), parties).unwrap();
    let who = ["--leader", "Ida", "--parties", "parties.csv", "--seed", "7", "--hold", "--sheet"];
    let one = ["--on", "2027-03-21", "--site", "Wendlestow"];
    run(&[&["walk", "new", "one site"][..], &who, &one].concat());
    let two = ["--on", "2027-03-27", "--site", "Gullhythe", "--site", "Ammerlow", "--sure"];
    run(&[&["walk", "new", "two sites"][..], &who, &two].concat());
}

/// What it says, whether its answer is yes or no.
pub fn run(folder: &Path, words: &[&str]) -> String {
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(words)
        .current_dir(folder)
        .env_remove("STINTBOOK")
        .output()
        .unwrap();
    let refused = made.status.code().is_none_or(|code| code > 1);
    assert!(!refused, "{words:?}: {}", String::from_utf8_lossy(&made.stderr));
    String::from_utf8(made.stdout).unwrap()
}
