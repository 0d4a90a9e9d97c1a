//! The schemas in `sites/schemas/`: that they are schemas, and that they would see what is wrong.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use stintbook::report;

use crate::hill::{LIFTED, SOUTH, SURVEY, WEST, patch, places, site};
use crate::schemas::{all, file_of, folder, version};
use crate::trial::Trial;

/// Every version that there is.
const VERSIONS: [&str; 22] = [
    report::BLURRED_SCHEMA,
    report::BOX_PLAN_SCHEMA,
    report::CALENDAR_SCHEMA,
    report::CHECK_SCHEMA,
    report::CROPS_SCHEMA,
    report::CROP_SCHEMA,
    report::DUE_SCHEMA,
    report::HISTORY_SCHEMA,
    report::MAP_SCHEMA,
    report::PLANNED_TAKES_SCHEMA,
    report::PRESSURE_SCHEMA,
    report::REHEARSAL_SCHEMA,
    report::SEASON_SCHEMA,
    report::SURVEY_ADVICE_SCHEMA,
    report::SURVEY_PLAN_SCHEMA,
    report::VERIFY_SCHEMA,
    report::WALK_LIST_SCHEMA,
    report::WALK_PLAN_SCHEMA,
    report::WALK_SPLIT_SCHEMA,
    report::WEEK_SCHEMA,
    report::YEARS_SCHEMA,
    stintbook::intake::PLACES_SCHEMA,
];

#[test]
fn each_version_has_a_schema_and_each_schema_a_version() {
    let wanted: BTreeSet<PathBuf> = VERSIONS.iter().map(|version| file_of(version)).collect();
    let found: BTreeSet<PathBuf> = all().into_keys().collect();
    assert_eq!(found, wanted);
    for (path, schema) in all() {
        jsonschema::meta::validate(&schema).unwrap_or_else(|it| panic!("{}: {it}", path.display()));
        let said = schema["properties"]["schema"]["enum"].as_array().unwrap();
        assert_eq!(said, std::slice::from_ref(&schema["title"]), "{}", path.display());
    }
}

/// A schema that knows a member by its absence alone tells nobody what may stand there.
#[test]
fn each_member_has_a_type_that_it_may_be_filled_with() {
    fn empty(schema: &Value, at: &str, all: &mut Vec<String>) {
        let is_list = schema["type"] == "array" && schema.get("items").is_none();
        if schema["type"] == "null" || is_list {
            all.push(at.to_owned());
        }
        for (name, property) in schema["properties"].as_object().into_iter().flatten() {
            empty(property, &format!("{at}/{name}"), all);
        }
        schema.get("items").into_iter().for_each(|items| empty(items, at, all));
    }
    let mut found = Vec::new();
    for (path, schema) in all() {
        empty(&schema, path.file_name().unwrap().to_str().unwrap(), &mut found);
    }
    found.retain(|member| !NEVER_FILLED.contains(&&**member));
    assert!(found.is_empty(), "{found:#?}");
}

/// Members that stand there for the sake of one form, and that nothing in these tests fills.
const NEVER_FILLED: [&str; 10] = [
    "box-plan-1.schema.json/weeks/stops/off_route_m",
    "check-1.schema.json/distance_m",
    "check-1.schema.json/recovery/tests/cut_again",
    "crop-1.schema.json/full_late_days",
    "crop-1.schema.json/leave_per_m2_count",
    "crop-1.schema.json/leave_per_m2_g",
    "pressure-3.schema.json/patches/days/allowed_count",
    "rehearsal-1.schema.json/left_out",
    "walk-plan-2.schema.json/without_limit",
    "walk-split-2.schema.json/short",
];

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

/// Every name that the code gives to a version stands in the list above.
#[test]
fn no_version_is_forgotten() {
    fn named(folder: &Path, all: &mut BTreeSet<String>) {
        for path in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                named(&path, all);
                continue;
            }
            let code = fs::read_to_string(&path).unwrap_or_default();
            let given = code.split("SCHEMA: &str = \"").skip(1);
            let given = given.filter_map(|rest| rest.split('"').next());
            all.extend(given.filter(|it| it.starts_with("stintbook.")).map(str::to_owned));
        }
    }
    let mut all = BTreeSet::new();
    named(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut all);
    assert_eq!(all, VERSIONS.iter().map(|version| (*version).to_owned()).collect());
}

/// Whatever is taken from a document, added to it or turned into another type is seen, but for
/// what not every document of its version has.
#[test]
fn a_schema_sees_what_is_gone_what_is_new_and_what_is_of_another_type() {
    let trial = Trial::new();
    trial.run("demo").done();
    let asked = "week --book demo.sqlite --on 2027-03-15 --format json";
    let week: Value = serde_json::from_str(&trial.run(asked).done()).unwrap();
    let file = file_of(version(&week).unwrap());
    let schema = jsonschema::validator_for(&all()[&file]).unwrap();
    assert!(schema.is_valid(&week));
    let spoilt = |spoil: &dyn Fn(&mut Value)| {
        let mut other = week.clone();
        spoil(&mut other);
        assert_ne!(other, week);
        schema.is_valid(&other)
    };
    let patch = week["patches"][0].as_object().unwrap();
    assert!(patch.len() > 20);
    for name in patch.keys().filter(|name| !name.ends_with("_g") && !name.ends_with("_count")) {
        let gone = |it: &mut Value| {
            it["patches"][0].as_object_mut().unwrap().shift_remove(name);
        };
        assert!(!spoilt(&gone), "without `{name}`");
        let other = |it: &mut Value| it["patches"][0][name] = serde_json::json!([1]);
        assert!(name == "ceilings" || !spoilt(&other), "`{name}` as a list");
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
