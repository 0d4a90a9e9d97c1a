//! A plainly synthetic site of forty patches on the open sea, used through a season.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use crate::made::run;

const WEST: f64 = -20.0;
const SOUTH: f64 = 48.0;
const BEFORE: [&str; 5] = ["North", "South", "East", "West", "Upper"];
const BEHIND: [&str; 8] = ["bank", "lea", "hedge", "hanger", "ride", "corner", "dell", "row"];
/// Each crop, the day of its surveys, and days on which it is cut.
const CROPS: [(&str, &str, [&str; 2]); 8] = [
    ("nettle-tops", "2026-03-20", ["2026-09-28", "2026-10-28"]),
    ("ramsons-leaf", "2026-03-25", ["2026-09-04", "2026-09-20"]),
    ("sorrel-leaf", "2026-04-01", ["2026-09-20", "2026-10-10"]),
    ("chickweed-tops", "2026-03-01", ["2026-10-12", "2026-11-20"]),
    ("blackberry", "2026-08-01", ["2026-09-16", "2026-10-01"]),
    ("sloe", "2026-09-01", ["2026-10-03", "2026-10-20"]),
    ("sea-beet-leaf", "2026-05-20", ["2026-06-01", "2026-11-01"]),
    ("alexanders-shoot", "2026-03-02", ["2026-03-14", "2026-11-22"]),
];

/// Its book in the folder `large`, and its report.
pub fn reported(folder: &Path) {
    let folder = folder.join("large");
    run(folder.parent().unwrap(), &["new", "large"]);
    let (surveys, cuts) = tables();
    let permission = "site,basis,for,from,by,recorded_on\nLongmoor,written,own use; walk; sale,\
                      2025-01-01,Ida,2025-01-01\n";
    let files = [
        ("places.geojson", places()),
        ("permissions.csv", permission.to_owned()),
        ("surveys.csv", surveys),
        ("cuts.csv", cuts),
    ];
    for (name, text) in files {
        fs::write(folder.join(name), text).unwrap();
        run(&folder, &["load", name, "--sure", "--on", "2027-03-14"]);
    }
    run(&folder, &["report", "Longmoor", "--season", "2026/27", "--on", "2027-03-14"]);
}

fn name(number: usize) -> String {
    format!("{} {}", BEFORE[number % 5], BEHIND[number / 5])
}

fn places() -> String {
    let mut features = vec![feature("\"site\", \"name\": \"Longmoor\"", WEST, SOUTH, 0.014, 0.010)];
    for number in 0..40 {
        let (column, row) = ((number % 8) as f64, (number / 8) as f64);
        let (west, south) = (WEST + 0.0008 + column * 0.0016, SOUTH + 0.0012 + row * 0.0017);
        let properties = format!(
            "\"patch\", \"name\": \"{}\", \"site\": \"Longmoor\", \"crop\": \"{}\"",
            name(number),
            CROPS[number % 8].0
        );
        let wide = 0.0003 + 0.0001 * (number * 7 % 6) as f64;
        features.push(feature(&properties, west, south, wide, 0.0002 + wide / 3.0));
    }
    format!(
        "{{\"type\": \"FeatureCollection\", \"by\": \"Ida\", \"recorded_on\": \"2025-01-02\", \
         \"features\": [{}]}}\n",
        features.join(",\n")
    )
}

fn feature(kind: &str, west: f64, south: f64, wide: f64, high: f64) -> String {
    let (east, north) = (west + wide, south + high);
    format!(
        "{{\"type\": \"Feature\", \"properties\": {{\"kind\": {kind}}}, \"geometry\": {{\"type\": \
         \"Polygon\", \"coordinates\": [[[{west},{south}],[{east},{south}],[{east},{north}],\
         [{west},{north}],[{west},{south}]]]}}}}"
    )
}

/// Nine patches in ten are surveyed, two in three are cut, some of them harder than they bear.
fn tables() -> (String, String) {
    let mut surveys = "patch,date,by,frame_area_m2,mass_g,recorded_on\n".to_owned();
    let mut cuts = "patch,date,by,mass_g,taken,people,recorded_on\n".to_owned();
    for number in 0..40 {
        let (name, (_, seen, days)) = (name(number), CROPS[number % 8]);
        for quadrat in (0..10).filter(|_| number % 9 != 4) {
            let mass = 15 + (number * 3 + quadrat * 7) % 31;
            writeln!(surveys, "Longmoor/{name},{seen},Ida,0.25,{mass},{seen}").unwrap();
        }
        for (n, day) in days.iter().enumerate().filter(|(n, _)| number % 3 != 1 && *n <= number % 2)
        {
            let mass = [120, 300, 4000, 450][(number + n) % 4];
            let people = 2 + number % 7;
            writeln!(cuts, "Longmoor/{name},{day},Ida,{mass},,{people},{day}").unwrap();
        }
    }
    (surveys, cuts)
}
