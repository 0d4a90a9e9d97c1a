//! `week` and `check`: what can be cut, how much, and why not.

use crate::hill::{LIFTED, PERMISSION, SOUTH, SURVEY, WEST};
use crate::said::{has, without_ids};
use crate::trial::Trial;

#[test]
fn the_week_of_a_small_holding_reads_so() {
    let said = Trial::with_a_surveyed_bank().run("week --on 2021-03-15").done();
    let table = said.split("\nThis tool").next().unwrap();
    assert_eq!(
        table,
        "\
Week 2021-W11, 15 Mar to 21 Mar 2021; as things stand on Mon 15 Mar 2021

OPEN: 1 patch
  patch  crop         at most  count    last day
 Hill
  Bank   nettle-tops  5.67 kg  1 in 10  30 May 2021

SHUT: 2 patches; `--all` tells why
 Hill
  not known  Field; Wood

FATAL LOOK-ALIKES, crop by crop
  nettle-tops: deadly nightshade growing among it
"
    );
    has(&said, &["This tool does not identify plants.", "Have leave;"]);
}

#[test]
fn a_week_is_narrowed_by_site_crop_and_place() {
    let trial = Trial::with_a_surveyed_bank();
    let bank = format!("{},{}", WEST + 0.0011, SOUTH + 0.0051);
    for (words, patches) in [
        ("--site hill", vec!["Bank", "Field", "Wood"]),
        ("--crop nettle-tops", vec!["Bank", "Field"]),
        ("--site Hill --crop ramsons-leaf", vec!["Wood"]),
        (&format!("--near {bank} --within 30m"), vec!["Bank"]),
        (&format!("--near {bank} --within 0.2km"), vec!["Bank", "Field"]),
        (&format!("--near {bank}"), vec!["Bank", "Field", "Wood"]),
    ] {
        let csv = trial.run(&format!("week --on 2021-03-15 {words} --format csv")).done();
        let mut named: Vec<&str> =
            csv.lines().skip(1).map(|line| line.split(',').nth(2).unwrap()).collect();
        named.sort_unstable();
        assert_eq!(named, patches, "{words}");
    }
}

#[test]
fn every_format_of_the_week_tells_of_the_same_patches() {
    let trial = Trial::with_a_surveyed_bank();
    let say = |format| trial.run(&format!("week --on 2021-03-15 --format {format}")).done();
    let json: serde_json::Value = serde_json::from_str(&say("json")).unwrap();
    let geojson: geojson::FeatureCollection = say("geojson").parse().unwrap();
    assert_eq!(json["patches"].as_array().unwrap().len(), 3);
    assert_eq!(json["patches"][0]["verdict"], "open");
    let is_patch = |feature: &&geojson::Feature| feature.property("kind").unwrap() == "patch";
    assert_eq!(geojson.features.iter().filter(is_patch).count(), 3);
    assert_eq!(say("csv").lines().count(), 1 + 3);
}

#[test]
fn a_week_without_a_patch_says_why_in_one_sentence() {
    let last = |trial: &Trial, words: &str| {
        let said = trial.run(&format!("week --on 2021-03-15 {words}")).done();
        said.lines().last().unwrap().to_owned()
    };
    let empty = Trial::with_book();
    let hill = Trial::on_hill();
    assert_eq!(last(&empty, ""), "The book has no patch yet; `stintbook load` takes them in.");
    assert_eq!(last(&hill, "--crop sloe --site hill"), "No patch of sloe on Hill is in the book.");
    assert_eq!(last(&hill, "--near 0,50 --within 800m"), "No patch lies within 800 m of 0,50.");
    assert_eq!(last(&hill, "--as-known-on 2019-12-31"), "No patch was known on 31 Dec 2019.");
}

#[test]
fn a_week_with_nothing_open_says_why_in_one_sentence_and_invites_nobody() {
    let trial = Trial::on_hill();
    let said = trial.run("week --on 2021-03-15").done();
    has(&said, &["Nothing can be cut: 3 no permission; none has a day"]);
    trial.load("permissions.csv", PERMISSION).done();
    let said = trial.run("week --on 2021-12-15").done();
    has(
        &said,
        &["Nothing can be cut: 3 out of season; the first that may open is Hill/Bank on 1 Mar \
             2022, if it is surveyed by then."],
    );
    assert!(!said.contains("Cut and eat"), "{said}");
}

#[test]
fn check_says_yes_by_its_exit_status_and_tells_everything() {
    let said =
        Trial::with_a_surveyed_bank().run("check bank --full --on 2021-03-15 --people 9").done();
    has(
        &without_ids(&said),
        &[
            "Hill/Bank, ########: Common nettle, tops (Urtica dioica) on 15 Mar 2021",
            "OPEN: at most 5.67 kg, counting 1 in 10 of what you see; until 30 May 2021 (survey).",
            "HOW IT STANDS",
            "standing crop 39.8 kg",
            "HOW SURE",
            "in short 10 quadrats, 14 days old",
            "WHAT EACH RULE ALLOWS",
            "refilling share 5.67 kg 1 in 10; the whole share is there, half of it on the first four visits",
            "WHAT MAKES THE SHARE SMALLER",
            "first visits ×0.50",
            "TAKEN FOR GRANTED",
            "cut by 25 %, the crop is back",
            "LATEST RECORDS",
            "######## 2021-03-01 survey by Ida: 10 quadrats on Hill/Bank",
            "BEFORE ANYONE PICKS",
            "This tool does not identify plants.",
        ],
    );
}

#[test]
fn check_says_no_by_its_exit_status_with_the_reason_first() {
    let trial = Trial::with_a_surveyed_bank();
    for (words, why) in [
        ("check bank --on 2021-07-15", "OUT OF SEASON: nothing may be cut. Season decides:"),
        ("check wood --on 2021-03-15", "NOT KNOWN: nothing may be cut. Survey decides: never"),
        ("check bank --on 2019-03-15", "NO PERMISSION: nothing may be cut. Permission decides:"),
    ] {
        has(&trial.run(words).no(), &[why, "Fatal look-alikes of"]);
        let full = trial.run(&format!("{words} --full")).no();
        has(&full, &[why, "WHAT EACH RULE ALLOWS", "BEFORE ANYONE PICKS"]);
    }
    trial.run("cut bank 4kg --on 2021-03-15 --by Ida --recorded-on 2021-03-15").done();
    let closure = "site,patch,from,to,reason,by,recorded_on\n\
                   Hill,Bank,2021-04-01,2021-04-30,lambing,Ida,2021-03-20\n";
    trial.load("closures.csv", closure).done();
    has(&trial.run("check bank --on 2021-03-15").no(), &["RESTING: nothing may be cut."]);
    has(
        &trial.run("check bank --on 2021-04-10").no(),
        &["CLOSED: nothing may be cut. Closure decides: closed until 30 Apr 2021: lambing."],
    );
}

/// The verdict first, then what kills; all of it on a screen of 24 lines from 60 cells on, whatever
/// the verdict.
#[test]
fn check_answers_within_a_screen_and_what_kills_stands_next_to_the_verdict() {
    let trial = Trial::new();
    trial.run("demo").done();
    let csv = trial.run("--book demo.sqlite week --on 2027-03-15 --format csv").done();
    let patches: Vec<String> = csv
        .lines()
        .skip(1)
        .map(|line| line.split(',').skip(1).take(2).collect::<Vec<_>>().join("/"))
        .collect();
    assert_eq!(patches.len(), 26, "{csv}");
    for (patch, width) in patches.iter().flat_map(|patch| [60, 80].map(|width| (patch, width))) {
        let asked = format!("--book demo.sqlite check \"{patch}\" --on 2027-03-15");
        let mut asked = trial.command(&asked);
        let said = crate::said::Said::by(asked.env("COLUMNS", width.to_string()));
        let lines: Vec<&str> = said.out.lines().collect();
        // What kills is told even where that takes more.
        let on_top = lines.iter().filter(|line| line.contains("found growing")).count();
        let most = if on_top > 0 { 29 } else { 24 };
        assert!((8..=most).contains(&lines.len()), "{} lines:\n{}", lines.len(), said.out);
        let at = |words: &str| said.out.find(words);
        if let Some(fatal) = at("Fatal look-alikes of") {
            assert!(at("nothing may be cut").or(at("OPEN:")).unwrap() < fatal, "{}", said.out);
            assert!(at("HOW IT STANDS").is_none_or(|stands| fatal < stands), "{}", said.out);
        }
    }
}

/// A share can only come back to a patch that was cut.
#[test]
fn nothing_is_back_on_a_patch_never_cut_and_no_factor_is_left_unsaid() {
    let trial = Trial::with_a_surveyed_bank();
    let uncut = trial.run("check bank --on 2021-03-15").done();
    has(&uncut, &["the whole share is there, half of it on the first four visits"]);
    trial.run("cut bank 4kg --on 2021-03-15 --by Ida --recorded-on 2021-03-15").done();
    let cut = trial.run("check bank --on 2021-04-15").out;
    has(&cut, &["of the share is back"]);
    for text in [uncut, cut] {
        assert!(!text.contains('×') && !text.contains("allowance"), "{text}");
    }
}

#[test]
fn the_week_groups_by_site_and_names_each_patch_whole() {
    let trial = Trial::new();
    trial.run("demo").done();
    for width in ["40", "60", "80", "120", "200"] {
        let mut week = trial.command("--book demo.sqlite week --on 2027-03-15");
        let said = crate::said::Said::by(week.env("COLUMNS", width)).done();
        let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
        for name in ["Allotment edge", "Garden nettles", "Samphire flat", "Orchard floor"] {
            assert!(plain.contains(name), "`{name}` at {width}:\n{said}");
        }
        assert!(said.lines().any(|line| line == " Gullhythe"), "{said}");
        assert!(said.lines().any(|line| line == " Wendlestow: ask the occupier first"), "{said}");
    }
    let full = trial.run("--book demo.sqlite week --on 2027-03-15 --why").done();
    has(&full, &["1 in 20 of the stand by the published code"]);
    let short = trial.run("--book demo.sqlite week --on 2027-03-15").done();
    assert!(!short.contains("by the published code"), "{short}");
}

#[test]
fn a_reason_that_ends_in_a_full_stop_gets_no_second_one() {
    let trial = Trial::new();
    trial.run("demo").done();
    let said = trial.run("--book demo.sqlite check \"shingle spit\" --on 2027-03-15").no();
    assert!(said.contains("CLOSED") && !said.contains(".."), "{said}");
}

#[test]
fn check_answers_a_machine_too_and_names_what_it_cannot_write() {
    let trial = Trial::with_a_surveyed_bank();
    let json = trial.run("check bank --on 2021-03-15 --format json").done();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["patch"]["verdict"].as_str().or(json["verdict"].as_str()), Some("open"));
    has(
        &trial.run("check bank --format csv").wrong(),
        &["invalid value 'csv'", "possible values: table, html, md, json"],
    );
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    let trial = Trial::new();
    trial.run("demo").done();
    for (columns, words) in [80, 100, 120].into_iter().flat_map(|columns| {
        ["week", "check \"mill hedge\"", "crops", "crops sloe", "pressure", "history", "verify"]
            .map(|words| (columns, words))
    }) {
        let words = format!("--book demo.sqlite --on 2027-03-15 {words}");
        let mut command = trial.command(&words);
        let said = crate::said::Said::by(command.env("COLUMNS", columns.to_string()));
        // A link stays whole, however long it is.
        let lines = said.out.lines().filter(|line| line.trim().contains(' '));
        let widest = lines.max_by_key(|line| line.chars().count()).unwrap();
        assert!(widest.chars().count() <= columns, "{words} at {columns}: {widest}");
    }
}

#[test]
fn a_patch_of_a_name_that_two_sites_have_is_asked_for_with_its_site() {
    let trial = Trial::with_a_surveyed_bank();
    let second = trial.read("places.geojson").replace("Hill", "Moor").replace("[-", "[-1");
    let asked = trial.load("moor.geojson", second).wrong();
    has(&asked, &["site Moor lies", "km from the nearest of the other sites", "--sure"]);
    trial.run("load moor.geojson --sure").done();
    let said = trial.run("check bank --on 2021-03-15").wrong();
    has(
        &said,
        &["`bank` may be any of Hill/Bank, Moor/Bank; write the site too, like `Hill/Bank`"],
    );
    trial.run("check hill/bank --on 2021-03-15").done();
    let id = trial.id_of("patch by Ida: Hill/Bank");
    trial.run(&format!("check {id} --on 2021-03-15")).done();
}

#[test]
fn names_that_are_nearly_right_are_guessed_at() {
    let trial = Trial::with_a_surveyed_bank();
    for (words, said) in [
        ("check bnak", "no patch is called `bnak`; did you mean `Bank`?"),
        ("check hill/bnak", "no patch is called `hill/bnak`; did you mean `Hill/Bank`?"),
        ("week --site hlil", "no site is called `hlil`; did you mean `Hill`?"),
        ("week --crop netl-tips", "no crop is called `netl-tips`; did you mean `nettle-tops`?"),
        ("history zzzz", "no patch is called `zzzz`; `stintbook week` lists those there are"),
        ("pressure --site zzzz", "no site is called `zzzz`; `stintbook week` lists those"),
    ] {
        has(&trial.run(words).wrong(), &[said]);
    }
}

#[test]
fn what_a_permission_asks_is_held_against_the_party_and_its_way_of_cutting() {
    let trial = Trial::on_hill();
    let terms = LIFTED.replace("lifts_code_cap", "methods,largest_party,lifts_code_cap");
    trial
        .load("permissions.csv", terms.replace("2020-01-01,yes", "2020-01-01,scissors,8,yes"))
        .done();
    trial.load("surveys.csv", SURVEY).done();
    trial.run("check bank --on 2021-03-15 --people 8 --method scissors").done();
    has(&trial.run("check bank --on 2021-03-15 --people 9").no(), &["NO PERMISSION", "8"]);
    has(&trial.run("check bank --on 2021-03-15 --method sickle").no(), &["NO PERMISSION"]);
}

#[test]
fn a_check_in_full_tells_the_latest_records_first() {
    let trial = Trial::with_a_surveyed_bank();
    for day in [6, 4, 8] {
        let on = format!("--on 2021-03-0{day} --recorded-on 2021-03-10");
        trial.run(&format!("glance bank {day}kg --by Ida {on}")).done();
    }
    let said = trial.run("check bank --full --on 2021-03-10").out;
    let told = ["2021-03-08", "2021-03-06", "2021-03-04", "2021-03-01  survey"];
    let places = told.map(|line| said.find(&format!("  {line}")).unwrap());
    assert!(places.is_sorted(), "{said}");
}
