//! Many messy tables, each with what should come of it; what the book has of them is looked at to
//! the last figure.

use std::fs;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::hill::{patch, patch_of, places, polygon, site, square};
use crate::messy::{Came, Outcome};
use crate::said::Said;
use crate::trial::Trial;
use crate::workbooks::{Put, Rows, ods, xls, xlsx};
use Put::{Day, Merged, Nothing, Number, Text, Yes};

const TABLES: &str = include_str!("../fixtures/bring/tables.txt");

pub struct Case {
    what: String,
    file: String,
    bytes: Vec<u8>,
    outcome: Outcome,
    /// What the book has of it, a line a row of its export, and `unread N`.
    recorded: Vec<String>,
}

impl Trial {
    /// The hill with a hedge of what is counted in heads, and a brook on each of two sites.
    fn on_hill_and_dale() -> Self {
        let trial = Self::with_book();
        let (west, south) = (-20.5, 48.0);
        let ring = [
            (west, south),
            (west + 0.01, south),
            (west + 0.01, south + 0.01),
            (west, south + 0.01),
            (west, south),
        ];
        let dale = site().replace("Hill", "Dale");
        let dale = dale[..dale.find("\"geometry\"").unwrap()].to_owned()
            + "\"geometry\": "
            + &polygon(&ring)
            + "}";
        let brook = patch_of("Brook", "nettle-tops", &square(west + 0.001, south + 0.005));
        let features = [
            site(),
            patch("Bank", "nettle-tops", 1),
            patch("Field", "nettle-tops", 3),
            patch("Wood", "ramsons-leaf", 5),
            patch("Elder hedge", "elder-flower", 7),
            patch("Brook", "nettle-tops", 9),
            dale,
            brook.replace("\"site\": \"Hill\"", "\"site\": \"Dale\""),
        ];
        trial.load("places.geojson", places(&features)).done();
        trial
    }

    /// All rows of the book's tables, without what says when they were written down.
    fn rows(&self) -> Vec<String> {
        let out = self.path("out");
        _ = fs::remove_dir_all(&out);
        self.run("export out --whole").done();
        let mut rows = Vec::new();
        for file in self.files("out") {
            let Some(kind) = file.strip_suffix(".csv") else { continue };
            let text = self.read(&format!("out/{file}"));
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let columns = reader.headers().unwrap().clone();
            for record in reader.records().map(Result::unwrap) {
                let told = columns.iter().zip(&record).filter(|(column, cell)| {
                    !cell.is_empty() && !["recorded_on", "fact", "sure"].contains(column)
                });
                let cells: Vec<&str> = told.map(|(_, cell)| cell).collect();
                rows.push(format!("{kind} {}", cells.join(" ")));
            }
        }
        rows.sort();
        rows
    }

    fn bring(&self, file: &str, more: &str) -> Said {
        self.run(&format!("bring {file} --yes --sure {more}"))
    }
}

impl Case {
    /// What is otherwise than it should be, if anything.
    fn fault(&self) -> Option<String> {
        let trial = Trial::on_hill_and_dale();
        trial.write(&self.file, &self.bytes);
        let first = trial.bring(&self.file, "");
        let said = match &self.outcome {
            Outcome::AtOnce => first,
            Outcome::Refused(words) => {
                let told = first.err.split_whitespace().collect::<Vec<_>>().join(" ");
                let is_refused = first.status == 2 && told.contains(words.as_str());
                return (!is_refused || !trial.rows().is_empty()).then(|| format!("{first:?}"));
            }
            Outcome::After(words) => {
                if first.status != 2 || !trial.rows().is_empty() {
                    return Some(format!("it was not asked about: {first:?}"));
                }
                trial.bring(&self.file, words)
            }
        };
        if said.status != 0 {
            return Some(said.err);
        }
        let mut rows = trial.rows();
        let again = trial
            .bring(&self.file, if let Outcome::After(words) = &self.outcome { words } else { "" });
        if again.status != 0 || trial.rows() != rows {
            return Some(format!("brought again it adds something: {again:?}"));
        }
        let unread = trial.files(".").into_iter().find(|name| name.ends_with("-unread.csv"));
        if let Some(unread) = unread {
            let text = trial.read(&unread);
            let back = csv::Reader::from_reader(text.as_bytes()).records().count();
            rows.push(format!("unread {back}"));
        }
        let mut wanted = self.recorded.clone();
        wanted.sort();
        rows.sort();
        (rows != wanted).then(|| format!("wanted {wanted:#?}\nfound {rows:#?}\n{}", said.out))
    }
}

pub fn of_text() -> Vec<Case> {
    let blocks = TABLES.split("\n=== ").skip(1);
    let case = |block: &str| {
        let (head, rest) = block.split_once('\n').unwrap();
        let (text, recorded) = rest.split_once("---").unwrap();
        let parts: Vec<&str> = head.split(" | ").collect();
        let (file, encoding) = parts[1].split_once(" in ").unwrap_or((parts[1], "utf-8"));
        let bytes = match encoding {
            "windows-1252" => encoding_rs::WINDOWS_1252.encode(text).0.into_owned(),
            "utf-16" => {
                [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
            }
            _ => text.as_bytes().to_vec(),
        };
        let outcome = match parts[2].split_once(' ') {
            Some(("after", words)) => Outcome::After(words.to_owned()),
            Some(("refused", words)) => Outcome::Refused(words.to_owned()),
            _ => Outcome::AtOnce,
        };
        Case {
            what: parts[0].to_owned(),
            file: file.to_owned(),
            bytes,
            outcome,
            recorded: recorded.lines().filter(|line| !line.is_empty()).map(str::to_owned).collect(),
        }
    };
    blocks.map(case).collect()
}

/// The same sheets as all three kinds of workbook, but for those that one of them cannot have.
pub fn of_workbooks() -> Vec<Case> {
    let mut cases = Vec::new();
    let mut add = |what: &str, sheets: &[(&str, Rows)], outcome: Outcome, recorded: &[&str]| {
        let has_merged = sheets
            .iter()
            .any(|(_, rows)| rows.iter().flatten().any(|cell| matches!(cell, Merged(..))));
        let made = [("xlsx", xlsx(sheets)), ("ods", ods(sheets)), ("xls", xls(sheets))];
        for (end, bytes) in made.into_iter().filter(|(end, _)| !(has_merged && *end == "xls")) {
            cases.push(Case {
                what: format!("{what} ({end})"),
                file: format!("notebook.{end}"),
                bytes,
                outcome: outcome.clone(),
                recorded: recorded.iter().map(|line| (*line).to_owned()).collect(),
            });
        }
    };
    let header = || vec![Text("Date"), Text("Patch"), Text("By"), Text("Weight (kg)")];
    let row =
        |day, patch, weight| vec![Day(2021, 3, day), Text(patch), Text("Ida"), Number(weight)];
    add(
        "days and numbers as cells",
        &[("Cuts", vec![header(), row(4, "Bank", 0.25), row(5, "Field", 1.25)])],
        Outcome::AtOnce,
        &["cuts Hill/Bank 2021-03-04 Ida 250 part", "cuts Hill/Field 2021-03-05 Ida 1250 part"],
    );
    add(
        "titles, gaps between and a total",
        &[(
            "Cuts",
            vec![
                vec![Text("Picking, all of it")],
                vec![],
                header(),
                row(4, "Bank", 0.25),
                vec![],
                row(5, "Field", 0.5),
                vec![Text("Total"), Nothing, Nothing, Number(0.75)],
            ],
        )],
        Outcome::AtOnce,
        &["cuts Hill/Bank 2021-03-04 Ida 250 part", "cuts Hill/Field 2021-03-05 Ida 500 part"],
    );
    add(
        "several sheets of several kinds",
        &[
            ("Cuts", vec![header(), row(4, "Bank", 0.25)]),
            ("Notes", vec![]),
            (
                "By eye",
                vec![
                    vec![Text("Date"), Text("Patch"), Text("Who"), Text("What stands")],
                    vec![Day(2021, 3, 6), Text("Bank"), Text("Ida"), Text("3 kg")],
                ],
            ),
        ],
        Outcome::AtOnce,
        &["cuts Hill/Bank 2021-03-04 Ida 250 part", "glances Hill/Bank 2021-03-06 Ida 3000g"],
    );
    add(
        "merged cells over several rows",
        &[(
            "Cuts",
            vec![
                vec![Text("Patch"), Text("Date"), Text("By"), Text("Mass g")],
                vec![Merged("Bank", 2), Day(2021, 3, 4), Text("Ida"), Number(250.0)],
                vec![Nothing, Day(2021, 3, 5), Text("Ida"), Number(260.0)],
                vec![Text("Field"), Day(2021, 3, 5), Text("Ida"), Number(270.0)],
            ],
        )],
        Outcome::AtOnce,
        &[
            "cuts Hill/Bank 2021-03-04 Ida 250 part",
            "cuts Hill/Bank 2021-03-05 Ida 260 part",
            "cuts Hill/Field 2021-03-05 Ida 270 part",
        ],
    );
    add(
        "one weight for two rows",
        &[(
            "Cuts",
            vec![
                vec![Text("Patch"), Text("Date"), Text("By"), Text("Harvest")],
                vec![Text("Bank"), Day(2021, 3, 4), Text("Ida"), Merged("2 kg", 2)],
                vec![Text("Field"), Day(2021, 3, 4), Text("Ida"), Nothing],
                vec![Text("Field"), Day(2021, 3, 5), Text("Ida"), Text("270 g")],
            ],
        )],
        Outcome::AtOnce,
        &["cuts Hill/Field 2021-03-05 Ida 270 part", "unread 2"],
    );
    add(
        "yes as a cell has it",
        &[(
            "Permissions",
            vec![
                vec![Text("Site"), Text("Basis"), Text("From"), Text("By"), Text("ask_first")],
                vec![Text("Hill"), Text("verbal"), Day(2021, 3, 1), Text("Ida"), Yes(true)],
            ],
        )],
        Outcome::AtOnce,
        &["permissions Hill spoken 2021-03-01 yes no 2021-03-01 Ida"],
    );
    add(
        "a weight in no unit",
        &[(
            "Cuts",
            vec![
                vec![Text("Date"), Text("Patch"), Text("By"), Text("Weight")],
                vec![Day(2021, 3, 4), Text("Bank"), Text("Ida"), Number(1250.0)],
            ],
        )],
        Outcome::After("--unit Weight=g".to_owned()),
        &["cuts Hill/Bank 2021-03-04 Ida 1250 part"],
    );
    add(
        "a sheet of which nobody knows what it is",
        &[("Sheet1", vec![header(), row(4, "Bank", 0.25)])],
        Outcome::After("--as cuts".to_owned()),
        &["cuts Hill/Bank 2021-03-04 Ida 250 part"],
    );
    add(
        "one sheet of two",
        &[
            ("2021", vec![header(), row(4, "Bank", 0.25)]),
            ("Old", vec![header(), row(5, "Nowhere", 0.5)]),
        ],
        Outcome::After("--as cuts --sheet 2021".to_owned()),
        &["cuts Hill/Bank 2021-03-04 Ida 250 part"],
    );
    add(
        "a number where a day should be",
        &[(
            "Cuts",
            vec![
                header(),
                vec![Number(44270.0), Text("Bank"), Text("Ida"), Number(0.3)],
                row(5, "Bank", 0.25),
            ],
        )],
        Outcome::AtOnce,
        &["cuts Hill/Bank 2021-03-05 Ida 250 part", "unread 1"],
    );
    add(
        "nothing",
        &[("Sheet1", vec![])],
        Outcome::Refused("there is nothing in it".to_owned()),
        &[],
    );
    cases
}

/// Some at a time.
pub fn came(cases: &[Case]) -> Vec<Came> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut all = Vec::new();
        while let Some(case) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
            let fault = case.fault().map(|fault| format!("{}: {fault}", case.what));
            all.push(Came { outcome: case.outcome.clone(), fault });
        }
        all
    };
    std::thread::scope(|scope| {
        let hands: Vec<_> = (0..4).map(|_| scope.spawn(work)).collect();
        hands.into_iter().flat_map(|hand| hand.join().unwrap()).collect()
    })
}
