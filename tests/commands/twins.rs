//! Every figure of how a cut stood to what was allowed, wherever the demo shows it, against its
//! twin elsewhere.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde_json::Value;
use stintbook::units::{percent, spoken_day};

use crate::trial::Trial;

const SITES: [&str; 3] = ["Ammerlow", "Gullhythe", "Wendlestow"];
const ON: &str = "--book demo.sqlite --on 2027-03-15";

/// A day with a cut, as the data of `pressure` tell it.
#[derive(Debug)]
struct CutDay {
    part: Option<f64>,
    allowed: Option<f64>,
    taken: f64,
    over: bool,
}

/// By site, patch and day.
type CutDays = BTreeMap<(String, String, Date), CutDay>;

#[derive(Debug)]
struct Hardest {
    part: f64,
    on: Date,
    over: bool,
}

impl Hardest {
    fn percent(&self) -> String {
        percent(self.part)
    }
}

fn demo() -> (Trial, CutDays, BTreeMap<(String, String), Hardest>) {
    let trial = Trial::new();
    trial.run("demo").done();
    let days = cut_days(&trial);
    let mut hardest: BTreeMap<(String, String), Hardest> = BTreeMap::new();
    for ((site, patch, on), day) in &days {
        let Some(part) = day.part else { continue };
        let found = hardest.entry((site.clone(), patch.clone())).or_insert(Hardest {
            part,
            on: *on,
            over: day.over,
        });
        if part > found.part {
            *found = Hardest { part, on: *on, over: day.over };
        }
    }
    assert!(days.len() >= 19 && hardest.len() >= 14, "{} {}", days.len(), hardest.len());
    (trial, days, hardest)
}

/// From the CSV of `pressure`: each is told with what it was a part of.
fn cut_days(trial: &Trial) -> CutDays {
    let text = trial.run(&format!("pressure {ON} --season 2026/27 --format csv")).done();
    let mut days = CutDays::new();
    for row in rows(&text) {
        let amount = |name: &str| -> Option<f64> {
            let cells = ["g", "count"].map(|unit| row[&format!("{name}_{unit}")].as_str());
            cells.iter().find_map(|cell| cell.parse().ok())
        };
        let Some(taken) = amount("cut").filter(|taken| *taken > 0.0) else { continue };
        let part = row["part_of_allowed"].parse().ok();
        let day = CutDay { part, allowed: amount("allowed"), taken, over: row["over"] == "true" };
        if let Some((part, allowed)) = day.part.zip(day.allowed) {
            near(part, taken / allowed, &format!("{row:?}"));
            assert_eq!(day.over, part > 1.05, "{row:?}");
        }
        days.insert((row["site"].clone(), row["patch"].clone(), row["day"].parse().unwrap()), day);
    }
    days
}

fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_reader(text.as_bytes());
    table.deserialize().map(Result::unwrap).collect()
}

/// Within the four digits that tables are written with.
fn near(one: f64, other: f64, what: &str) {
    assert!((one - other).abs() <= 2e-4 * other.max(1.0), "{one} is not {other}: {what}");
}

fn reports(trial: &Trial, site: &str, ending: &str) -> String {
    trial.read(&format!("reports/{}-2026-27{ending}", site.to_lowercase()))
}

/// What a reader reads, without its marks.
fn text_of(html: &str) -> String {
    let mut text = String::new();
    for part in html.split('<') {
        text += part.split_once('>').map_or(part, |(_, words)| words);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn each_days_ruling_is_one_in_the_tables_of_the_report_and_of_pressure() {
    let (trial, days, hardest) = demo();
    let mut told = 0;
    for site in SITES {
        for row in rows(&reports(&trial, site, "-visits.csv")) {
            let key = (site.to_owned(), row["patch"].clone(), row["day"].parse().unwrap());
            let twin = &days[&key];
            let number = |name: &str| row[&format!("{name}_g")].parse::<f64>().ok();
            let number = |name| number(name).or_else(|| row[&format!("{name}_count")].parse().ok());
            near(number("taken").unwrap(), twin.taken, &format!("{row:?}"));
            assert_eq!(row["over"] == "true", twin.over, "{row:?}");
            assert_eq!(number("allowed").is_some(), twin.allowed.is_some(), "{row:?}");
            if let Some((here, there)) = number("allowed").zip(twin.allowed) {
                near(here, there, &format!("{row:?}"));
            }
            told += 1;
        }
        let geojson: Value =
            serde_json::from_str(&reports(&trial, site, "-patches.geojson")).unwrap();
        let features = geojson["features"].as_array().unwrap();
        let table = rows(&reports(&trial, site, "-patches.csv"));
        assert_eq!(features.len(), table.len());
        for (row, feature) in table.iter().zip(features) {
            let twin = hardest.get(&(site.to_owned(), row["patch"].clone()));
            let here: Option<f64> = row["hardest_cut_of_allowed"].parse().ok();
            assert_eq!(feature["properties"]["hardest_cut_of_allowed"].as_f64(), here);
            assert_eq!(here.is_some(), twin.is_some(), "{row:?}");
            if let Some((here, twin)) = here.zip(twin) {
                near(here, twin.part, &format!("{row:?}"));
                assert_eq!(row["hardest_cut_on"], twin.on.to_string(), "{row:?}");
            }
            let over = days.iter().filter(|((place, patch, _), day)| {
                place == site && *patch == row["patch"] && day.over
            });
            assert_eq!(row["cuts_over_allowed"], over.count().to_string(), "{row:?}");
        }
    }
    assert_eq!(told, days.len());
    let text = trial.run(&format!("pressure {ON} --season 2026/27 --format json")).done();
    let data: Value = serde_json::from_str(&text).unwrap();
    for patch in data["patches"].as_array().unwrap() {
        let name = |of: &str| patch[of].as_str().unwrap().to_owned();
        let twin = hardest.get(&(name("site"), name("patch")));
        let part = patch["hardest_cut_of_allowed"].as_f64();
        assert_eq!(part.is_some(), twin.is_some(), "{}", name("patch"));
        part.zip(twin).inspect(|(part, twin)| near(*part, twin.part, &name("patch")));
    }
}

#[test]
fn the_hardest_cut_of_a_patch_is_one_figure_on_every_page_map_and_table() {
    let (trial, _, hardest) = demo();
    let table = trial.run(&format!("pressure {ON} --season 2026/27")).done();
    for site in SITES {
        let page = reports(&trial, site, ".html");
        let maps = reports(&trial, site, "-map.svg");
        let patches = rows(&reports(&trial, site, "-patches.csv"));
        let section = table.split_once(&format!("\n{}\n", site.to_uppercase())).unwrap().1;
        for row in &patches {
            let (number, name) = (&row["number"], &row["patch"]);
            let is_its = |line: &&str| line.trim_start().starts_with(name.as_str());
            let in_table = section.lines().find(is_its).unwrap();
            let cell = page.split_once(&format!("title=\"p{number}-hardest\">"));
            let cell = cell.map(|(_, cell)| text_of(cell.split_once("</td>").unwrap().0));
            let Some(twin) = hardest.get(&(site.to_owned(), name.clone())) else {
                assert!(cell.is_none_or(|cell| cell == "–"), "{name}");
                let on_map = format!("{number}, {name}: not cut");
                assert!(maps.contains(&on_map) && page.contains(&on_map), "{name}");
                continue;
            };
            let (part, day) = (twin.percent(), spoken_day(twin.on));
            let mark = if twin.over { "▲ " } else { "" };
            assert_eq!(cell.unwrap(), format!("{mark}{part}{day}"), "{name}");
            let over = if twin.over { ", over the limit" } else { "" };
            let on_map = format!("{number}, {name}: {part} on {day}{over}");
            assert!(maps.contains(&on_map), "no `{on_map}` on the map of pressure");
            assert!(page.contains(&on_map), "no `{on_map}` on the map of the report");
            let in_key = format!("{name} · {part}");
            assert!(text_of(&page).contains(&in_key), "no `{in_key}` in the key");
            let over = if twin.over { " OVER" } else { "" };
            assert!(in_table.trim_end().ends_with(&format!(" {part}{over}")), "{in_table}");
        }
    }
}

#[test]
fn an_overrun_is_told_with_one_figure_by_every_command_page_and_plot() {
    let (trial, days, _) = demo();
    let one_line = |said: String| said.split_whitespace().collect::<Vec<_>>().join(" ");
    let pressure = one_line(trial.run(&format!("pressure {ON} --season 2026/27")).done());
    let verify = one_line(trial.run("verify --book demo.sqlite").no());
    let mut told = 0;
    for site in SITES {
        let page = reports(&trial, site, ".html");
        let words = text_of(&page);
        let plot = reports(&trial, site, ".svg");
        let over = days.iter().filter(|((place, ..), day)| place == site && day.over);
        let mut figures: Vec<String> = Vec::new();
        for ((_, patch, on), day) in over {
            let amount = |value: f64| stintbook::units::Amount::grams(value).to_string();
            let (taken, on) = (amount(day.taken), spoken_day(*on));
            let allowed = match day.allowed.unwrap() {
                most if most > 0.0 => amount(most),
                _ => "nothing".to_owned(),
            };
            let cut = format!("{taken} cut where {allowed} was allowed");
            for (said, found) in [
                (&pressure, format!("- {site}/{patch} on {on}, {cut}")),
                (&words, format!("{on}, {patch}: {cut}")),
            ] {
                assert!(said.contains(&found), "no `{found}` in:\n{said}");
            }
            let (head, cut_of) =
                (format!("{site}/{patch}: cut "), format!(" of {taken} on {on}, but "));
            let mut named = verify.split(&head).skip(1).filter(|line| line.contains(&cut_of));
            let line = named.next().unwrap_or_else(|| panic!("{site}/{patch} in:\n{verify}"));
            if allowed != "nothing" {
                assert!(line.contains(&format!("but {allowed} was the most allowed")), "{line}");
            }
            figures.extend(day.part.map(percent));
            told += 1;
        }
        // A plot marks the hardest overrun of each patch with its figure, and none else.
        let drawn: Vec<&str> =
            plot.lines().map(str::trim).filter(|line| is_percent(line)).collect();
        assert!(
            drawn.iter().all(|figure| figures.iter().any(|known| known == figure)),
            "{drawn:?}"
        );
        assert_eq!(drawn.is_empty(), figures.is_empty(), "{site}");
        for figure in &drawn {
            assert!(page.lines().any(|line| line.trim() == *figure), "the report's own plot");
        }
    }
    assert!(told >= 1, "the demo has no overrun to tell");
    assert_eq!(pressure.matches(" cut where ").count(), told);
}

fn is_percent(line: &str) -> bool {
    line.strip_suffix(" %").is_some_and(|number| number.parse::<f64>().is_ok())
}

/// What `cut` says as it records is what `verify` and `pressure` say from then on.
#[test]
fn what_cut_says_of_a_limit_is_what_is_said_of_it_afterwards() {
    let trial = Trial::new();
    trial.run("demo").done();
    let one_line = |said: String| said.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = one_line(trial.run(&format!("cut \"garden nettles\" 12kg --by Ida {ON}")).done());
    let most = said.split_once(" more than the ").unwrap().1;
    let most = most.split_once(" allowed; charged by weight").unwrap().0.to_owned();
    let verify = one_line(trial.run("verify --book demo.sqlite").no());
    let verified = format!("of 12 kg on 15 Mar 2027, but {most} was the most allowed");
    assert!(verify.contains(&verified), "no `{verified}` in:\n{verify}");
    let pressure = one_line(trial.run(&format!("pressure {ON}")).done());
    let pressed = format!("Garden nettles on 15 Mar 2027, 12 kg cut where {most} was allowed");
    assert!(pressure.contains(&pressed), "no `{pressed}` in:\n{pressure}");
}

/// Typed with nothing said, with a slip of the count, by weight, or from a file that says `all`:
/// 12 kg where 3 kg were allowed shut the patch until the same day.
#[test]
fn a_cut_over_its_limit_shuts_the_patch_for_as_long_through_every_door() {
    let opening = |record: &dyn Fn(&Trial)| {
        let trial = Trial::new();
        trial.run("demo").done();
        record(&trial);
        let said = trial.run(&format!("check \"garden nettles\" {ON} --format json"));
        serde_json::from_str::<Value>(&said.no()).unwrap()["opens_on"].clone()
    };
    let typed = |words: &'static str| {
        opening(&move |trial: &Trial| {
            trial.run(&format!("cut \"garden nettles\" 12kg --by Ida {words} {ON}")).done();
        })
    };
    let loaded = |taken: &'static str| {
        opening(&move |trial: &Trial| {
            let rows = format!(
                "patch,date,by,mass_g,taken\nWendlestow/Garden nettles,2027-03-15,Ida,12000,{taken}\n"
            );
            trial.write("cuts.csv", rows);
            trial.run(&format!("load cuts.csv {ON}")).done();
        })
    };
    let nothing_said = typed("");
    assert!(nothing_said.is_string(), "{nothing_said}");
    for other in [typed("--part"), typed("--one-in 200 --sure"), loaded("all"), loaded("part")] {
        assert_eq!(other, nothing_said);
    }
}
