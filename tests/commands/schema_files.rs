//! The schemas in `sites/schemas/`: that they are schemas, and that they would see what is wrong.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{env, fs};

use serde_json::Value;

use crate::hill::{LIFTED, SOUTH, SURVEY, WEST, patch, places, site};
use crate::schemas::{file_of, folder, kept, made, version};
use crate::trial::Trial;

/// What is kept for users is what the types make; with `SCHEMAS=make` it is written anew.
#[test]
fn each_schema_that_is_kept_is_that_of_the_types() {
    let made = made();
    if env::var("SCHEMAS").is_ok_and(|wish| wish == "make") {
        kept().keys().filter(|path| !made.contains_key(*path)).for_each(|path| {
            fs::remove_file(path).unwrap();
        });
        made.iter().for_each(|(path, schema)| fs::write(path, format!("{schema:#}\n")).unwrap());
    }
    let kept = kept();
    assert_eq!(kept.keys().collect::<Vec<_>>(), made.keys().collect::<Vec<_>>());
    for (path, schema) in &made {
        let remedy = "`SCHEMAS=make cargo test --test commands schema_files` writes it anew";
        assert_eq!(kept[path], *schema, "{} is not as the types have it; {remedy}", path.display());
        jsonschema::meta::validate(schema).unwrap_or_else(|it| panic!("{}: {it}", path.display()));
        let title = schema["title"].as_str().unwrap();
        assert_eq!(file_of(title), *path);
    }
}

/// Every object says all that it may have, and every list what is in it, but for places on maps.
#[test]
fn no_schema_leaves_anything_open() {
    fn open(schema: &Value, at: &str, all: &mut Vec<String>) {
        let is = |name: &str| {
            let types = &schema["type"];
            types == name || types.as_array().is_some_and(|all| all.contains(&name.into()))
        };
        let closed = schema["additionalProperties"] == false || schema.get("oneOf").is_some();
        if is("object") && !closed || is("array") && schema.get("items").is_none() {
            all.push(at.to_owned());
        }
        for inner in ["properties", "$defs"] {
            for (name, part) in schema[inner].as_object().into_iter().flatten() {
                open(part, &format!("{at}/{name}"), all);
            }
        }
        for inner in ["items", "then", "else"] {
            schema.get(inner).into_iter().for_each(|part| open(part, at, all));
        }
        for part in schema["anyOf"].as_array().into_iter().flatten() {
            open(part, at, all);
        }
    }
    let mut found = Vec::new();
    for (path, schema) in made() {
        open(&schema, path.file_name().unwrap().to_str().unwrap(), &mut found);
    }
    assert!(found.is_empty(), "{found:#?}");
}

const ELDER: &str = "\
patch,date,by,frame_area_m2,count,recorded_on
Hill/Elder,2021-03-01,Ida,4,30,2021-03-01
Hill/Elder,2021-03-01,Ida,4,22,2021-03-01
Hill/Elder,2021-03-01,Ida,4,26,2021-03-01
";

/// A hill where something is weighed and something counted, with all that a place may have.
fn wide_hill() -> Trial {
    let trial = Trial::with_book();
    let cautioned = site().replace("\"Hill\"", "\"Hill\", \"cautions\": \"ticks\"");
    let features = [
        cautioned,
        patch("Bank", "nettle-tops", 1),
        patch("Wood", "ramsons-leaf", 5),
        patch("Elder", "elder-flower", 7),
    ];
    trial.write("places.geojson", places(&features));
    trial.write("permissions.csv", LIFTED).write("surveys.csv", SURVEY).write("elder.csv", ELDER);
    trial.run("load places.geojson permissions.csv surveys.csv elder.csv").done();
    trial.run("glance Hill/Elder \"80 heads\" --by Ida --on 2021-03-05").done();
    let found = "--look-alike \"deadly nightshade growing among it\" --by Ida --on 2021-03-06";
    trial.run(&format!("visit Hill/Bank {found}")).done();
    trial.write(
        "route.gpx",
        format!(
            "<gpx version=\"1.1\"><trk><trkseg><trkpt lat=\"{SOUTH}\" lon=\"{WEST}\"/>\
         <trkpt lat=\"48.01\" lon=\"{WEST}\"/></trkseg></trk></gpx>"
        ),
    );
    trial
}

/// Commands that tell machines of the hill, so that each member is filled in one of them.
const ON_THE_HILL: [&str; 15] = [
    "week --format json --near=-20,48 --within 5km --on 2021-05-25",
    "week --format geojson --near=-20,48 --within 5km --on 2021-05-25",
    "week --format json --blur 1km --on 2021-05-15",
    "check Hill/Elder --format json --on 2021-05-25",
    "check Hill/Bank --format json --on 2021-03-15",
    "walk plan --want nettle-tops=9kg --route route.gpx --corridor 5km --format json --on 2021-03-15",
    "walk plan --want nettle-tops=9kg --route route.gpx --corridor 5km --format geojson --on 2021-03-15",
    "walk plan --want \"elder-flower=4 heads\" --format json --on 2021-06-01",
    "walk plan --want \"elder-flower=4 heads,ramsons-leaf=9kg\" --format json --on 2021-04-15",
    "box --month 2021-04 --count 2 --each nettle-tops=20g --format json --on 2021-03-15 --recorded-on 2021-03-15",
    "calendar --for walk --format json --on 2021-03-15",
    "survey plan Hill/Bank --quadrats 4 --seed 7 --start=-20,48 --format geojson",
    "survey advise --format json --on 2021-05-25",
    "pressure --season 2020/21 --format json --on 2021-06-15",
    "history --format json",
];

#[test]
fn what_is_weighed_and_what_is_counted_are_as_their_schemas_have_them() {
    let trial = wide_hill();
    for words in ON_THE_HILL {
        let said = trial.run(words);
        assert!(said.status < 2, "{words}: {}", said.err);
        assert!(said.out.starts_with('{'), "{words}: {}", said.out);
    }
}

/// A crop of a keeper's own.
const OWN: &str = r#"
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

#[test]
fn every_crop_is_as_its_schema_has_it() {
    let trial = Trial::with_book();
    trial.write("sites/crops.toml", OWN);
    let crops: Value = serde_json::from_str(&trial.run("crops --format json").done()).unwrap();
    let crops = crops["crops"].as_array().unwrap();
    assert!(crops.len() > 20);
    assert!(crops.iter().any(|crop| crop["own_file"].is_string()));
    for crop in crops {
        trial.run(&format!("crops {} --format json", crop["name"].as_str().unwrap())).done();
    }
}

/// Every name that the code gives to a version has a schema.
#[test]
fn no_version_is_forgotten() {
    fn named(folder: &Path, all: &mut BTreeSet<String>) {
        for path in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                named(&path, all);
                continue;
            }
            let code = fs::read_to_string(&path).unwrap_or_default();
            let given = code.split(": &str = \"").skip(1);
            let given = given.filter_map(|rest| rest.split('"').next());
            let is_version = |it: &&str| it.starts_with("stintbook") && it.contains('/');
            all.extend(given.filter(is_version).map(str::to_owned));
        }
    }
    let mut all = BTreeSet::new();
    named(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut all);
    assert!(all.len() > 20);
    // Read by the script in the same file alone.
    assert!(all.remove(stintbook::report::FIELD_SCHEMA));
    let wanted: BTreeSet<PathBuf> = all.iter().map(|version| file_of(version)).collect();
    assert_eq!(wanted, made().into_keys().collect());
}

/// Whatever is taken from a document, added to it or turned into another type is seen.
#[test]
fn a_schema_sees_what_is_gone_what_is_new_and_what_is_of_another_type() {
    let trial = Trial::new();
    trial.run("demo").done();
    let asked = "week --book demo.sqlite --on 2027-03-15 --format json";
    let week: Value = serde_json::from_str(&trial.run(asked).done()).unwrap();
    let file = file_of(version(&week).unwrap());
    let schema = jsonschema::validator_for(&made()[&file]).unwrap();
    assert!(schema.is_valid(&week));
    let spoilt = |spoil: &dyn Fn(&mut Value)| {
        let mut other = week.clone();
        spoil(&mut other);
        assert_ne!(other, week);
        schema.is_valid(&other)
    };
    let patch = week["patches"][0].as_object().unwrap();
    assert!(patch.len() > 20);
    for name in patch.keys() {
        let gone = |it: &mut Value| {
            it["patches"][0].as_object_mut().unwrap().shift_remove(name);
        };
        assert!(!spoilt(&gone), "without `{name}`");
        let other = |it: &mut Value| it["patches"][0][name] = serde_json::json!([1]);
        assert!(!spoilt(&other), "`{name}` as a list");
        let both = |it: &mut Value| {
            let twin = name.replace("_g", "_count");
            it["patches"][0][twin] = 1.into();
        };
        assert!(!name.ends_with("_g") || !spoilt(&both), "`{name}` in two units");
    }
    assert!(!spoilt(&|it| it["patches"][0]["mood"] = "fair".into()));
    assert!(!spoilt(&|it| it["schema"] = "stintbook.week/0".into()));
    assert!(!spoilt(&|it| it["totals"] = "none".into()));
}

/// A want that the demo's patches meet in part, and others could.
#[test]
fn what_could_stand_in_for_a_want_is_as_its_schema_has_it() {
    let trial = Trial::new();
    trial.run("demo").done();
    let want =
        "walk plan --book demo.sqlite --on 2027-03-15 --want ramsons-leaf=50kg --format json";
    let plan: Value = serde_json::from_str(&trial.run(want).done()).unwrap();
    assert!(plan["wants"][0]["substitutes"].as_array().is_some_and(|all| !all.is_empty()));
    let season = "rehearse --book demo.sqlite --season 2026/27 --on 2027-03-14 --runs 10";
    trial.run(&format!("{season} --format json")).done();
}

#[test]
fn what_lies_in_the_reports_of_the_demo_is_as_its_schema_has_it() {
    let reports = folder().join("../../reports");
    crate::schemas::hold_files(&reports);
    let season = fs::read_to_string(reports.join("wendlestow-2026-27-patches.geojson")).unwrap();
    crate::schemas::hold(&season, "the report of a season");
}
