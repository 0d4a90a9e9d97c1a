//! `walk plan`, `walk new`, `walk split`: which patches, who comes, who cuts what where.

use serde_json::Value;

use crate::hill::{NEW_WALK, SOUTH, WEST};
use crate::said::has;
use crate::trial::Trial;

fn plan(trial: &Trial, words: &str) -> Value {
    let said = trial.run(&format!("walk plan --on 2021-03-20 --format json {words}")).done();
    serde_json::from_str(&said).unwrap()
}

fn split(trial: &Trial) -> Value {
    let said = trial.run("walk split \"spring walk\" --format json").done();
    serde_json::from_str(&said).unwrap()
}

/// Two patches of one crop that allow the same give nearly the same.
#[test]
fn a_plan_meets_what_is_wanted_at_the_least_share_of_any_patch() {
    let trial = Trial::with_surveyed_patches();
    let plan = plan(&trial, "--want nettle-tops=6kg,ramsons-leaf=300g");
    let stops = plan["stops"].as_array().unwrap();
    let take = |patch: &str| -> f64 {
        let stop = stops.iter().find(|stop| stop["patch"] == patch).unwrap();
        stop["quota_g"].as_f64().unwrap()
    };
    assert_eq!(stops.len(), 3, "{plan}");
    assert_eq!(take("Bank") + take("Field"), 6000.0);
    // A twentieth of a limit may be given up to save walking.
    assert!(plan["highest_share"].as_f64().unwrap() < 0.6, "{plan}");
    assert_eq!(take("Wood"), 300.0);
    assert!(stops.iter().all(|stop| stop["quota_g"].as_f64() <= stop["most_g"].as_f64()));
    assert_eq!(plan["schema"], "stintbook.walk-plan/2");
}

#[test]
fn a_plan_invites_to_pick_and_so_ends_with_the_cautions() {
    let trial = Trial::with_surveyed_patches();
    let said = trial.run("walk plan --on 2021-03-20 --want \"nettle-tops=1kg\" --people 5").done();
    has(&said, &["Sat 20 Mar 2021, 5 people: 2 patches", "WANTED nettle-tops: 1 kg"]);
    has(&said, &["This tool does not identify plants.", "keep children by you"]);
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let wide = Trial::with_surveyed_patches();
    let mut command = wide.command("walk plan --on 2021-03-20 --want \"nettle-tops=1kg\"");
    let said = crate::said::Said::by(command.env("COLUMNS", "120")).done();
    assert!(said.lines().all(|line| line.chars().count() <= 120), "{said}");
}

#[test]
fn what_cannot_be_met_is_told_with_its_first_day_and_what_might_do_instead() {
    let trial = Trial::with_surveyed_patches();
    let said = trial.run("walk plan --on 2021-02-20 --want ramsons-leaf=300g,sour=200g").done();
    has(&said, &["nothing can be taken", "ramsons-leaf: 300 g of 300 g missing"]);
    has(&said, &["the first patch to open is Hill/Wood on 1 Mar 2021, if it is surveyed by then"]);
    has(&said, &["sour: 200 g of 200 g missing; no patch here has it"]);
    let said = trial.run("walk plan --on 2021-03-20 --want alexanders-shoot=200g").done();
    has(&said, &["for the same use: nettle-tops could give"]);
    assert!(!said.contains("does not identify"), "nothing is to be picked:\n{said}");
}

/// The cap of a site is for all its patches of a crop, on every day.
#[test]
fn more_than_a_site_allows_in_a_day_is_never_promised_for_later() {
    let trial = Trial::with_surveyed_patches();
    let capped = "site,basis,for,from,cap_per_visit_g,lifts_code_cap,by,recorded_on\n\
                  Hill,written,own use; walk; sale,2020-01-01,3000,yes,Ida,2020-01-01\n";
    trial.write("permissions.csv", capped);
    trial.run("load permissions.csv --replace").done();
    let plan = plan(&trial, "--want nettle-tops=4kg");
    assert_eq!(plan["wants"][0]["missing_g"], 1000.0, "{plan}");
    assert_eq!(plan["wants"][0]["enough_from"], Value::Null, "{plan}");
}

#[test]
fn absurd_wants_end_in_words() {
    let trial = Trial::with_surveyed_patches();
    let plan = plan(&trial, "--want nettle-tops=99999999999999999999999kg --people 4000000000");
    assert!(plan["wants"][0]["got_g"].as_f64().unwrap() > 0.0);
}

#[test]
fn a_walk_that_may_take_nothing_is_told_why() {
    let trial = Trial::with_surveyed_patches();
    let small = "site,basis,for,from,largest_party,by,recorded_on\n\
                 Hill,written,own use; walk; sale,2020-01-01,12,Ida,2020-01-01\n";
    trial.write("permissions.csv", small);
    trial.run("load permissions.csv --replace").done();
    let why = "is for parties of 12 at most, not 17";
    let said = trial.run("walk plan --on 2021-03-20 --people 17").done();
    has(&said, &["17 people: nothing can be taken: the written permission", why]);
    let said = trial.run("walk plan --on 2021-03-20 --people 17 --want nettle-tops=1kg").done();
    has(&said, &["nettle-tops: 1 kg of 1 kg missing (the written permission", why]);
    trial.run(&format!("{NEW_WALK} --adults 17")).done();
    let said = trial.run("walk split \"spring walk\"").done();
    has(&said, &["17 people in 17 parties, nothing can be taken", "NOT TO BE HAD", why]);
    let said = trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").no();
    has(&said, &["Nothing can be set aside for spring walk on 20 Mar 2021", why]);
}

#[test]
fn wants_are_known_crops_or_roles_in_their_own_measure() {
    let trial = Trial::with_surveyed_patches();
    let wrong = |want: &str| trial.run(&format!("walk plan --want \"{want}\"")).wrong();
    has(&wrong(","), &["nothing is wanted; write a crop or a kitchen role"]);
    has(&wrong("ramsens-leef=1kg"), &["did you mean `ramsons-leaf`?"]);
    has(
        &wrong("grene leaf=1kg"),
        &["neither a crop nor a kitchen role; did you mean `green leaf`?"],
    );
    has(&wrong("nettle-tops=12"), &["`nettle-tops` is weighed; write grams"]);
    has(&wrong("elder-flower=200g"), &["`elder-flower` is counted; write pieces"]);
    has(&wrong("nettle-tops=1kg,nettle-tops=2kg"), &["wanted twice"]);
    has(&wrong("nettle-tops"), &["does not say what is wanted"]);
    has(&wrong("nettle-tops=0g"), &["does not say what is wanted"]);
    has(&trial.run("walk plan --site hlil").wrong(), &["did you mean `Hill`?"]);
}

#[test]
fn a_plan_keeps_to_a_route_and_near_its_start() {
    let trial = Trial::with_surveyed_patches();
    // Along the north edge of the bank and the field, and not of the wood.
    let (lat, west, east) = (SOUTH + 0.0052, WEST + 0.0005, WEST + 0.0035);
    let gpx = format!(
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"test\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><rte><rtept lat=\"{lat}\" lon=\"{east}\"/>\
         <rtept lat=\"{lat}\" lon=\"{west}\"/></rte></gpx>"
    );
    trial.write("way.gpx", gpx).write("no.gpx", "<gpx>");
    let by_route = plan(&trial, "--route way.gpx --corridor 40m");
    let stops: Vec<&str> = by_route["stops"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| s["patch"].as_str().unwrap())
        .collect();
    assert_eq!(stops, ["Field", "Bank"], "{by_route}");
    let start = format!("--start {},{} --max-distance 60m", WEST + 0.0051, SOUTH + 0.0051);
    let near = plan(&trial, &start);
    assert_eq!(near["stops"].as_array().unwrap().len(), 1);
    assert_eq!(near["stops"][0]["patch"], "Wood");
    assert_eq!(near["too_far"].as_array().unwrap().len(), 2);
    let shut_out = trial.run(&format!("walk plan --on 2021-03-20 {start} --want nettle-tops=1kg"));
    has(
        &shut_out.done(),
        &["nettle-tops: 1 kg of 1 kg missing; the patches that have it are out of reach"],
    );
    has(&trial.run("walk plan --route no.gpx").wrong(), &["`no.gpx`: this is no GPX file"]);
    has(&trial.run("walk plan --route none.gpx").wrong(), &["could not read `none.gpx`"]);
}

#[test]
fn a_large_group_is_told_the_same_first_day_as_a_small_one_since_it_takes_turns() {
    let trial = Trial::with_surveyed_patches();
    for patch in ["bank", "field"] {
        trial.run(&format!("cut {patch} 300g --on 2021-03-20 --by Ida")).done();
    }
    let told = |people: u32| {
        let ask = format!("walk plan --on 2021-03-21 --people {people} --want nettle-tops=400g");
        let said = trial.run(&ask).done().replace('\n', " ");
        said.split("missing").nth(1).unwrap().split("on there could").next().unwrap().to_owned()
    };
    assert!(told(4).contains("; from"), "{}", told(4));
    assert_eq!(told(60), told(4));
}

#[test]
fn a_plan_goes_on_a_map() {
    let trial = Trial::with_surveyed_patches();
    let said = trial.run("walk plan --on 2021-03-20 --format geojson").done();
    let map: Value = serde_json::from_str(&said).unwrap();
    let kinds: Vec<&str> = map["features"]
        .as_array()
        .unwrap()
        .iter()
        .map(|feature| feature["geometry"]["type"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["Point", "Point", "Point", "LineString"]);
    has(
        &trial.run("walk plan --format csv").wrong(),
        &["possible values: table, html, md, json, geojson"],
    );
}

#[test]
fn a_walk_is_recorded_with_numbers_and_its_names_stay_apart() {
    let trial = Trial::with_a_walk();
    has(&trial.history(), &["walk by Ida: spring walk on 2021-03-20, 6 people"]);
    assert!(!trial.history().contains("Ann"));
    trial.run("export out --whole").done();
    for file in trial.files("out") {
        assert!(!trial.read(&format!("out/{file}")).contains("Ann"), "{file}");
    }
    let json = trial.run("walk split \"spring walk\" --format json").done();
    assert!(!json.contains("Ann"));
    has(&trial.run("walk split \"spring walk\"").done(), &["1 Ann (2 adults, 1 child)"]);
}

#[test]
fn more_than_a_first_name_is_warned_of() {
    let trial = Trial::with_surveyed_patches();
    trial.write("parties.csv", "party,adults\nAnn Other,2\nBo,1\n");
    let said = trial.run(&format!("{NEW_WALK} --parties parties.csv")).done();
    has(&said, &["write first names only", "More than a first name is in `Ann Other`"]);
}

#[test]
fn children_go_one_each_with_the_adults_in_turn() {
    let trial = Trial::with_surveyed_patches();
    trial.run(&format!("{NEW_WALK} --adults 3 --children 4")).done();
    let split = split(&trial);
    let heads: Vec<(u64, u64)> = split["parties"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (p["adults"].as_u64().unwrap(), p["children"].as_u64().unwrap()))
        .collect();
    assert_eq!(heads, [(1, 2), (1, 1), (1, 1)]);
    let one = Trial::with_surveyed_patches();
    one.run(&format!("{NEW_WALK} --adults 3 --children 4 --as-one-party")).done();
    assert_eq!(self::split(&one)["parties"].as_array().unwrap().len(), 1);
}

#[test]
fn parties_that_nobody_could_lead_are_refused() {
    let trial = Trial::with_surveyed_patches();
    let wrong = |text: &str| {
        trial.write("parties.csv", text);
        trial.run(&format!("{NEW_WALK} --parties parties.csv")).wrong()
    };
    has(&wrong("party,adults\nAnn,0\n"), &["parties.csv, line 2, `adults`: `0` is no party"]);
    has(&wrong("party,adults\nAnn,two\n"), &["line 2, `adults`"]);
    has(&wrong("party,adults,weight\nAnn,2,-1\n"), &["line 2, `weight`"]);
    has(&wrong("party,grown\nAnn,2\n"), &["no such column as `grown`"]);
    has(&wrong("party,adults\n"), &["has no party in it"]);
    has(&wrong(""), &["it is empty"]);
    has(&trial.run(&format!("{NEW_WALK} --adults 0")).wrong(), &["a walk needs an adult"]);
    assert!(!trial.history().contains("walk by"));
}

#[test]
fn no_two_walks_are_called_the_same() {
    let trial = Trial::with_a_walk();
    let said = trial.run(&format!("{NEW_WALK} --adults 2")).wrong();
    has(&said, &["another walk is called `spring walk`"]);
    has(&trial.run("walk split \"sprung walk\"").wrong(), &["did you mean `spring walk`?"]);
}

/// Shares are in proportion to 2.5, 1 and 2, to a unit of 5 g, and are all of the quota.
#[test]
fn shares_go_by_weight_and_never_over_what_is_there() {
    let trial = Trial::with_a_walk();
    let split = split(&trial);
    let stops = split["stops"].as_array().unwrap();
    assert_eq!(stops.len(), 3, "{split}");
    let mut by_patch = std::collections::BTreeMap::<&str, f64>::new();
    let mut by_party = Vec::new();
    for party in split["parties"].as_array().unwrap() {
        let shares = party["shares"].as_array().unwrap();
        let nettles = shares.iter().filter(|share| share["patch"] != "Wood");
        by_party.push(nettles.map(|share| share["share_g"].as_f64().unwrap()).sum::<f64>());
        for share in shares {
            let take = share["share_g"].as_f64().unwrap();
            assert_eq!(take % 5.0, 0.0);
            *by_patch.entry(share["patch"].as_str().unwrap()).or_default() += take;
        }
    }
    for stop in stops {
        let cut = by_patch[stop["patch"].as_str().unwrap()];
        let most = stop["quota_g"].as_f64().unwrap();
        assert_eq!(cut + stop["stays_standing_g"].as_f64().unwrap(), most, "{split}");
    }
    let wanted = [2.5, 1.0, 2.0].map(|weight| 6000.0 * weight / 5.5);
    for (got, fair) in by_party.iter().zip(wanted) {
        assert!((got - fair).abs() <= 5.0, "{by_party:?}");
    }
}

#[test]
fn the_same_seed_splits_alike_every_time() {
    let trial = Trial::with_a_walk();
    assert_eq!(split(&trial), split(&trial));
}
