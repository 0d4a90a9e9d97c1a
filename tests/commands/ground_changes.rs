//! Patches that are retired, redrawn and split: what is known goes along, what is spent too.

use serde_json::Value;

use crate::hill::{LEVEL, LIFTED, SOUTH, WEST, polygon};
use crate::said::has;
use crate::trial::Trial;

/// Some 332 m², 10 quadrats of 30 g on a quarter of a square metre.
const BANK_WEST: f64 = WEST + 0.001;
const BANK_SOUTH: f64 = SOUTH + 0.005;
const SIDE: f64 = 0.0002;

/// From one part of the bank's width to another, and somewhat beyond it where that is over 1.
fn strip(from: f64, to: f64) -> String {
    let (west, east) = (BANK_WEST + SIDE * from, BANK_WEST + SIDE * to);
    let (south, north) = (BANK_SOUTH, BANK_SOUTH + SIDE);
    polygon(&[(west, south), (east, south), (east, north), (west, north), (west, south)])
}

fn parts(parts: &[(&str, String)]) -> String {
    let features: Vec<String> = parts
        .iter()
        .map(|(name, geometry)| {
            format!(
                "{{\"type\": \"Feature\", \"properties\": {{\"name\": \"{name}\"}}, \
                 \"geometry\": {geometry}}}"
            )
        })
        .collect();
    format!("{{\"type\": \"FeatureCollection\", \"features\": [{}]}}", features.join(","))
}

/// A quarter and three quarters.
fn quarters() -> String {
    parts(&[("Quarter", strip(0.0, 0.25)), ("Rest", strip(0.25, 1.0))])
}

const ON: &str = "--by Ida --on 2021-03-10 --recorded-on 2021-03-10";

struct Found {
    verdict: String,
    most: f64,
    standing: f64,
    share_left: f64,
    full: f64,
}

/// An amount in grams or in pieces, as the crop has it.
fn in_measure<'v>(values: &'v Value, name: &str) -> &'v Value {
    values.get(format!("{name}_g")).unwrap_or(&values[format!("{name}_count")])
}

fn check(trial: &Trial, patch: &str, day: &str) -> Found {
    let said = trial.run(&format!("check {patch} --on {day} --format json"));
    let answer: Value =
        serde_json::from_str(&said.out).unwrap_or_else(|_| panic!("{} {}", said.out, said.err));
    let number = |value: &Value| value.as_f64().unwrap_or(f64::NAN);
    Found {
        verdict: answer["verdict"].as_str().unwrap().to_owned(),
        most: number(in_measure(&answer, "most")),
        standing: number(in_measure(&answer["state"], "standing")),
        share_left: number(&answer["state"]["share_left"]),
        full: number(in_measure(&answer["state"], "full")),
    }
}

fn near(found: f64, expected: f64, part: f64) {
    assert!((found / expected - 1.0).abs() <= part, "{found} is not {expected}");
}

fn week(trial: &Trial, day: &str) -> String {
    trial.run(&format!("week --on {day} --all")).done()
}

#[test]
fn what_has_no_place_goes_to_each_part_amounts_by_area_and_what_is_spent_whole() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 1kg --people 4 --by Ida --on 2021-03-05").done();
    let whole = check(&trial, "bank", "2021-03-24");
    trial.write("parts.json", quarters());
    let said = trial.run(&format!("split bank parts.json --why fenced {ON}")).done();
    has(&said, &["Hill/Bank is split from 10 Mar 2021: fenced", "Quarter: 83 m², 25 %"]);
    has(&said, &["Rest: 249 m², 75 %", "Hill/Bank: closed from 10 Mar 2021"]);
    for (part, of_it) in [("quarter", 0.25), ("rest", 0.75)] {
        let part = check(&trial, part, "2021-03-24");
        near(part.standing, of_it * whole.standing, 1e-3);
        near(part.full, of_it * whole.full, 1e-3);
        near(part.share_left, whole.share_left, 1e-9);
        near(part.most, of_it * whole.most, 0.01);
    }
    let over = check(&trial, "bank", "2021-03-10");
    assert_eq!((over.verdict.as_str(), over.most), ("closed", 0.0));
    let said = trial.run("check bank --on 2021-03-10").out;
    has(&said, &["a patch no longer since 10 Mar 2021", "`Quarter` and `Rest`"]);
}

#[test]
fn quadrats_with_a_place_go_to_the_part_they_lie_in() {
    let trial = Trial::on_hill();
    trial.load("permissions.csv", LIFTED).done();
    trial.load("overrides.csv", LEVEL).done();
    let mut survey =
        "crop,lon,lat,accuracy_m,date,by,frame_area_m2,mass_g,recorded_on\n".to_owned();
    for n in 0..6 {
        // Poor in the first quarter, rich in the rest.
        for (at, mass) in [(0.1, 10 + n), (0.6, 50 + n)] {
            survey += &format!(
                "nettle-tops,{},{},2,2021-03-01,Ida,0.25,{mass},2021-03-01\n",
                BANK_WEST + SIDE * at,
                BANK_SOUTH + SIDE * (0.2 + 0.1 * f64::from(n)),
            );
        }
    }
    trial.load("surveys.csv", survey).done();
    trial.write("parts.json", quarters());
    trial.run(&format!("split bank parts.json {ON}")).done();
    // 12.5 g and 52.5 g on a quarter of a square metre, on 83 and 249 m², grown for nine days.
    let [poor, rich] = ["quarter", "rest"].map(|part| check(&trial, part, "2021-03-10").standing);
    near(poor, 12.5 * 4.0 * 83.0, 0.02);
    near(rich, 52.5 * 4.0 * 249.0, 0.02);
}

#[test]
fn a_stand_that_shrank_is_held_against_all_it_once_bore() {
    let trial = Trial::with_a_surveyed_bank();
    let whole = check(&trial, "bank", "2021-03-10");
    trial.write("half.json", strip(0.0, 0.6));
    let said = trial.run(&format!("redraw bank half.json --why \"died back\" {ON}")).done();
    has(&said, &["Hill/Bank covers 199 m², where it covered 332 m²; 60 % of what was found"]);
    let left = check(&trial, "bank", "2021-03-10");
    near(left.standing, 0.6 * whole.standing, 1e-3);
    near(left.full, whole.full, 1e-3);
    near(left.share_left, whole.share_left, 1e-9);
    // The share tapers, as on a patch of which two fifths are missing.
    assert!(left.most > 0.0 && left.most < 0.5 * whole.most, "{} of {}", left.most, whole.most);
    let said = trial.run("check bank --on 2021-03-10 --full").done();
    has(&said, &["on the ground that it once covered, so it stands at 60 %"]);
    // The days before are as they were.
    near(check(&trial, "bank", "2021-03-09").standing, whole.standing, 0.01);
}

#[test]
fn ground_that_is_new_adds_nothing_until_a_survey() {
    let trial = Trial::with_a_surveyed_bank();
    let before = check(&trial, "bank", "2021-03-10");
    trial.write("more.json", strip(0.0, 2.0));
    trial.run(&format!("redraw bank more.json {ON}")).done();
    let after = check(&trial, "bank", "2021-03-10");
    near(after.standing, before.standing, 1e-6);
    near(after.most, before.most, 1e-6);
    let survey = crate::hill::SURVEY.replace("2021-03-01", "2021-03-11");
    trial.load("again.csv", survey).done();
    near(check(&trial, "bank", "2021-03-11").standing, 120.0 * 664.0, 0.01);
}

/// On the day on which it is retired, as a terrace.
fn bank_drawn_again(trial: &Trial) {
    trial.run(&format!("retire bank --why \"drawn again\" {ON}")).done();
    let again = crate::hill::patch("Terrace", "nettle-tops", 1)
        .replace("\"site\": \"Hill\"", "\"site\": \"Hill\", \"date\": \"2021-03-10\"");
    trial.load("again.json", crate::hill::places(&[again])).done();
}

#[test]
fn a_day_before_a_patch_was_drawn_again_is_answered_as_it_was_then() {
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.run("check bank --on 2021-03-09").done();
    assert!(before.contains("OPEN"), "{before}");
    bank_drawn_again(&trial);
    assert_eq!(trial.run("check bank --on 2021-03-09").done(), before);
}

#[test]
fn a_patch_that_is_retired_and_drawn_again_keeps_what_it_has_spent() {
    let trial = Trial::with_a_surveyed_bank();
    let most = check(&trial, "bank", "2021-03-05").most;
    trial.run(&format!("cut bank {most}g --people 4 --by Ida --on 2021-03-05")).done();
    let spent = check(&trial, "bank", "2021-03-10");
    bank_drawn_again(&trial);
    let terrace = check(&trial, "terrace", "2021-03-10");
    near(terrace.standing, spent.standing, 1e-6);
    near(terrace.share_left, spent.share_left, 1e-9);
    assert!(spent.most < 0.6 * most, "{} of {most}", spent.most);
    near(terrace.most, spent.most, 1e-6);
}

#[test]
fn what_is_retired_leaves_the_lists_and_keeps_its_season() {
    let trial = Trial::with_surveyed_patches();
    trial.run("cut bank 500g --people 4 --by Ida --on 2021-03-05").done();
    trial.run(&format!("retire bank --why \"built over\" {ON}")).done();
    assert!(week(&trial, "2021-03-09").contains("Bank"));
    assert!(!week(&trial, "2021-03-10").contains("Bank"));
    let year = trial.run("calendar --on 2021-03-10").done();
    assert!(year.contains("Field") && !year.contains("Bank"), "{year}");
    let pressure = trial.run("pressure --on 2021-03-20").done();
    let bank = pressure.lines().find(|line| line.starts_with("Bank")).unwrap();
    assert!(bank.contains(" 500 g "), "{bank}");
    let next = trial.run("pressure --on 2021-10-20").done();
    assert!(next.contains("Field") && !next.contains("Bank"), "{next}");
    let said = trial.run("cut bank 200g --by Ida --on 2021-03-12").done();
    has(
        &said,
        &["200 g of nettle-tops from Hill/Bank on 12 Mar 2021, though the patch was closed"],
    );
    let again = trial.run(&format!("retire bank --why again {ON}")).wrong();
    has(&again, &["Hill/Bank is a patch no longer since 10 Mar 2021", "stintbook withdraw"]);
}

#[test]
fn a_split_is_tried_out_taken_back_whole_and_not_once_something_hangs_on_a_part() {
    let trial = Trial::with_a_surveyed_bank();
    let (history, before) = (trial.history(), week(&trial, "2021-03-10"));
    trial.write("parts.json", quarters());
    let said = trial.run(&format!("split bank parts.json {ON} --dry")).done();
    has(&said, &["Hill/Bank would be split", "as a patch of its own", "Nothing was recorded"]);
    assert_eq!(trial.history(), history);
    trial.run(&format!("split bank parts.json {ON}")).done();
    let said = trial.run("undo --by Ida --on 2021-03-10 --sure").done();
    has(&said, &["Hill/Quarter", "Hill/Rest", "Hill/Bank a patch no longer"]);
    assert_eq!(week(&trial, "2021-03-10"), before);
    // By the names of its first parts, which counted until the clock's today, nothing is called.
    trial.write("parts.json", quarters().replace("Quarter", "Gore").replace("Rest", "Remainder"));
    trial.run(&format!("split bank parts.json {ON}")).done();
    trial.run("glance remainder 12kg --by Bo --on 2021-03-10").done();
    let said = trial.run("undo --by Ida --on 2021-03-10 --sure").wrong();
    has(&said, &["something was recorded of `Hill/Remainder` since"]);
    trial.run("verify").done();
}

#[test]
fn parts_lie_on_the_patch_bear_names_and_share_no_ground() {
    let trial = Trial::with_a_surveyed_bank();
    let before = trial.history();
    let cases = [
        (parts(&[("A", strip(0.0, 0.5)), ("B", strip(0.5, 1.5))]), "lie outside Hill/Bank"),
        (parts(&[("A", strip(0.0, 0.6)), ("B", strip(0.4, 1.0))]), "a patch of the same crop"),
        (parts(&[("A", strip(0.0, 0.5)), ("", strip(0.5, 1.0))]), "has no `name`"),
        (parts(&[("A", strip(0.0, 0.5)), ("Field", strip(0.5, 1.0))]), "Field"),
        (parts(&[("A", strip(0.0, 1.0))]), "two parts or more"),
    ];
    for (file, found) in cases {
        trial.write("parts.json", file);
        let said = trial.run(&format!("split bank parts.json {ON}"));
        assert!(!said.out.contains("Recorded"), "{}", said.out);
        has(&said.err, &[found]);
        assert_eq!(trial.history(), before);
    }
    trial.write("off.json", strip(3.0, 4.0));
    let said = trial.run(&format!("redraw bank off.json {ON}")).wrong();
    has(&said, &["shares no ground with Hill/Bank"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn a_point_drawn_anew_keeps_the_radius_that_it_had_and_a_line_its_width() {
    let trial = Trial::on_hill();
    let (west, south) = (WEST + 0.007, SOUTH + 0.007);
    let point =
        |east| format!("{{\"type\": \"Point\", \"coordinates\": [{}, {south}]}}", west + east);
    let line = |east: f64| {
        let (from, to) = (west + east, west + east + 0.0004);
        format!(
            "{{\"type\": \"LineString\", \"coordinates\": [[{from}, {SOUTH}], [{to}, {south}]]}}"
        )
    };
    let clump = crate::hill::patch_with("Clump", "sloe", ", \"radius_m\": 5", &point(0.0));
    let hedge = crate::hill::patch_with("Hedge", "sloe", ", \"width_m\": 2", &line(0.001));
    trial.load("more.geojson", crate::hill::places(&[clump, hedge])).done();
    let area = |patch: &str| {
        let said = trial.run(&format!("check {patch} --on 2021-03-11 --format json")).out;
        let answer: Value = serde_json::from_str(&said).unwrap();
        answer["ground"]["footprint_m2"].as_f64().unwrap().round()
    };
    let before = ["clump", "hedge"].map(area);
    assert_eq!(before[0], 79.0);
    trial.write("clump.json", point(0.00002)).write("hedge.json", line(0.00102));
    for patch in ["clump", "hedge"] {
        trial.run(&format!("redraw {patch} {patch}.json {ON}")).done();
    }
    assert_eq!(["clump", "hedge"].map(area), before);
}

#[test]
fn what_was_promised_on_a_split_patch_is_told_at_once_and_stays_due() {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --on 2021-03-10 --recorded-on 2021-03-10").done();
    trial.write("parts.json", quarters());
    let said = trial.run(&format!("split bank parts.json {ON}")).done();
    has(&said, &["set aside for spring walk on 20 Mar 2021 is no longer to be had"]);
    let due = trial.run("due --on 2021-03-10").done();
    has(&due, &["Hill/Bank", "spring walk"]);
}

#[test]
fn an_export_with_all_of_it_makes_a_book_that_answers_alike() {
    let trial = Trial::with_surveyed_patches();
    trial.run("cut bank 500g --people 4 --by Ida --on 2021-03-05").done();
    trial.write("parts.json", quarters()).write("half.json", strip(2.0, 2.6));
    trial.run(&format!("split bank parts.json {ON}")).done();
    trial.run(&format!("retire wood --why felled {ON}")).done();
    trial.write("less.json", strip(0.25, 0.8));
    trial.run("redraw rest less.json --by Ida --on 2021-03-11 --recorded-on 2021-03-11").done();
    trial.run("export copy --whole").done();
    trial.run("new other").done();
    let files = trial.files("copy").join(" copy/");
    let other = "--book other/stintbook.sqlite";
    trial.run(&format!("load copy/{files} {other}")).done();
    // One book has read these files before, the other wrote them.
    for book in [other, ""] {
        let again = trial.run(&format!("load copy/{files} {book}")).done();
        assert!(again.contains("nothing new") && !again.contains("recorded"), "{again}");
    }
    for day in ["2021-03-09", "2021-03-10", "2021-03-12"] {
        let [here, there] = ["", other]
            .map(|book| trial.run(&format!("week --on {day} --format json {book}")).done());
        assert_eq!(here, there, "{day}");
    }
    let [here, there] = ["", other].map(|book| trial.run(&format!("verify {book}")).done());
    assert_eq!(here, there);
}

#[test]
fn two_books_one_of_which_split_a_patch_that_the_other_cut_are_one_whoever_merges() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("backup bo.sqlite").done();
    trial.write("parts.json", quarters());
    trial.run(&format!("split bank parts.json {ON}")).done();
    trial.run("cut bank 900g --people 4 --by Bo --on 2021-03-08 --book bo.sqlite").done();
    let alone = check(&trial, "rest", "2021-03-10");
    trial.run("backup ida.sqlite").done();
    trial.run("merge bo.sqlite").done();
    trial.run("merge ida.sqlite --book bo.sqlite").done();
    let [here, there] = ["", "--book bo.sqlite"]
        .map(|book| trial.run(&format!("week --on 2021-03-10 --format json {book}")).done());
    assert_eq!(here, there);
    // Bo's cut was on the ground of both parts.
    let told = check(&trial, "rest", "2021-03-10");
    assert!(told.share_left < alone.share_left && told.most < alone.most);
}

const TREES: (f64, f64) = (-19.9985, 48.0065);

/// So many trees, somewhat north of where all stood.
fn trees(name: &str, count: u32, metres_north: f64) -> (String, String) {
    let (lon, lat) = (TREES.0, TREES.1 + metres_north / 111_200.0);
    let point = format!("{{\"type\": \"Point\", \"coordinates\": [{lon}, {lat}]}}");
    let properties = format!("{{\"name\": \"{name}\", \"plants\": {count}}}");
    let feature =
        format!("{{\"type\": \"Feature\", \"properties\": {properties}, \"geometry\": {point}}}");
    (feature, point)
}

fn groves(parts: &[(&str, u32, f64)]) -> String {
    let of = |&(name, count, north): &(&str, u32, f64)| trees(name, count, north).0;
    let features: Vec<String> = parts.iter().map(of).collect();
    format!("{{\"type\": \"FeatureCollection\", \"features\": [{}]}}", features.join(","))
}

fn with_surveyed_trees() -> Trial {
    let trial = Trial::on_hill();
    let (_, point) = trees("Trees", 8, 0.0);
    let patch = crate::hill::patch_with("Trees", "elder-flower", ", \"plants\": 8", &point);
    trial.load("trees.geojson", crate::hill::places(&[patch])).done();
    trial.write("permissions.csv", LIFTED).run("load permissions.csv").done();
    trial.run("survey trees 50 60 40 --by Ida --on 2021-05-21 --recorded-on 2021-05-21").done();
    trial
}

/// 8 trees of 50 heads; one in ten is cut before a quarter of them and the rest go apart.
#[test]
fn counted_plants_are_split_by_their_number_and_what_is_spent_goes_to_each_whole() {
    let trial = with_surveyed_trees();
    trial.run("cut trees 40 --one-in 10 --by Ida --on 2021-05-22 --recorded-on 2021-05-22").done();
    let whole = check(&trial, "trees", "2021-05-26");
    trial.write("parts.json", groves(&[("North", 2, 8.0), ("South", 5, -8.0)]));
    let on = "--by Ida --on 2021-05-24 --recorded-on 2021-05-24";
    let said = trial.run(&format!("split trees parts.json {on}")).done();
    has(&said, &["North: 2 plants, 25 %", "South: 5 plants, 62 %", "12 % of its 8 plants are in"]);
    for (part, of_it) in [("north", 0.25), ("south", 0.625)] {
        let found = check(&trial, part, "2021-05-26");
        near(found.standing, of_it * whole.standing, 1e-6);
        near(found.share_left, whole.share_left, 1e-6);
    }
    assert_eq!(check(&trial, "trees", "2021-05-26").verdict, "closed");
}

#[test]
fn parts_of_counted_plants_are_some_of_them_and_not_more() {
    let trial = with_surveyed_trees();
    let on = "--by Ida --on 2021-05-24 --recorded-on 2021-05-24";
    for (parts, said) in [
        (groves(&[("North", 4, 8.0), ("South", 5, -8.0)]), "the parts have 9 plants"),
        (groves(&[("North", 4, 40.0), ("South", 4, -8.0)]), "no farther than 30 m"),
        (quarters(), "Hill/Quarter is a Point with its `plants`"),
    ] {
        trial.write("parts.json", parts);
        has(&trial.run(&format!("split trees parts.json {on}")).wrong(), &[said]);
    }
    assert_ne!(check(&trial, "trees", "2021-05-26").verdict, "closed");
}

/// Whoever retires a spent stand and counts it anew has a spent stand.
#[test]
fn counted_plants_that_are_retired_and_drawn_again_keep_what_is_spent() {
    let trial = with_surveyed_trees();
    trial.run("cut trees 40 --one-in 10 --by Ida --on 2021-05-22 --recorded-on 2021-05-22").done();
    let before = check(&trial, "trees", "2021-05-26").share_left;
    trial.run("retire trees --why \"counted anew\" --by Ida --on 2021-05-24").done();
    let (_, point) = trees("Anew", 8, 3.0);
    let drawn = ", \"plants\": 8, \"date\": \"2021-05-24\", \"by\": \"Ida\"";
    let anew = crate::hill::patch_with("Anew", "elder-flower", drawn, &point);
    trial.load("anew.geojson", crate::hill::places(&[anew])).done();
    near(check(&trial, "anew", "2021-05-26").share_left, before, 1e-6);
}
