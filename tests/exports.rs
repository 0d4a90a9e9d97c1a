//! What is exported and loaded again is the same book: laws over random histories.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use jiff::civil::{Date, date};
use stintbook::book::{Book, Scope};
use stintbook::catalogue::Catalogue;
use stintbook::gate::{Answers, Because, Delivery, Gate, Places, Surroundings, Turned};
use stintbook::intake::{
    SHEETS, is_of_amends, read, read_amends, write_amends, write_csv, write_geojson,
};
use stintbook::records::{Fact, FactId, Kind, Record};

const TODAY: Date = date(2021, 6, 1);
const ALL: Answers<'static> = Answers { replace: Some("told so"), again: true, sure: true };

static DRAWN: AtomicU64 = AtomicU64::new(1);

fn draw() -> FactId {
    let number = DRAWN.fetch_add(1, Ordering::Relaxed);
    FactId(uuid::Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0000 | u128::from(number)))
}

fn gate() -> Gate<'static> {
    Gate { catalogue: Catalogue::built_in(), today: TODAY, on: TODAY, draw: &draw }
}

const PLACES: &str = r#"{"type": "FeatureCollection", "by": "Ida", "date": "2020-01-02", "features": [
 {"type": "Feature", "properties": {"kind": "site", "name": "Hill", "recorded_on": "2020-01-02"},
  "geometry": {"type": "Polygon", "coordinates": [[[-20.0,48.0],[-19.99,48.0],[-19.99,48.01],[-20.0,48.01],[-20.0,48.0]]]}},
 {"type": "Feature", "properties": {"kind": "patch", "name": "Bank", "site": "Hill", "crop": "nettle-tops", "radius_m": 9, "recorded_on": "2020-01-02"},
  "geometry": {"type": "Point", "coordinates": [-19.999, 48.001]}},
 {"type": "Feature", "properties": {"kind": "patch", "name": "Wood", "site": "Hill", "crop": "ramsons-leaf", "radius_m": 9, "recorded_on": "2020-01-02"},
  "geometry": {"type": "Point", "coordinates": [-19.995, 48.005]}}
]}"#;

/// A file by its name and text, into the book.
fn load(book: &mut Book, files: &[(String, String)]) -> Result<usize, Turned> {
    let is_map = |(name, _): &&(String, String)| name.ends_with(".geojson");
    let maps = |places: &mut Places| {
        let mut deliveries = Vec::new();
        for (name, text) in files.iter().filter(|(_, text)| is_of_amends(text)) {
            let (file, amends) = (Some(name.as_str().into()), read_amends(name, text.as_bytes())?);
            deliveries.push(Delivery { file, amends, ..Delivery::default() });
        }
        for (name, text) in files.iter().filter(is_map) {
            let surroundings = Surroundings::of(places, Catalogue::built_in());
            let intake = read(name, text.as_bytes(), surroundings.known())?;
            places.learn(&intake.entries);
            deliveries.push(Delivery::of_file(name.as_str().into(), intake));
        }
        Ok(deliveries)
    };
    let tables = |places: &Places| {
        let surroundings = Surroundings::of(places, Catalogue::built_in());
        let tables = files.iter().filter(|file| !is_map(file) && !is_of_amends(&file.1));
        tables
            .map(|(name, text)| {
                let intake = read(name, text.as_bytes(), surroundings.known())?;
                Ok(Delivery::of_file(name.as_str().into(), intake))
            })
            .collect()
    };
    Ok(gate().admit_files(book, &ALL, maps, tables)?.facts.len())
}

fn export(book: &Book, under: &str) -> Vec<(String, String)> {
    let places = Places::named(book.directory().unwrap());
    let surroundings = Surroundings::of(&places, Catalogue::built_in());
    let lines = book.history(&Scope::All).unwrap();
    let live: Vec<&Fact<Record>> =
        lines.iter().filter(|line| line.counts()).map(|line| &line.fact).collect();
    let name = |file: &str| format!("{under}/{file}");
    let mut files = vec![(name("places.geojson"), write_geojson(live.iter().copied()))];
    files.push((name("corrections.csv"), write_amends(&book.corrections().unwrap())));
    for kind in SHEETS {
        if live.iter().any(|fact| fact.record.kind() == kind) {
            let text = write_csv(kind, live.iter().copied(), surroundings.known());
            files.push((name(&format!("{}.csv", kind.plural())), text));
        }
    }
    files
}

fn book(folder: &Path, name: &str) -> Book {
    let mut book = Book::create(&folder.join(name)).unwrap();
    load(&mut book, &[("places.geojson".into(), PLACES.into())]).unwrap();
    book
}

/// One thing that a hand does: adds, puts right, renames or takes back.
fn act(book: &mut Book, chance: &mut fastrand::Rng, who: &str) {
    let lines = book.history(&Scope::All).unwrap();
    let deeds: Vec<_> = lines
        .iter()
        .filter(|line| line.counts() && matches!(line.fact.record.kind(), Kind::Cut | Kind::Glance))
        .collect();
    let because = Because { why: "misread", by: who, recorded_on: Some(TODAY) };
    let patches = book.directory().unwrap().patches;
    let patch = &*patches[chance.usize(..patches.len())].name.to_string();
    let day = date(2021, 3, 1).checked_add(jiff::Span::new().days(chance.i64(0..20))).unwrap();
    match chance.u8(0..7) {
        0 | 1 => {
            let grams = chance.u32(1..9) * 50;
            let text = if chance.bool() {
                format!("patch,date,by,mass_g,taken\n{patch},{day},{who},{grams},\n")
            } else {
                format!("patch,date,by,standing\n{patch},{day},{who},{grams} g\n")
            };
            let file = format!("{who}-{}.csv", chance.u8(0..2));
            load(book, &[(file, text)]).unwrap();
        }
        2 | 3 if !deeds.is_empty() => {
            let line = deeds[chance.usize(..deeds.len())];
            let id = line.fact.id.to_string();
            let change = match (&line.fact.record, chance.u8(0..3)) {
                (_, 0) => ("patch", patch.to_owned()),
                (_, 1) => ("date", day.to_string()),
                (Record::Cut(_), _) => ("mass_g", (chance.u32(1..9) * 35).to_string()),
                _ => ("standing", format!("{} g", chance.u32(1..9) * 35)),
            };
            // What the fact says already is refused; that is no history.
            let change = [(change.0.to_owned(), change.1)];
            let _ = gate().correct(book, &id, &change, because, &ALL);
        }
        4 if !deeds.is_empty() => {
            let id = deeds[chance.usize(..deeds.len())].fact.id.to_string();
            gate().withdraw(book, &id, because).unwrap();
        }
        5 => rename(book, chance, Kind::Patch, because),
        6 => rename(book, chance, Kind::Site, because),
        _ => {}
    }
}

/// Calls a place otherwise: by a new name, or by one that it or another bore before.
fn rename(book: &mut Book, chance: &mut fastrand::Rng, kind: Kind, because: Because<'_>) {
    let lines = book.history(&Scope::All).unwrap();
    let places: Vec<_> =
        lines.iter().filter(|line| line.counts() && line.fact.record.kind() == kind).collect();
    let place = places[chance.usize(..places.len())];
    let name = match (kind, chance.u8(0..3)) {
        (Kind::Patch, 0) => ["Bank", "Wood"][chance.usize(..2)].to_owned(),
        (_, 0) => "Hill".to_owned(),
        _ => format!("Place {}", DRAWN.fetch_add(1, Ordering::Relaxed)),
    };
    let change = [("name".to_owned(), name)];
    // A name that another bears, or that it has, is refused; that is no history.
    let _ = gate().correct(book, &place.fact.id.to_string(), &change, because, &ALL);
}

/// What counts, by id, without the names of files.
fn live(book: &Book) -> BTreeMap<FactId, String> {
    let lines = book.history(&Scope::All).unwrap().into_iter();
    let live = lines.filter(|line| line.counts());
    live.map(|line| (line.fact.id, format!("{:?}", line.fact.record))).collect()
}

fn histories(seeds: std::ops::Range<u64>) {
    let folder = tempfile::tempdir().unwrap();
    let mut adds = 0;
    for seed in seeds {
        let chance = &mut fastrand::Rng::with_seed(seed);
        let mut ida = book(folder.path(), &format!("ida-{seed}.sqlite"));
        let mut ben = book(folder.path(), &format!("ben-{seed}.sqlite"));
        assert_eq!(live(&ida), live(&ben), "one file makes one set of facts");
        for _ in 0..chance.u8(1..4) {
            act(&mut ida, chance, "Ida");
        }
        // Ben hears of all that Ida has so far, then each goes on alone.
        load(&mut ben, &export(&ida, "from-ida")).unwrap();
        assert_eq!(live(&ida), live(&ben), "seed {seed}");
        for _ in 0..chance.u8(0..5) {
            act(&mut ida, chance, "Ida");
            act(&mut ben, chance, "Ben");
        }
        let before = ida.history(&Scope::All).unwrap();
        let of_ida = export(&ida, "copy");
        assert_eq!(load(&mut ida, &of_ida).unwrap(), 0, "seed {seed}: an export added facts");
        assert_eq!(ida.history(&Scope::All).unwrap(), before, "seed {seed}");
        let of_ben = export(&ben, "from-ben");
        load(&mut ben, &of_ida).unwrap();
        load(&mut ida, &of_ben).unwrap();
        assert_eq!(live(&ida), live(&ben), "seed {seed}: each has the other's export");
        adds += live(&ida).len();
    }
    assert!(adds > 0);
}

#[test]
fn an_export_adds_nothing_to_its_own_book_and_two_exports_make_two_books_one() {
    histories(0..25);
}

#[test]
#[ignore = "takes minutes: a thousand histories"]
fn a_thousand_histories_keep_the_laws_of_exports() {
    histories(1000..2000);
}

/// Reads a table of cuts of this patch against whatever places there are.
fn cuts_of(patch: &str, places: &Places) -> Result<Vec<Delivery>, Turned> {
    let text = format!("patch,date,by,mass_g,taken\n{patch},2021-03-10,Ida,400,part\n");
    let surroundings = Surroundings::of(places, Catalogue::built_in());
    let intake = read("cuts.csv", text.as_bytes(), surroundings.known())?;
    Ok(vec![Delivery::of_file("cuts.csv".into(), intake)])
}

fn glance_at(patch: &str, day: u8) -> String {
    format!("patch,date,by,standing\n{patch},2021-03-{day:02},Una,2kg\n")
}

#[test]
fn while_a_file_is_read_others_write_and_it_is_read_once() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = book(folder.path(), "book.sqlite");
    let read = AtomicU64::new(0);
    let tables = |places: &Places| {
        let number = read.fetch_add(1, Ordering::Relaxed);
        let mut other = Book::open(&folder.path().join("book.sqlite")).unwrap();
        let glance = ("glances.csv".to_owned(), glance_at("Hill/Bank", 3 + number as u8));
        assert_eq!(load(&mut other, &[glance]).unwrap(), 1, "had to wait");
        cuts_of("Hill/Bank", places)
    };
    let admitted = gate().admit_files(&mut book, &ALL, |_| Ok(Vec::new()), tables).unwrap();
    assert_eq!((admitted.facts.len(), read.into_inner()), (1, 1));
    let facts = book.history(&Scope::All).unwrap();
    assert_eq!(facts.iter().filter(|line| line.fact.record.kind() == Kind::Glance).count(), 1);
}

#[test]
fn a_file_is_read_again_where_the_places_changed_meanwhile() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = book(folder.path(), "book.sqlite");
    let read = AtomicU64::new(0);
    let tables = |places: &Places| {
        if read.fetch_add(1, Ordering::Relaxed) == 0 {
            // Another hand calls the bank a terrace.
            let mut other = Book::open(&folder.path().join("book.sqlite")).unwrap();
            let bank = other.patch("bank").unwrap().id.unwrap();
            let because = Because { why: "its name", by: "Una", recorded_on: Some(TODAY) };
            let told = [("name".to_owned(), "Terrace".to_owned())];
            gate().correct(&mut other, &bank.short(), &told, because, &ALL).unwrap();
        }
        cuts_of("Hill/Bank", places)
    };
    let admitted = gate().admit_files(&mut book, &ALL, |_| Ok(Vec::new()), tables).unwrap();
    assert_eq!((admitted.facts.len(), read.into_inner()), (1, 2));
    let said = &admitted.sorted[0].remarks;
    assert!(said.iter().any(|said| said.contains("is called `Hill/Terrace`")), "{said:?}");
}

#[test]
fn where_others_change_the_places_again_and_again_they_wait_in_the_end() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = book(folder.path(), "book.sqlite");
    let read = AtomicU64::new(0);
    let tables = |places: &Places| {
        let number = read.fetch_add(1, Ordering::Relaxed);
        if number < 3 {
            let mut other = Book::open(&folder.path().join("book.sqlite")).unwrap();
            let more = PLACES.replace("\"Bank\"", &format!("\"Bank {number}\""));
            let more = more.replace("-19.999, 48.001", &format!("-19.99{}, 48.002", number + 2));
            load(&mut other, &[(format!("{number}.geojson"), more)]).unwrap();
        }
        cuts_of("Hill/Bank", places)
    };
    let admitted = gate().admit_files(&mut book, &ALL, |_| Ok(Vec::new()), tables).unwrap();
    assert_eq!((admitted.facts.len(), read.into_inner()), (1, 4));
    assert_eq!(book.directory().unwrap().patches.len(), 5);
}
