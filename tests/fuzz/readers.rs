//! One entry for each reader: any bytes in, and what they must never do. A fuzzer that finds its
//! own inputs can call them as they are.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use rusqlite::{Connection, params};
use stintbook::book::{Book, BookError, Scope};
use stintbook::bring::{Answers, Kept, Lore, Mark, Order, Rough, kind_called, propose, sheets};
use stintbook::catalogue::Catalogue;
use stintbook::gate::{Places, Surroundings};
use stintbook::intake::{Problems, is_of_amends, read, read_amends, read_guests, read_returns};
use stintbook::maps::Source;
use stintbook::records::{Directory, Ledger, PatchName, SiteFacts, SiteName, WalkName, Want};
use stintbook::units::{Amount, Season};
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

/// What a file is called in messages.
const FILE: &str = "a file.csv";
/// A message for people is never longer than this, in bytes.
const LONGEST: usize = 64 * 1024;

/// The demo's book, which files are read against, in a folder of its own.
pub struct Demo {
    pub folder: tempfile::TempDir,
    places: Places,
}

pub static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .arg("demo")
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
    let book = Book::open_to_read(&folder.path().join("demo.sqlite")).unwrap();
    let places = Places::of(book.directory().unwrap(), book.ledger(&Scope::All, None).unwrap());
    Demo { folder, places }
});

impl Demo {
    pub fn book(&self) -> PathBuf {
        self.folder.path().join("demo.sqlite")
    }
}

/// Whether a file was read, and then no more of it than it holds; what was refused names its file
/// in few words.
fn told<T>(read: Result<T, Problems>, length: impl Fn(&T) -> usize, bytes: &[u8]) -> bool {
    match &read {
        Ok(found) => assert!(length(found) <= bytes.len(), "{} of {}", length(found), bytes.len()),
        Err(problems) => {
            let said = problems.to_string();
            assert!(said.contains(FILE), "no file is named: {said}");
            assert!(!problems.problems.is_empty() && said.len() <= LONGEST, "{} bytes", said.len());
        }
    }
    read.is_ok()
}

/// GeoJSON and every table of facts, as `load` reads them.
pub fn facts(bytes: &[u8]) -> bool {
    let catalogue = Catalogue::built_in();
    let known = Surroundings::of(&DEMO.places, catalogue);
    let intake = read(FILE, bytes, known.known());
    told(intake, |intake| intake.entries.len() + intake.remarks.len(), bytes)
}

/// GeoJSON and tables where nothing is known yet.
pub fn facts_of_an_empty_book(bytes: &[u8]) -> bool {
    let (places, catalogue) = (Places::named(Directory::default()), Catalogue::built_in());
    let known = Surroundings::of(&places, catalogue);
    told(read(FILE, bytes, known.known()), |intake| intake.entries.len(), bytes)
}

/// Corrections that another book tells of.
pub fn amends(bytes: &[u8]) -> bool {
    is_of_amends(&String::from_utf8_lossy(bytes));
    told(read_amends(FILE, bytes), Vec::len, bytes)
}

/// Who came, and what they brought back.
pub fn slips(bytes: &[u8]) -> bool {
    let guests = told(read_guests(FILE, bytes), Vec::len, bytes);
    told(read_returns(FILE, bytes), |told| told.rows.len(), bytes) || guests
}

/// Tables of any make, as far as what would be recorded of them: read as they are, and with every
/// answer given.
pub fn tables(bytes: &[u8]) -> bool {
    let opened = match sheets(bytes) {
        Ok(opened) => opened,
        Err(unopened) => {
            assert!(unopened.to_string().len() <= LONGEST, "{} bytes", unopened.to_string().len());
            return false;
        }
    };
    let catalogue = Catalogue::built_in();
    let lore = Lore::new(&DEMO.places.names, catalogue);
    let known = Surroundings::of(&DEMO.places, catalogue);
    let last = jiff::civil::date(2027, 3, 15);
    let told = Answers {
        kind: kind_called("cuts"),
        order: Some(Order::DayFirst),
        decimal: Some(Mark::Comma),
        rough: Some(Rough::Middle),
        year: Some(2026),
        fill_down: Some(true),
        set: [("by".to_owned(), "Ida".to_owned())].into(),
        ..Answers::default()
    };
    for sheet in &opened {
        for answers in [&Answers::default(), &told] {
            let Some(mut proposal) = propose(sheet, &[FILE], answers, &lore) else { continue };
            let rows = proposal.rows;
            if let Err(problems) = proposal.sift(FILE, last, known.known()) {
                assert!(problems.to_string().contains(FILE), "{problems}");
            }
            assert!(proposal.text.len() + proposal.held.len() <= rows, "{rows} rows");
            let back = proposal.unread(|_| String::new());
            assert_eq!(back.is_some(), !proposal.held.is_empty());
            let kept = proposal.kept(answers);
            assert_eq!(Kept::read(&kept.toml()).as_ref(), Ok(&kept));
        }
    }
    true
}

/// Answers that were kept.
pub fn kept(bytes: &[u8]) -> bool {
    std::str::from_utf8(bytes).is_ok_and(|text| Kept::read(text).is_ok())
}

/// A map of any make, by how it begins: nothing lies outside the Earth, nor is there more of it
/// than there are bytes.
pub fn map(bytes: &[u8]) -> bool {
    let source = Source { name: "a file", bytes, beside: &[], system: None };
    match stintbook::maps::read(&source) {
        Ok(drawing) => {
            // A packed map may hold more than its pack has bytes.
            assert!(drawing.drawn.len() <= 1000 * bytes.len().max(1), "{}", drawing.drawn.len());
            true
        }
        Err(why) => {
            assert!(!why.is_empty() && why.len() <= LONGEST, "{} bytes", why.len());
            false
        }
    }
}

/// Crops of one's own.
pub fn crops(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let read = Catalogue::with_own(FILE, text);
    if let Err(problems) = &read {
        let said = problems.to_string();
        let are_named = said.lines().any(|line| line.starts_with(FILE));
        assert!(are_named && said.len() <= LONGEST, "{} bytes: {said:.200}", said.len());
    }
    read.is_ok()
}

/// Names, amounts and seasons as they are typed.
pub fn words(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let names = [SiteName::new(text).is_ok(), WalkName::new(text).is_ok()];
    let (amount, want) = (text.parse::<Amount>(), text.parse::<Want>());
    if let Ok(amount) = &amount {
        assert!(amount.value.is_finite() && amount.value >= 0.0, "{text} is {amount:?}");
    }
    if let Ok(want) = &want {
        assert!(want.amount.value.is_finite(), "{text} is {want:?}");
    }
    let season = text.parse::<Season>();
    if let Ok(season) = &season {
        assert_eq!(season.to_string().parse::<Season>().ok().as_ref(), Some(season), "{text}");
    }
    if let Ok(patch) = text.parse::<PatchName>() {
        assert_eq!(patch.to_string().parse::<PatchName>().ok(), Some(patch), "{text}");
    }
    names.contains(&true) || amount.is_ok() || want.is_ok() || season.is_ok()
}

/// A book: it is read, or refused by its name, and a limit never comes of what is no book. What is
/// packed in it says what its facts do.
pub fn book(bytes: &[u8], at: &Path) -> bool {
    fs::write(at, bytes).unwrap();
    let read = Book::open_to_read(at).and_then(|book| {
        book.integrity()?;
        book.history(&Scope::All)?;
        let packed = of_packs(&book);
        let ledger = book.ledger(&Scope::All, None)?;
        assert!(packed? == ledger.sites, "packs tell something else than facts");
        Ok(())
    });
    named(read, at)
}

/// A large book in which these bytes are packed of a patch, under a checksum that fits them: only
/// a hostile hand writes that.
pub fn packs(bytes: &[u8], at: &Path) -> bool {
    if !at.exists() {
        fs::copy(DEMO.book(), at).unwrap();
    }
    let file = Connection::open(at).unwrap();
    let most = "SELECT place, form, of_rows, of_digest, rows, digest FROM packed \
                ORDER BY rows DESC, place LIMIT 1";
    let numbers: Vec<i64> =
        file.query_row(most, [], |row| (0..6).map(|column| row.get(column)).collect()).unwrap();
    let head: Vec<u8> = numbers.iter().flat_map(|number| number.to_le_bytes()).collect();
    let seal = xxh3_64_with_seed(bytes, xxh3_64(&head)).cast_signed();
    let put = "UPDATE packed SET facts = ?, seal = ? WHERE place = ?";
    assert_eq!(file.execute(put, params![bytes, seal, numbers[0]]).unwrap(), 1);
    drop(file);
    named(Book::open_to_read(at).and_then(|book| of_packs(&book)), at)
}

/// The book's sites by their names, read as those of a large book are.
fn of_packs(book: &Book) -> Result<Vec<SiteFacts>, BookError> {
    let parts = book.stretches(None, 1)?.each(Ledger::clone)?;
    let mut sites: Vec<SiteFacts> = parts.into_iter().flat_map(|ledger| ledger.sites).collect();
    sites.sort_by(|one, other| one.site.record.name.cmp(&other.site.record.name));
    Ok(sites)
}

/// Whether a book was read; what was refused is named.
fn named<T>(read: Result<T, BookError>, at: &Path) -> bool {
    if let Err(error) = &read {
        assert!(error.to_string().contains(at.to_str().unwrap()), "{error}");
    }
    read.is_ok()
}

/// The command with these words, in a folder with the demo's book: it ends by itself, with a
/// status of its own, and no panic.
pub fn command_line(words: &[String], folder: &Path) -> bool {
    let words = words.iter().map(|word| word.replace('\0', ""));
    let said = Command::new(env!("CARGO_BIN_EXE_stintbook"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let (out, error) =
        [&said.stdout, &said.stderr].map(|text| String::from_utf8_lossy(text)).into();
    assert!(matches!(said.status.code(), Some(0..=3)), "{:?}: {error}", said.status);
    assert!(!error.contains("panicked") && !out.contains("panicked"), "{error}");
    assert!(said.status.success() || !out.is_empty() || !error.is_empty(), "it says nothing");
    said.status.success()
}
