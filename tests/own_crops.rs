//! Crops of a user's own: read by every command, checked like the built-in ones, and marked.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use serde_json::{Value, json};
use tempfile::TempDir;

const SEA_PLANTAIN: &str = r#"
[sea-plantain-leaf]
common_name = "Sea plantain, leaf"
scientific_name = "Plantago maritima"
part = "leaf"
kitchen_role = "sea vegetable"
habit = "slow leaf"
season = "04-15..09-30"
take_fraction = 0.10
recovery_days = 60
cut_method = "One leaf in three."
look_alikes = [{ name = "sea arrowgrass", grade = "poisonous" }]
cautions = "Know the tide."
legal_note = "Local law comes first."
source.others = "our own record"
"#;

struct Said {
    status: i32,
    out: String,
    err: String,
}

/// A folder made by `new`, with one site and one patch of a crop.
struct Workspace {
    folder: TempDir,
}

impl Workspace {
    fn new() -> Self {
        let workspace = Self { folder: TempDir::new().unwrap() };
        assert_eq!(workspace.run(&["new", "."]).status, 0);
        workspace
    }

    fn with_own(toml: &str) -> Self {
        let workspace = Self::new();
        fs::write(workspace.own_crops(), toml).unwrap();
        workspace
    }

    fn own_crops(&self) -> PathBuf {
        self.folder.path().join("sites/crops.toml")
    }

    fn run(&self, arguments: &[&str]) -> Said {
        let output = Command::new(env!("CARGO_BIN_EXE_stintbook"))
            .current_dir(self.folder.path())
            .env_remove("STINTBOOK")
            .env("COLUMNS", "80")
            .args(arguments)
            .output()
            .unwrap();
        Said {
            status: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    fn data(&self, arguments: &[&str]) -> Value {
        let said = self.run(&[arguments, &["--format", "json"]].concat());
        serde_json::from_str(&said.out).unwrap_or_else(|_| panic!("{}", said.err))
    }

    /// A square of 80 m by 120 m on open sea with a strip of the crop, permitted and surveyed.
    fn with_patch_of(self, crop: &str) -> Self {
        let square = |west: f64, south: f64, side: f64| {
            json!({ "type": "Polygon", "coordinates": [[
                [west, south], [west + side, south], [west + side, south + side],
                [west, south + side], [west, south],
            ]] })
        };
        let feature = |properties: Value, geometry: Value| json!({ "type": "Feature", "properties": properties, "geometry": geometry });
        let places = json!({ "type": "FeatureCollection", "date": "2026-01-01", "by": "Ana", "features": [
            feature(json!({ "kind": "site", "name": "Saltings" }), square(-20.0, 48.0, 0.001)),
            feature(
                json!({ "kind": "patch", "name": "bank", "site": "Saltings", "crop": crop }),
                square(-19.9998, 48.0002, 0.0003),
            ),
        ] });
        fs::write(self.folder.path().join("sites/places.geojson"), places.to_string()).unwrap();
        let permissions = "site,basis,from,by\nSaltings,spoken,2026-01-01,Ana\n";
        fs::write(self.folder.path().join("sites/permissions.csv"), permissions).unwrap();
        let loaded = self.run(&["load", "sites/places.geojson", "sites/permissions.csv"]);
        assert_eq!(loaded.status, 0, "{}", loaded.err);
        let surveyed = self.run(&[
            "survey",
            "bank",
            "30",
            "40",
            "35",
            "50",
            "--frame",
            "0.25",
            "--by",
            "Ana",
            "--on",
            "2027-06-01",
        ]);
        assert_eq!(surveyed.status, 0, "{}", surveyed.err);
        self
    }
}

#[test]
fn a_new_folder_has_a_template_that_adds_no_crop() {
    let workspace = Workspace::new();
    let template = fs::read_to_string(workspace.own_crops()).unwrap();
    assert!(template.lines().all(|line| line.starts_with('#')), "{template}");
    let crops = workspace.data(&["crops"]);
    let crops = crops["crops"].as_array().unwrap();
    assert_eq!(crops.len(), 62);
    assert!(crops.iter().all(|crop| crop["own_file"] == Value::Null));
    assert!(!workspace.run(&["crops"]).out.contains("Your own"));
}

#[test]
fn what_the_template_shows_is_a_crop_once_its_marks_are_gone() {
    let workspace = Workspace::new();
    let template = fs::read_to_string(workspace.own_crops()).unwrap();
    let example = &template[template.find("# [").unwrap()..];
    let bare: Vec<&str> = example.lines().map(|line| line.trim_start_matches("# ")).collect();
    fs::write(workspace.own_crops(), bare.join("\n")).unwrap();
    let said = workspace.run(&["crops", "sea-plantain-leaf"]);
    assert_eq!(said.status, 0, "{}", said.err);
    let told = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("your own profile, from `sites/crops.toml`"), "{}", said.out);
}

#[test]
fn a_crop_of_ones_own_goes_all_the_way_to_a_limit_and_is_marked() {
    let workspace = Workspace::with_own(SEA_PLANTAIN).with_patch_of("sea-plantain-leaf");
    let table = workspace.run(&["crops"]).out;
    assert!(
        table.lines().any(|line| line.trim_start().starts_with("sea-plantain-leaf * ")),
        "{table}"
    );
    assert!(table.contains("* Your own, from `sites/crops.toml`."), "{table}");

    let check = workspace.run(&["check", "bank", "--full", "--on", "2027-06-02"]);
    assert_eq!(check.status, 0, "{}{}", check.out, check.err);
    let check = check.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        check.contains(
            "the profile of sea-plantain-leaf is your own, from `sites/crops.toml`, since the \
             catalogue has none"
        ),
        "{check}"
    );
    assert!(check.contains("back to 95 % of full in 60 days (our own record)"), "{check}");
    for arguments in [
        &["week", "--crop", "sea-plantain-leaf", "--on", "2027-06-02"][..],
        &["cut", "bank", "50g", "--people", "2", "--by", "Ana", "--on", "2027-06-02"],
        &["glance", "bank", "40kg", "--by", "Ana", "--on", "2027-06-03"],
        &["pressure", "--crop", "sea-plantain-leaf", "--on", "2027-06-03"],
        &["verify"],
        &["export", "copy"],
    ] {
        let said = workspace.run(arguments);
        assert_eq!(said.status, 0, "{arguments:?}: {}", said.err);
    }
}

#[test]
fn a_profile_of_ones_own_takes_the_place_of_the_catalogues() {
    let own = SEA_PLANTAIN.replace("[sea-plantain-leaf]", "[sea-beet-leaf]");
    let workspace = Workspace::new().with_patch_of("sea-beet-leaf");
    let before = workspace.data(&["check", "bank", "--on", "2027-06-02"]);
    assert_eq!(before["terms"]["recovery_days"], 42.0);
    fs::write(workspace.own_crops(), own).unwrap();
    let after = workspace.data(&["check", "bank", "--on", "2027-06-02"]);
    assert_eq!(after["terms"]["recovery_days"], 60.0);
    let first = after["assumptions"][0].as_str().unwrap();
    assert!(first.ends_with("from `sites/crops.toml`, in the place of the catalogue's"), "{first}");
    let crops = workspace.data(&["crops"]);
    let own: Vec<&Value> = crops["crops"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|crop| crop["own_file"] == "sites/crops.toml")
        .collect();
    assert_eq!((crops["crops"].as_array().unwrap().len(), own.len()), (62, 1));
    assert_eq!(own[0]["name"], "sea-beet-leaf");
}

#[test]
fn a_bad_file_stops_every_command_that_needs_a_crop_with_the_way_out() {
    let bad = SEA_PLANTAIN
        .replace("take_fraction = 0.10", "take_fraction = 0.05")
        .replace("source.others = \"our own record\"", "source.season = \"a flora\"");
    let workspace = Workspace::with_own(&bad);
    for arguments in [
        &["week"][..],
        &["crops"],
        &["crops", "nettle-tops"],
        &["load", "sites/surveys.csv"],
        &["pressure"],
        &["verify"],
    ] {
        let said = workspace.run(arguments);
        assert_eq!(said.status, 2, "{arguments:?}: {}", said.err);
        assert!(
            said.err.contains(
                "sites/crops.toml, `sea-plantain-leaf`, `take_fraction`: found `0.05`\n  \
                 expected a fraction over 0.05 and under 0.95"
            ),
            "{}",
            said.err
        );
        assert!(
            said.err.contains(
                "`source.recovery`: nothing is given\n  expected where the value comes from"
            ),
            "{}",
            said.err
        );
    }
    assert_eq!(workspace.run(&["history"]).status, 0, "what needs no crop minds no bad file");
}

#[test]
fn a_weighed_crop_cannot_become_a_counted_one_nor_the_reverse() {
    let counted = SEA_PLANTAIN
        .replace("[sea-plantain-leaf]", "[nettle-tops]")
        .replace("season =", "piece = \"top\"\nseason =");
    let said = Workspace::with_own(&counted).run(&["crops"]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("`nettle-tops`, `piece`: found `top`\n  expected no `piece`"),
        "{}",
        said.err
    );
    let weighed = SEA_PLANTAIN.replace("[sea-plantain-leaf]", "[elder-flower]");
    let said = Workspace::with_own(&weighed).run(&["crops"]);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("`elder-flower`, `piece`: nothing is given\n  expected `head`"),
        "{}",
        said.err
    );
}

#[test]
fn another_file_can_be_named_and_must_be_there() {
    let workspace = Workspace::with_own("this is no TOML");
    fs::write(workspace.folder.path().join("ours.toml"), SEA_PLANTAIN).unwrap();
    let said = workspace.run(&["crops", "sea-plantain-leaf", "--catalogue", "ours.toml"]);
    assert_eq!(said.status, 0, "{}", said.err);
    assert!(said.out.contains("from `ours.toml`"), "{}", said.out);
    let said = workspace.run(&["crops", "--catalogue", "gone.toml"]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("could not read `gone.toml`"), "{}", said.err);
    assert_eq!(workspace.run(&["crops", "--catalogue", "sites"]).status, 2, "a folder");
}

#[test]
fn a_file_that_is_no_text_is_named() {
    let workspace = Workspace::new();
    fs::write(workspace.own_crops(), [0xff, 0xfe, 0x00, 0x41]).unwrap();
    let said = workspace.run(&["crops"]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("sites/crops.toml: it is not UTF-8 text"), "{}", said.err);
}

#[test]
fn crops_are_not_loaded_and_load_says_where_they_are_read() {
    let said = Workspace::with_own(SEA_PLANTAIN).run(&["load", "sites/crops.toml"]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("`sites/crops.toml` is not loaded"), "{}", said.err);
}

#[test]
fn a_patch_whose_crop_is_gone_is_named_with_where_to_look() {
    let workspace = Workspace::with_own(SEA_PLANTAIN).with_patch_of("sea-plantain-leaf");
    fs::remove_file(workspace.own_crops()).unwrap();
    let said = workspace.run(&["week"]);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("`Saltings/bank` is a patch of `sea-plantain-leaf`"), "{}", said.err);
    assert!(said.err.contains("sites/crops.toml beside the book"), "{}", said.err);
}
