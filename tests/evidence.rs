//! What `check` shows of the evidence behind its number, and of the trend.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

/// The demo's book, asked from inside its folder.
struct Demo {
    folder: TempDir,
}

impl Demo {
    fn new() -> Self {
        let demo = Self { folder: TempDir::new().unwrap() };
        demo.run(&["demo"]);
        demo
    }

    fn folder(&self) -> &Path {
        self.folder.path()
    }

    fn run(&self, arguments: &[&str]) -> String {
        let output = Command::new(env!("CARGO_BIN_EXE_stintbook"))
            .current_dir(self.folder())
            .env("STINTBOOK", "demo.sqlite")
            .env("COLUMNS", "80")
            .args(arguments)
            .output()
            .unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        // 1: `check` says no, which is an answer too.
        assert!(matches!(output.status.code(), Some(0 | 1)), "{arguments:?}: {said}");
        String::from_utf8(output.stdout).unwrap()
    }

    fn check(&self, patch: &str) -> String {
        self.run(&["check", patch, "--full", "--on", "2027-03-15"])
    }

    fn check_data(&self, patch: &str) -> Value {
        let text = self.run(&["check", patch, "--on", "2027-03-15", "--format", "json"]);
        serde_json::from_str(&text).unwrap()
    }
}

fn section<'a>(text: &'a str, title: &str) -> &'a str {
    let start = text.find(&format!("\n{title}\n")).unwrap_or_else(|| panic!("no {title}: {text}"));
    let rest = &text[start + title.len() + 2..];
    let end = rest.find("\n\n").unwrap_or(rest.len());
    rest[..end].trim_start()
}

fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The two lines that stand flush left under TREND.
fn lines_to_load(text: &str) -> String {
    let lines: Vec<&str> =
        text.lines().skip_while(|line| !line.starts_with("site,patch,")).take(2).collect();
    assert_eq!(lines.len(), 2, "{text}");
    lines.join("\n") + "\n"
}

#[test]
fn a_declining_patch_says_so_with_numbers_before_any_rule() {
    let said = Demo::new().check("groyne bank");
    let verdict = &said[..said.find("HOW IT STANDS").unwrap()];
    let verdict = unwrapped(verdict);
    assert!(verdict.contains("The patch is declining, by some 29 % a year."), "{verdict}");
    assert_eq!(
        unwrapped(section(&said, "TREND")),
        "declining −29 % a year, 90 % interval −46 % to −8 %; 4 surveys from 25 Oct 2025 to 27 \
         Feb 2027, at 2 times of the year, told apart next season nothing is lowered by itself. \
         To match the loss, keep 83.8 % standing instead of 77.0 %: the share is then never over \
         16.2 %, not 23.0 %. To do so, save these two lines as a file, with your name for NAME, \
         and load it:"
    );
}

#[test]
fn the_lines_proposed_can_be_loaded_and_are_not_proposed_again() {
    let demo = Demo::new();
    let before = demo.check_data("groyne bank");
    let proposed = &before["trend"]["next_season"];
    let share = |data: &Value| data["terms"]["largest_share"].as_f64().unwrap();
    assert_eq!(proposed["kept_standing_proposed"], 0.838);
    assert_eq!((share(&before), &proposed["kept_standing_now"]), (0.23, &0.77.into()));
    // The share falls by what the patch loses in a year, to the third decimal.
    let kept = 1.0 + before["trend"]["change"]["per_year"].as_f64().unwrap();
    assert!((0.162 - 0.23 * kept).abs() < 1e-3, "{kept}");

    let lines = lines_to_load(&demo.check("groyne bank")).replace("NAME", "Ida");
    fs::write(demo.folder().join("lower.csv"), lines).unwrap();
    assert_eq!(demo.run(&["load", "lower.csv"]), "lower.csv: 1 override\n");

    let after = demo.check_data("groyne bank");
    assert_eq!(share(&after), 0.162);
    assert_eq!(after["trend"]["verdict"], "declining");
    assert_eq!(after["trend"]["next_season"]["set_on"], "2027-03-15");
    let said = demo.check("groyne bank");
    let trend = unwrapped(section(&said, "TREND"));
    assert!(trend.contains("`kept_standing` was set to 0.838 for this patch on 15 Mar 2027"));
    assert!(!said.contains("site,patch,"), "{said}");
    let others = demo.check_data("sea wall");
    assert_eq!(share(&others), 0.23, "another patch of the crop is left as it was");
}

#[test]
fn a_decline_lowers_nothing_by_itself() {
    let data = Demo::new().check_data("groyne bank");
    let reductions = data["reductions"].as_array().unwrap();
    assert!(reductions.iter().all(|found| found["name"] != "trend"));
    assert_eq!(data["terms"]["largest_share"], 0.23);
}

#[test]
fn too_few_surveys_give_no_word_and_say_what_it_takes() {
    let demo = Demo::new();
    let said = demo.check("mill bank");
    assert_eq!(
        section(&said, "TREND"),
        "\
  not known yet   it takes 3 surveys within 45 days of the same day of the year,
                  in two years or more; of 2 surveys, 2 can be paired so"
    );
    assert!(!said.contains("declining"));
    let data = demo.check_data("mill bank");
    assert_eq!(data["trend"]["verdict"], "not known yet");
    assert_eq!(
        (&data["trend"]["change"], &data["trend"]["next_season"]),
        (&Value::Null, &Value::Null)
    );
}

#[test]
fn an_interval_too_wide_for_a_word_is_shown_all_the_same() {
    let said = Demo::new().check("orchard floor");
    let trend = unwrapped(section(&said, "TREND"));
    assert!(
        trend.starts_with("not known yet +4 % a year is the best guess, but the 90 % interval"),
        "{trend}"
    );
}

#[test]
fn the_evidence_names_each_survey_and_glance_with_its_doubt_and_age() {
    let said = Demo::new().check("upper lea");
    assert_eq!(
        section(&said, "HOW SURE"),
        "\
  in short        14 quadrats, 8 days old, ±22 %; ±27 % by now, 1 glance since
  14 Mar 2027     glance by Tomas, 1 day old: 24 kg, read as 25.1 kg ±42 %;
                  moved what stands
  7 Mar 2027      survey by Tomas, 8 days old: 24.1 kg ±22 %; sets what stands
  18 Apr 2026     glance by Tomas, 331 days old: 29 kg ±42 %; how it looked
  4 Apr 2026      survey by Ida, 345 days old: 26.5 kg ±13 %; for full crop
  eyes            Tomas's eye −4 %, from 1 visit with a survey"
    );
}

#[test]
fn each_eye_is_measured_on_every_patch_of_the_crop() {
    let demo = Demo::new();
    // Three visits with both, on another patch: 50 % over each time.
    for (day, amounts) in [("01", "40 40 41"), ("08", "40 41 40"), ("15", "41 40 40")] {
        let on = format!("2026-09-{day}");
        let survey = ["survey", "sea wall", "--frame", "1", "--by", "Ida", "--on", &on];
        let amounts: Vec<&str> = amounts.split(' ').collect();
        demo.run(&[&survey[..], &amounts].concat());
        let found = demo.run(&["check", "sea wall", "--on", &on, "--format", "json"]);
        let found: Value = serde_json::from_str(&found).unwrap();
        let grams = found["state"]["standing_g"].as_f64().unwrap() * 1.5;
        let seen = format!("{grams:.0}g");
        demo.run(&["glance", "sea wall", &seen, "--by", "Marit", "--on", &on]);
    }
    let data = demo.check_data("groyne bank");
    let eyes = data["evidence"]["eyes"].as_array().unwrap();
    let marit = eyes.iter().find(|eye| eye["observer"] == "Marit").unwrap();
    // ln 1.5 over three visits, shrunk by one extra pair at 0 and new pairs weighing 1/2,
    // 1/3, 1/4: bias = ¾ · ln 1.5, so 1.5^¾ − 1. Her other glances had no survey.
    assert_eq!(marit["visits_with_survey"], 3);
    let bias = marit["bias"].as_f64().unwrap();
    assert!((bias - (1.5_f64.powf(0.75) - 1.0)).abs() < 0.01, "{bias}");
    let glance = data["evidence"]["sightings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|seen| seen["by"] == "Marit" && seen["kind"] == "glance")
        .unwrap();
    let read = glance["amount_g"].as_f64().unwrap() / (1.0 + bias);
    assert!((glance["read_as_g"].as_f64().unwrap() - read).abs() < 20.0);
    let said = unwrapped(&demo.check("groyne bank"));
    let told = format!("Marit's eye {:+.0} %, from 3 visits with a survey", 100.0 * bias);
    assert!(said.contains(&told), "{said}");
}

#[test]
fn the_evidence_stops_at_the_day_asked_about() {
    let demo = Demo::new();
    let text = demo.run(&["check", "groyne bank", "--on", "2026-03-01", "--format", "json"]);
    let data: Value = serde_json::from_str(&text).unwrap();
    let seen = data["evidence"]["sightings"].as_array().unwrap();
    assert!(!seen.is_empty());
    for sighting in seen {
        assert!(sighting["day"].as_str().unwrap() <= "2026-03-01");
        assert!(sighting["age_days"].as_i64().unwrap() >= 0);
    }
    assert_eq!(data["trend"]["verdict"], "not known yet");
}

#[test]
fn a_patch_never_surveyed_has_no_evidence_and_says_so() {
    let said = Demo::new().check("gate nettles");
    assert!(!said.contains("HOW SURE"));
    assert_eq!(section(&said, "TREND"), "not known yet   never surveyed");
}
