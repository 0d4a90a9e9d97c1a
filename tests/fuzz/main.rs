//! Readers under files spoilt by chance: no panic, nothing made of nothing, and what is refused
//! names its file. Seeded, so that what fails can be tried again.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

mod mutate;
mod readers;
#[allow(dead_code, reason = "some of what it makes is for other tests")]
#[path = "../commands/workbooks.rs"]
mod workbooks;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use fastrand::Rng;
use mutate::spoilt;
use readers::DEMO;
use stintbook::intake::templates;

/// A file of the demo, no longer than it must be: the head of a table, a few places.
fn sound(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sites").join(name);
    let text = fs::read_to_string(path).unwrap();
    if !name.ends_with(".geojson") {
        return text.lines().take(13).collect::<Vec<_>>().join("\n").into_bytes();
    }
    let mut whole: serde_json::Value = serde_json::from_str(&text).unwrap();
    whole["features"].as_array_mut().unwrap().truncate(3);
    serde_json::to_vec(&whole).unwrap()
}

fn files() -> Vec<Vec<u8>> {
    let names = [
        "commons.geojson",
        "estate.geojson",
        "shore.geojson",
        "closures.csv",
        "cuts.csv",
        "glances.csv",
        "holds.csv",
        "overrides.csv",
        "permissions.csv",
        "surveys.csv",
        "walks.csv",
        "corrections/cuts.csv",
    ];
    let from_demo = names.into_iter().map(sound);
    from_demo.chain(templates().into_iter().map(|template| example_of(&template.text))).collect()
}

/// A template with its example row, where it has one.
fn example_of(text: &str) -> Vec<u8> {
    let example = text.lines().skip_while(|line| !line.contains("A row may look")).nth(1);
    let row = example.map_or(String::new(), |line| line.trim_start_matches("# ").to_owned());
    let is_comment = |line: &&str| line.starts_with('#');
    let kept: Vec<&str> = text.lines().filter(|line| !is_comment(line)).collect();
    format!("{}\n{row}\n", kept.join("\n")).into_bytes()
}

/// Reads spoilt copies of the files, each time another, and tells of all that went wrong.
fn feed(name: &str, files: &[Vec<u8>], times: u64, read: impl Fn(&[u8]) -> bool + Sync) {
    let taken = AtomicU64::new(0);
    let read = |bytes: &[u8]| {
        let is_read = read(bytes);
        taken.fetch_add(u64::from(is_read), Ordering::Relaxed);
    };
    let apart = std::thread::available_parallelism().map_or(2, |n| n.get() as u64);
    let failed: Vec<String> = std::thread::scope(|scope| {
        let read = &read;
        let threads = (0..apart).map(|thread| {
            scope.spawn(move || {
                let seeds = (0..times).filter(|seed| seed % apart == thread);
                seeds.filter_map(|seed| fails(name, files, seed, read)).collect::<Vec<_>>()
            })
        });
        let threads: Vec<_> = threads.collect();
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    });
    let taken = taken.into_inner();
    println!("{name}: {times} executions, {taken} of them read");
    assert!(failed.is_empty(), "{} failed, the first:\n{}", failed.len(), failed[0]);
    // Inputs that are all refused at once, or all read, would show little.
    assert!(taken > times / 50 && taken < times - times / 50, "{name}: {taken} of {times} read");
}

fn fails(name: &str, files: &[Vec<u8>], seed: u64, read: impl Fn(&[u8])) -> Option<String> {
    let mut random = Rng::with_seed(seed);
    let bytes = spoilt(&files[random.usize(0..files.len())], &mut random);
    let failed = catch_unwind(AssertUnwindSafe(|| read(&bytes))).is_err();
    failed.then(|| format!("{name}, seed {seed}: {:?}", String::from_utf8_lossy(&bytes)))
}

fn tables_and_places(times: u64) {
    let files = files();
    assert!(files.iter().take(12).all(|file| readers::facts(file)), "a sound file is refused");
    feed("facts", &files, times, readers::facts);
    feed("facts of an empty book", &files, times / 4, readers::facts_of_an_empty_book);
}

fn slips_and_amends(times: u64) {
    let amends = vec![
        sound("corrections/cuts.csv"),
        b"replaced,kind,replacement,why,by,recorded_on\n\
        0192f0c4-0000-7000-8000-000000000001,cut,,misread,Ana,2027-03-01\n"
            .to_vec(),
    ];
    feed("amends", &amends, times, readers::amends);
    let slips = vec![
        b"party,adults,children,weight\nAnn,2,1,\nBo,1,,0.5\n".to_vec(),
        b"party,patch,crop,mass_g,count,taken\nAnn,wood/bank,,300,,all\nBo,,nettle-tops,200,,\n"
            .to_vec(),
    ];
    feed("slips", &slips, times, readers::slips);
}

/// Tables as text and as workbooks; of the latter what is packed within is spoilt too, since a
/// spoilt pack is refused for its checksums.
fn tables_of_any_make(times: u64) {
    use workbooks::Put::{Day, Merged, Number, Text, Yes};
    let row = |patch, weight| vec![Day(2027, 3, 4), Text(patch), Text("Ida"), weight, Yes(true)];
    let header = ["Date", "Patch", "By", "Weight (kg)", "sure"].map(Text).to_vec();
    let rows = vec![
        vec![Text("Our cuts")],
        header,
        row("Elder clump", Number(0.25)),
        row("Upper lea", Text("approx 2-3 kg")),
        vec![Text("14/3/2027"), Merged("Upper lea", 2), Text("Bo"), Text("1.250,5 g")],
        vec![Text("14 Nov 26")],
        vec![Text("Total")],
    ];
    let sheets = [("Cuts", rows)];
    let texts: Vec<Vec<u8>> = include_str!("../fixtures/bring/tables.txt")
        .split("\n=== ")
        .filter_map(|block| block.split_once('\n')?.1.split("---").next())
        .filter(|table| table.lines().count() > 1)
        .map(|table| table.as_bytes().to_vec())
        .collect();
    feed("tables", &texts, times, readers::tables);
    let (xlsx, ods) = (workbooks::xlsx(&sheets), workbooks::ods(&sheets));
    let whole = [xlsx.clone(), ods.clone(), workbooks::xls(&sheets)];
    feed("workbooks", &whole, times / 4, readers::tables);
    for (book, part) in [
        (&ods, "content.xml"),
        (&xlsx, "xl/worksheets/sheet1.xml"),
        (&xlsx, "xl/sharedStrings.xml"),
        (&xlsx, "xl/styles.xml"),
        (&xlsx, "xl/workbook.xml"),
    ] {
        let sound = workbooks::part(book, part);
        feed(part, &[sound], times / 4, |spoilt| {
            readers::tables(&workbooks::with_part(book, part, spoilt))
        });
    }
    let stream = workbooks::xls_stream(&sheets);
    feed("xls", &[stream], times, |spoilt| readers::tables(&workbooks::compound(spoilt)));
    let kept =
        b"headers = [\"when\", \"where\"]\nas = \"cut\"\nfirst = \"day\"\ngaps = \"fill\"\n\n\
        [column]\nWhere = \"patch\"\n\n[say]\nkowhai = \"Upper lea\"\n"
            .to_vec();
    feed("kept", &[kept], times, readers::kept);
}

/// The demo's map of a day in each format that holds places, as `export` writes it.
fn maps(times: u64) {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(DEMO.book(), folder.path().join("stintbook.sqlite")).unwrap();
    for format in ["gpkg", "kml", "geojson"] {
        let words = format!("export out --format {format} --on 2027-03-15");
        let words: Vec<String> = words.split(' ').map(str::to_owned).collect();
        assert!(readers::command_line(&words, folder.path()), "{format} is not written");
        let written = fs::read_dir(folder.path().join("out")).unwrap();
        let is_map = |path: &std::path::PathBuf| path.extension().is_some_and(|it| it == format);
        let paths = written.map(|entry| entry.unwrap().path()).filter(is_map);
        let files: Vec<Vec<u8>> = paths.map(|path| fs::read(path).unwrap()).collect();
        assert!(!files.is_empty() && files.iter().all(|file| readers::map(file)), "{format}");
        let (times, name) = (times / 4, format!("map, {format}"));
        feed(&name, &files, times, readers::map);
    }
    let flat: [&[u8]; 2] = [
        include_bytes!("../fixtures/bring/drawn.fgb"),
        include_bytes!("../fixtures/bring/drawn-in-metres.fgb"),
    ];
    let flat = flat.map(<[u8]>::to_vec);
    assert!(flat.iter().all(|file| readers::map(file)), "a sound FlatGeobuf is refused");
    feed("map, fgb", &flat, times / 4, readers::map);
}

fn own_crops(times: u64) {
    let crop = |name: &str, habit: &str, more: &str| {
        format!(
            "[{name}]\ncommon_name = \"{name}\"\nscientific_name = \"Inventa {habit}\"\n\
             part = \"leaf\"\nkitchen_role = \"green leaf\"\nhabit = \"{habit}\"\n\
             season = \"11-15..03-30\"\ntake_fraction = 0.10\nrecovery_days = 60\n\
             cut_method = \"One in three.\"\ncautions = \"None known.\"\n\
             look_alikes = [{{ name = \"another\", grade = \"poisonous\" }}]\n\
             legal_note = \"Local law comes first.\"\n{more}source.others = \"our own record\"\n\n"
        )
    };
    let first = crop("moor-leaf", "slow leaf", "cuts_per_season = 3\n");
    let second = crop("fen-shoot", "fast leaf", "kept_standing = 0.9\n") + &first;
    let [first, second] = [first, second].map(String::into_bytes);
    assert!(readers::crops(&first), "a sound file is refused");
    feed("crops", &[first, second], times, readers::crops);
}

fn typed_words(times: u64) {
    let words = [
        "north wood/bank",
        "2.5kg",
        "12 pieces",
        "ramsons-leaf=1.5kg",
        "green leaf=2kg",
        "2026/27",
        "spring walk 9f3a01c7",
    ];
    let words: Vec<Vec<u8>> = words.into_iter().map(|word| word.as_bytes().to_vec()).collect();
    feed("words", &words, times, readers::words);
}

fn books(times: u64) {
    let whole = fs::read(DEMO.book()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let own = |name: &str| {
        let own = format!("{name}{:?}.sqlite", std::thread::current().id());
        let own: String = own.chars().filter(|c| c.is_alphanumeric() || *c == '.').collect();
        folder.path().join(own)
    };
    feed("book", &[whole], times, |bytes| readers::book(bytes, &own("book")));
    let packs = packed(&DEMO.book());
    assert!(packs.iter().all(|pack| readers::packs(pack, &own("packs"))), "a pack is refused");
    feed("packs", &packs, times, |bytes| readers::packs(bytes, &own("packs")));
}

/// What is packed of the patches of a book.
fn packed(book: &Path) -> Vec<Vec<u8>> {
    let book = rusqlite::Connection::open(book).unwrap();
    let mut packs = book.prepare("SELECT facts FROM packed").unwrap();
    let packs = packs.query_map([], |row| row.get(0)).unwrap();
    packs.collect::<Result<_, _>>().unwrap()
}

/// Lines that people type; none of them writes outside its folder.
const LINES: [&str; 31] = [
    "week|--on|2027-03-15|--crop|ramsons-leaf",
    "week|--near|-3.21,54.05|--within|800m|--format|json",
    "check|Ammerlow/Elder clump|--on|2027-03-15",
    "pressure|--season|2026/27|--site|Gullhythe|--format|csv",
    "walk|plan|--on|2027-03-20|--want|ramsons-leaf=1.5kg,green leaf=2kg|--start|-3.21,54.05",
    "walk|plan|--route|way.gpx|--corridor|50m",
    "walk|split|spring walk|--format|json",
    "box|--month|2027-03|--count|12|--each|ramsons-leaf=100g|--people|2",
    "survey|advise|--precision|20%|--format|csv",
    "history|Elder clump",
    "crops|ramsons-leaf",
    "--catalogue|own.toml|crops",
    "rehearse|--weekly|2kg|--runs|2",
    "load|spoilt.csv|--dry",
    "verify",
    "walk|list",
    "bring|spoilt.csv|--day-first|--yes",
    "calendar|--month|2027-04|--format|md",
    "calendar|--site|Gullhythe|--ahead|6 weeks",
    "close|Upper lea|--why|nesting|--to|2027-07-31|--by|Ida",
    "correct|9f3a01c7|mass_g=560|--why|misread|--by|Ida",
    "due|--until|2027-04-30|--format|ics",
    "merge|stintbook.sqlite|--dry",
    "permit|Gullhythe|--basis|spoken|--for|walk,sale|--cap-per-visit|2kg|--by|Ida|--dry",
    "recovery|start|Upper lea|1400g|--squares|8|--by|Ida|--on|2027-03-20",
    "redraw|Upper lea|own.toml|--by|Ida",
    "reopen|Furze brow|--by|Ida|--dry",
    "retire|Upper lea|--why|built over|--by|Ida|--dry",
    "split|Upper lea|own.toml|--by|Ida|--dry",
    "undo|--by|Ida|--dry",
    "visit|Upper lea|--stage|bud|--photo|way.gpx|--by|Ida",
];

fn command_lines(times: u64) {
    let folder = tempfile::tempdir().unwrap();
    let gpx = "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"x\"><trk><trkseg>\
        <trkpt lat=\"54.05\" lon=\"-3.21\"/><trkpt lat=\"54.06\" lon=\"-3.2\"/>\
        </trkseg></trk></gpx>";
    let mut random = Rng::with_seed(7);
    let lines: Vec<Vec<u8>> = LINES.iter().map(|line| line.as_bytes().to_vec()).collect();
    let ways: Vec<Vec<u8>> = (0..16).map(|_| spoilt(gpx.as_bytes(), &mut random)).collect();
    feed("command line", &lines, times, |bytes| {
        let line = String::from_utf8_lossy(bytes).into_owned();
        let own = folder.path().join(format!("{:x}", fastrand::u64(..)));
        fs::create_dir(&own).unwrap();
        fs::copy(DEMO.book(), own.join("stintbook.sqlite")).unwrap();
        fs::write(own.join("way.gpx"), &ways[bytes.len() % ways.len()]).unwrap();
        let table = spoilt(&sound("cuts.csv"), &mut Rng::with_seed(bytes.len() as u64));
        fs::write(own.join("spoilt.csv"), table).unwrap();
        fs::write(own.join("own.toml"), bytes).unwrap();
        let words: Vec<String> = line.split('|').map(str::to_owned).collect();
        let is_done = readers::command_line(&words, &own);
        fs::remove_dir_all(&own).unwrap();
        is_done
    });
}

#[test]
fn spoilt_tables_and_places_are_refused_or_read() {
    tables_and_places(9000);
}

#[test]
fn spoilt_tables_of_any_make_are_refused_or_read() {
    tables_of_any_make(1200);
}

#[test]
fn spoilt_maps_are_refused_or_read() {
    maps(1200);
}

#[test]
fn spoilt_slips_amends_crops_and_words_are_refused_or_read() {
    slips_and_amends(2500);
    own_crops(1500);
    typed_words(4000);
}

#[test]
fn spoilt_books_are_refused_by_their_name_or_read() {
    books(150);
}

#[test]
fn spoilt_command_lines_end_with_a_status_of_their_own() {
    command_lines(100);
}

#[test]
#[ignore = "takes minutes"]
fn many_spoilt_inputs_of_every_kind() {
    tables_and_places(150_000);
    tables_of_any_make(40_000);
    maps(20_000);
    slips_and_amends(100_000);
    own_crops(50_000);
    typed_words(200_000);
    books(4000);
    command_lines(3000);
}
