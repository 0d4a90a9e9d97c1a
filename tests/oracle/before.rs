//! Two hundred random books answered by this build and by an earlier one: the same to the byte.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use fastrand::Rng;

use crate::synthetic::{PATCHES_PER_SITE, Size, write_files};
use stintbook::book::STRETCH;

const BOOKS: u64 = 200;
/// Every so many books one has a few more patches than are read at once, so that it is answered
/// from what is packed of them.
const LARGE_EVERY: u64 = 25;
/// The day on which all is asked, so that the clock has no say.
const ASKED: &str = "2027-03-15";

/// What is asked of each book; `{patch}` is one of its patches.
const ASKED_OF_EACH: [&str; 15] = [
    "week --all --why",
    "week --format json",
    "week --format csv",
    "week --site site~0",
    "check {patch} --full",
    "check {patch} --people 9 --format json",
    "pressure --season 2026/27",
    "pressure --season 2026/27 --format csv",
    "report site~0 --season 2026/27 --format csv",
    "survey advise --format csv",
    "calendar --month 2027-04",
    "due",
    "walk plan --want green~leaf=2kg --format json",
    "history {patch}",
    "verify",
];

struct Program<'a> {
    path: &'a Path,
    folder: PathBuf,
}

impl Program<'_> {
    /// Status, output and problems, without the name of the folder that it ran in.
    fn says(&self, words: &[&str]) -> String {
        let said = Command::new(self.path)
            .args(words)
            .args(["--on", ASKED])
            .current_dir(&self.folder)
            .env("NO_COLOR", "1")
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let [out, problems] = [&said.stdout, &said.stderr].map(|it| String::from_utf8_lossy(it));
        let folder = self.folder.to_str().unwrap();
        format!("{:?}\n{out}\n{problems}", said.status.code()).replace(folder, "")
    }
}

/// How many answers there were that are no refusals, and those that differ.
fn compare(seed: u64, before: &Path, now: &Path) -> (usize, Vec<String>) {
    let mut random = Rng::with_seed(seed);
    let (patches, surveys_each, cuts_each) = match seed % LARGE_EVERY {
        0 => (random.usize(STRETCH + 1..STRETCH + 40), 1, 2),
        _ => (random.usize(1..30), 3, 12),
    };
    let size = Size {
        patches,
        surveys: random.usize(0..surveys_each * patches + 1),
        cuts: random.usize(0..cuts_each * patches + 1),
    };
    let folder = tempfile::tempdir().unwrap();
    let programs = [("before", before), ("now", now)].map(|(name, path)| {
        let folder = folder.path().join(name);
        fs::create_dir(&folder).unwrap();
        let files = write_files(&folder, size, seed);
        let program = Program { path, folder };
        program.says(&["new", "."]);
        for file in files {
            let said = program.says(&["load", file.file_name().unwrap().to_str().unwrap()]);
            assert!(said.starts_with("Some(0)") || patches == 0, "{name}, seed {seed}: {said}");
        }
        program
    });
    let patch = format!("site 0/patch {}", random.usize(0..patches.min(PATCHES_PER_SITE)));
    let (mut answers, mut apart) = (0, Vec::new());
    for asked in ASKED_OF_EACH {
        let words: Vec<String> = asked
            .split(' ')
            .map(|word| word.replace("{patch}", &patch).replace('~', " "))
            .collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let [one, other] = programs.each_ref().map(|program| program.says(&words));
        answers += usize::from(!one.starts_with("Some(2)"));
        if one != other {
            let lines = one.lines().zip(other.lines()).find(|(one, other)| one != other);
            apart.push(format!("seed {seed}, `{}`: {lines:?}", words.join(" ")));
        }
    }
    (answers, apart)
}

/// `STINTBOOK_BEFORE=path/of/the/earlier/stintbook cargo test --test oracle -- --ignored before`.
#[test]
#[ignore = "wants an earlier build, whose path is in STINTBOOK_BEFORE"]
fn two_hundred_random_books_answer_as_before() {
    let before = PathBuf::from(std::env::var_os("STINTBOOK_BEFORE").unwrap());
    let before = fs::canonicalize(before).unwrap();
    let now = Path::new(env!("CARGO_BIN_EXE_stintbook"));
    let (mut answers, mut apart) = (0, Vec::new());
    for seed in 0..BOOKS {
        let (compared, differ) = compare(seed, &before, now);
        answers += compared;
        apart.extend(differ);
        if (seed + 1) % 25 == 0 {
            println!("{} books, {answers} answers, {} apart", seed + 1, apart.len());
        }
    }
    assert!(answers > BOOKS as usize * ASKED_OF_EACH.len() * 4 / 5, "{answers} were answered");
    assert!(apart.is_empty(), "{} of {answers} apart:\n{}", apart.len(), apart.join("\n"));
}
