//! Every table at every width: what it says is the same, and whole.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::{env, fs};

use crate::hill::{LIFTED, PARTIES, SOUTH, SURVEY, WEST, patch_of, places, polygon, site};
use crate::said::Said;
use crate::trial::Trial;

/// Widths whose text is kept in `tests/commands/goldens/`. `GOLDENS=make cargo test --test commands
/// goldens` makes them anew; look at what moved before you commit it.
const KEPT: [usize; 5] = [40, 60, 80, 120, 200];
const MAKE: &str = "GOLDENS";

const SITE: &str = "The Great Estate of Hollowdene and the Longer Marsh 31407";
/// Alike for longer than any column is wide.
const BANKS: [&str; 2] = [
    "Green lane bank along the old mill stream 86411",
    "Green lane bank along the old mill stream 86412",
];

fn at(trial: &Trial, words: &str, width: usize) -> String {
    let said = Said::by(trial.command(words).env("COLUMNS", width.to_string()));
    assert!(said.status < 2 && said.err.is_empty(), "`{words}` at {width}: {}", said.err);
    said.out
}

/// Two large banks of one site, with names that no column has room for, and a walk on them.
fn estate() -> Trial {
    let trial = Trial::with_book();
    let large = |number: usize| {
        let (west, south) = (WEST + 0.0005 + 0.003 * number as f64, SOUTH + 0.0005);
        let (east, north) = (west + 0.0025, south + 0.008);
        polygon(&[(west, south), (east, south), (east, north), (west, north), (west, south)])
    };
    let named = |text: &str| text.replace("Hill", SITE);
    let banks = [0, 1].map(|n| patch_of(BANKS[n], "nettle-tops", &large(n)));
    let features = [vec![site()], banks.to_vec()].concat();
    let features: Vec<String> = features.iter().map(|text| named(text)).collect();
    trial.load("places.geojson", places(&features)).done();
    trial.load("permissions.csv", named(LIFTED)).done();
    for (number, bank) in BANKS.into_iter().enumerate() {
        let survey = named(&SURVEY.replace("/Bank", &format!("/{bank}")));
        trial.load(&format!("survey{number}.csv"), survey).done();
    }
    trial.write("parties.csv", PARTIES);
    let walk = format!(
        "walk new spring --on 2021-03-20 --leader Ida --site \"{SITE}\" --seed 7 --want \
         nettle-tops=1234567g --recorded-on 2021-03-10 --parties parties.csv"
    );
    trial.copy_book("other.sqlite");
    let cut = format!("cut \"{SITE}/{}\" 1195g --by Una --on 2021-03-09", BANKS[0]);
    trial.run(&format!("{cut} --recorded-on 2021-03-09 --book other.sqlite")).done();
    trial.run(&walk).done();
    trial
}

/// What is a document, and so has every name in it too.
fn documents() -> Vec<String> {
    [
        "week --on 2021-03-15",
        "week --on 2021-03-15 --why",
        "week --on 2021-12-15 --all",
        "week --on 2021-12-15",
        &format!("walk plan --on 2021-03-20 --site \"{SITE}\" --want nettle-tops=2345.6kg"),
        "walk split spring --on 2021-03-10",
        &format!(
            "box --month 2021-04 --count 99999 --each nettle-tops=50g --site \"{SITE}\" \
             --recorded-on 2021-03-15"
        ),
        "survey advise --on 2021-05-15",
        "pressure --season 2020/21 --on 2021-04-20",
        "pressure --season 2020/21 --on 2021-04-20 --weeks",
        "calendar --on 2021-03-10 --month 2021-04",
        "calendar --on 2021-03-10",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn tables() -> Vec<String> {
    let bank = format!("\"{SITE}/{}\"", BANKS[1]);
    let others = [
        format!("check {bank} --on 2021-03-15 --people 19"),
        format!("check {bank} --on 2021-03-15 --full"),
        format!("calendar --on 2021-03-10 --site \"{SITE}\" --ahead \"1 month\""),
        format!("recovery plan {bank} --seed 31"),
        "merge other.sqlite --dry".to_owned(),
        "walk list --on 2021-03-10".to_owned(),
        "due --on 2021-03-10".to_owned(),
        "pressure --season 2020/21 --on 2021-04-20 --beside 2019/20".to_owned(),
        "rehearse --on 2021-03-15 --runs 20 --weekly 12345g".to_owned(),
        "rehearse --on 2021-03-15 --runs 20".to_owned(),
        "history".to_owned(),
        "verify --on 2021-03-15".to_owned(),
        format!("survey plan {bank} --quadrats 7 --seed 31"),
        "crops nettle-tops".to_owned(),
        "crops".to_owned(),
    ];
    documents().into_iter().chain(others).collect()
}

/// How often each run of digits occurs.
fn numbers(text: &str) -> BTreeMap<&str, usize> {
    let mut counted = BTreeMap::new();
    for run in text.split(|letter: char| !letter.is_ascii_digit()).filter(|run| !run.is_empty()) {
        *counted.entry(run).or_default() += 1;
    }
    counted
}

#[test]
fn no_table_cuts_a_number_or_a_name_at_any_width() {
    let trial = estate();
    for words in tables() {
        let wide = at(&trial, &words, 200);
        assert!(!numbers(&wide).is_empty(), "`{words}` tells no number");
        for width in [40, 50, 60, 67, 80, 97, 120, 140] {
            let said = at(&trial, &words, width);
            assert!(!said.contains('…'), "`{words}` at {width} cuts something:\n{said}");
            assert_eq!(numbers(&said), numbers(&wide), "`{words}` at {width}:\n{said}\n{wide}");
        }
    }
}

#[test]
fn a_document_has_every_name_whole_within_its_width() {
    let trial = estate();
    for words in documents() {
        for width in [40, 60, 80, 110, 140] {
            let said = at(&trial, &words, width);
            let flowing = said.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(!said.contains('…'), "`{words}` at {width}:\n{said}");
            for bank in BANKS {
                assert!(flowing.contains(bank), "`{words}` at {width} has no `{bank}`:\n{said}");
            }
            // The path of a file stays whole, for whoever copies it.
            let lines = said.lines().filter(|line| !line.starts_with("reports/"));
            let longest = lines.map(|line| line.chars().count()).max();
            assert!(longest <= Some(width), "`{words}` at {width} takes {longest:?}:\n{said}");
        }
    }
}

#[test]
fn the_answers_of_the_demo_are_its_goldens() {
    let trial = Trial::new();
    trial.run("demo --on 2027-03-14").done();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/commands/goldens");
    let makes = env::var_os(MAKE).is_some_and(|word| word == "make");
    if makes {
        fs::create_dir_all(&folder).unwrap();
    }
    let mut apart = Vec::new();
    for (name, words) in [
        ("week", "week"),
        ("week-all", "week --all"),
        ("check", "check \"mill bank\" --people 9"),
        ("pressure", "pressure --season 2026/27"),
        ("plan", "walk plan --for \"own use\" --site Ammerlow --want \"green leaf=500g\""),
        ("due", "due"),
        ("box", "box --month 2027-04 --count 3 --each \"green leaf=100g\""),
        ("advise", "survey advise"),
        ("weeks", "pressure --season 2026/27 --weeks"),
        ("calendar", "calendar"),
        ("month", "calendar --month 2027-04"),
    ] {
        for width in KEPT {
            let asked = format!("{words} --book demo.sqlite --on 2027-03-14");
            let said = at(&trial, &asked, width);
            let file = folder.join(format!("{name}-{width}.txt"));
            if makes {
                fs::write(&file, &said).unwrap();
            }
            if fs::read_to_string(&file).unwrap_or_default() != said {
                apart.push(format!("{}:\n{said}", file.display()));
            }
        }
    }
    assert!(apart.is_empty(), "{MAKE}=make makes them anew: {}", apart.join("\n"));
}
