//! `due`: one list of what needs a hand, and the same in a calendar.

use icalendar::{Calendar, CalendarComponent, Component};

use crate::hill::{PARTIES, site};
use crate::said::has;
use crate::trial::Trial;

/// The demo's book, on its day.
fn demo() -> Trial {
    let trial = Trial::new();
    trial.run("demo").done();
    trial
}

const DEMO: &str = "--book demo.sqlite --on 2027-03-15";

#[test]
fn what_is_late_comes_first_and_everything_else_on_its_day() {
    let trial = Trial::with_a_walk();
    // On the morning of the walk, then three days later without a word of it.
    let before = trial.run("due --on 2021-03-19").done();
    has(&before, &["TO COME", "Sat 20 Mar walk spring walk: 6 people on Hill, led by Ida"]);
    assert!(!before.contains("settle"), "{before}");
    let after = trial.run("due --on 2021-03-23").done();
    has(
        &after,
        &["LATE", "Sat 20 Mar settle spring walk", "`stintbook walk settle \"spring walk\"`"],
    );
    assert!(!after.contains("led by Ida"), "{after}");
}

/// Whoever sees one site alone learns nothing of another's walks.
#[test]
fn a_walk_to_settle_is_told_on_its_own_site_alone() {
    let trial = demo();
    let due = |site: &str| {
        trial.run(&format!("--book demo.sqlite due --on 2027-03-25 --site {site}")).done()
    };
    has(&due("gullhythe"), &["LATE", "Thu 18 Mar", "settle creek walk"]);
    for other in ["ammerlow", "wendlestow"] {
        assert!(!due(other).contains("creek walk"), "{other}");
    }
}

#[test]
fn an_occupier_who_wants_to_be_asked_is_named_before_the_walk() {
    let trial = Trial::with_surveyed_patches();
    trial.write(
        "asks.csv",
        "site,basis,for,from,to,ask_first,by,recorded_on\n\
         Hill,spoken,own use; walk; sale,2021-03-10,2021-03-25,yes,Ida,2021-03-10\n",
    );
    trial.run("load asks.csv").done();
    trial.write("parties.csv", PARTIES);
    trial
        .run(
            "walk new \"spring walk\" --on 2021-03-20 --leader Ida --site hill --want \
             nettle-tops=1kg --parties parties.csv --recorded-on 2021-03-10",
        )
        .done();
    let said = trial.run("due --on 2021-03-15").done();
    has(
        &said,
        &["Sat 20 Mar ask on Hill: whoever the land belongs to wants to be asked before spring"],
    );
    // Another permission, without an end, covers all that this one does.
    assert!(!said.contains("permission on Hill"), "{said}");
}

#[test]
fn a_permission_and_a_closure_that_end_are_told_on_their_last_day() {
    let trial = Trial::with_book();
    trial.write("land.geojson", crate::hill::places(&[site()]));
    trial.write(
        "permissions.csv",
        "site,basis,for,from,to,crops,by,recorded_on\n\
         Hill,written,own use; walk; sale,2020-01-01,2021-03-20,nettle-tops; sloe,Ida,2020-01-01\n",
    );
    trial.write(
        "closures.csv",
        "site,from,to,reason,date,by,recorded_on\n\
         Hill,2021-03-01,2021-03-18,nesting,2021-03-01,Ida,2021-03-01\n",
    );
    trial.run("load land.geojson permissions.csv closures.csv").done();
    let said = trial.run("due --on 2021-03-15").done();
    has(&said, &["Thu 18 Mar closure of Hill: its last day (nesting)"]);
    has(&said, &["Sat 20 Mar permission on Hill: the written one for nettle-tops, sloe ends"]);
    let sooner = trial.run("due --on 2021-03-15 --until 2021-03-17").done();
    assert_eq!(
        sooner,
        "Nothing needs a hand by 17 Mar 2021, as things stand on Mon 15 Mar 2021.\n"
    );
    let never = trial.run("due --on 2021-03-15 --until 2021-03-14").wrong();
    has(&never, &["--until 14 Mar 2021 lies before the day asked about, 15 Mar 2021"]);
}

#[test]
fn a_promise_that_is_no_longer_found_on_its_day_is_told_with_its_amount() {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --on 2021-03-10").done();
    let fits = trial.run("due --on 2021-03-15").done();
    assert!(!fits.contains("promise on"), "{fits}");
    // Somebody cuts far more than the other rules allow.
    trial
        .run("cut bank 9kg --part --by Una --on 2021-03-14 --recorded-on 2021-03-14 --sure")
        .done();
    let said = trial.run("due --on 2021-03-15").done();
    has(&said, &["Sat 20 Mar promise on Hill/Bank:", "set aside for spring walk is more than"]);
}

#[test]
fn what_the_surveys_are_worth_is_what_survey_advise_says() {
    let trial = demo();
    let due = trial.run(&format!("{DEMO} due --until 2027-04-30 --format json")).done();
    let due: serde_json::Value = serde_json::from_str(&due).unwrap();
    let advice = trial.run(&format!("{DEMO} survey advise --format json")).done();
    let advice: serde_json::Value = serde_json::from_str(&advice).unwrap();
    let mut compared = 0;
    for task in due["due"].as_array().unwrap().iter().filter(|task| task["sort"] == "survey") {
        let name = task["what"].as_str().unwrap().strip_prefix("survey ").unwrap().to_owned();
        let (site, patch) = name.split_once('/').unwrap();
        let patches = advice["patches"].as_array().unwrap();
        let of_patch = patches.iter().find(|it| it["site"] == site && it["patch"] == patch);
        let grams = of_patch.unwrap()["at_stake_g"].as_f64().unwrap();
        let why = task["why"].as_str().unwrap();
        let told = stintbook::units::Amount::grams(grams).to_string();
        assert!(why.contains(&format!("would add some {told} to")), "{why}: {told}");
        compared += 1;
    }
    assert!(compared >= 3, "{due}");
    let days: Vec<&str> =
        due["due"].as_array().unwrap().iter().map(|task| task["day"].as_str().unwrap()).collect();
    assert!(days.is_sorted(), "{days:?}");
}

#[test]
fn another_program_reads_the_calendar_with_the_days_and_words_of_the_list() {
    let trial = demo();
    let asked = format!("{DEMO} due --until 2027-04-30");
    let list: serde_json::Value =
        serde_json::from_str(&trial.run(&format!("{asked} --format json")).done()).unwrap();
    let text = trial.run(&format!("{asked} --format ics")).done();
    assert!(text.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')), "{text}");
    let calendar: Calendar = text.parse().unwrap();
    let events: Vec<_> =
        calendar.components.iter().filter_map(CalendarComponent::as_event).collect();
    let tasks = list["due"].as_array().unwrap();
    assert_eq!(events.len(), tasks.len());
    for (event, task) in events.iter().zip(tasks) {
        assert_eq!(event.get_summary(), task["what"].as_str());
        assert_eq!(event.get_description(), task["why"].as_str());
        let day = task["day"].as_str().unwrap().max("2027-03-15").replace('-', "");
        assert_eq!(event.property_value("DTSTART"), Some(&*day));
    }
    let mut uids: Vec<_> = events.iter().map(|event| event.get_uid().unwrap()).collect();
    uids.sort_unstable();
    uids.dedup();
    assert_eq!(uids.len(), events.len());
}
