//! The same fact means the same through every door: typed, loaded, corrected, exported.

use std::thread;

use crate::hill::{PERMISSION, SURVEY, patch, places, site};
use crate::said::has;
use crate::trial::{Trial, in_a_file};

const DAY: &str = "2027-03-15";

/// The demo's book, on its day.
fn demo() -> Trial {
    let trial = Trial::new();
    trial.run("demo").done();
    trial
}

/// What `check` of the demo's garden nettles says of them on a day, as data.
fn nettles(trial: &Trial, day: &str) -> serde_json::Value {
    let asked = format!("--book demo.sqlite --on {day} check \"Garden nettles\" --format json");
    serde_json::from_str(&trial.run(&asked).out).unwrap()
}

/// The share that is left, and the day on which the patch opens again.
fn standing(trial: &Trial, day: &str) -> (f64, String) {
    let answer = nettles(trial, day);
    let left = answer["share"]["left"].as_f64().unwrap();
    (left, answer["opens_on"].as_str().unwrap_or("open").to_owned())
}

fn load(trial: &Trial, taken: &str, kilos: f64, more: &str) {
    trial.write(
        "more.csv",
        format!(
            "patch,date,by,mass_g,taken,recorded_on\n\
             Wendlestow/Garden nettles,{DAY},Ida,{},{taken},{DAY}\n",
            1000.0 * kilos
        ),
    );
    trial.run(&format!("--book demo.sqlite --on {DAY} load more.csv {more}")).done();
}

#[test]
fn a_cut_over_its_limit_spends_the_same_whether_typed_or_loaded() {
    let typed = demo();
    let most = nettles(&typed, DAY)["most_g"].as_f64().unwrap();
    assert!((3500.0..3700.0).contains(&most), "{most}");
    typed
        .run(&format!("--book demo.sqlite --on {DAY} cut \"Garden nettles\" 12kg --by Ida"))
        .done();
    let expected = standing(&typed, "2027-03-16");
    assert!(expected.0 < 0.0, "{expected:?}");
    for taken in ["", "all", "part"] {
        let loaded = demo();
        load(&loaded, taken, 12.0, "");
        assert_eq!(standing(&loaded, "2027-03-16"), expected, "taken: `{taken}`");
    }
}

#[test]
fn a_count_that_is_a_slip_is_asked_about_and_spends_by_weight_at_least() {
    let trial = demo();
    let slip = "cut \"Garden nettles\" 12kg --one-in 200 --by Ida";
    let said = trial.run(&format!("--book demo.sqlite --on {DAY} {slip}")).wrong();
    has(&said, &["1 in 200", "would mean that 2400 kg stood", "--sure", "nothing was recorded"]);
    trial.run(&format!("--book demo.sqlite --on {DAY} {slip} --sure")).done();
    let by_weight = demo();
    load(&by_weight, "part", 12.0, "");
    assert_eq!(standing(&trial, "2027-03-16"), standing(&by_weight, "2027-03-16"));
}

/// A bank that only a permission's cap of 600 g a visit keeps from being cut further.
fn a_capped_bank() -> Trial {
    let trial = Trial::with_book();
    trial.write("land.geojson", places(&[site(), patch("Bank", "nettle-tops", 1)]));
    trial.write(
        "permissions.csv",
        "site,basis,for,from,cap_per_visit_g,lifts_code_cap,by,recorded_on\n\
         Hill,written,own use; walk; sale,2020-01-01,600,yes,Ida,2020-01-01\n",
    );
    trial.write("surveys.csv", SURVEY);
    trial.write(
        "overrides.csv",
        "site,crop,field,value,source,date,by,recorded_on\n\
         Hill,nettle-tops,cuts_per_season,20,the keeper,2020-01-01,Ida,2020-01-01\n",
    );
    trial.run("load land.geojson permissions.csv surveys.csv overrides.csv").done();
    trial
}

#[test]
fn cuts_up_to_a_permissions_cap_say_nothing_of_the_crop_whether_typed_or_loaded() {
    let days = ["03-03", "03-10", "03-17", "03-24", "03-31", "04-07", "04-14", "04-21", "04-28"];
    let days = days.map(|day| format!("2021-{day}"));
    let asked = "check bank --on 2021-05-05 --format json";
    let answer = |trial: &Trial| -> serde_json::Value {
        serde_json::from_str(&trial.run(asked).out).unwrap()
    };
    let typed = a_capped_bank();
    for day in &days {
        typed.run(&format!("cut bank 600g --by Ida --on {day} --recorded-on {day}")).done();
    }
    let loaded = a_capped_bank();
    let rows = days.iter().map(|day| format!("Hill/Bank,{day},Ida,600,,{day}\n"));
    let rows: String = rows.collect();
    loaded.write("cuts.csv", format!("patch,date,by,mass_g,taken,recorded_on\n{rows}"));
    loaded.run("load cuts.csv --on 2021-05-05").done();

    let (typed, loaded) = (answer(&typed), answer(&loaded));
    for what in ["most_g", "one_in", "share", "opens_on", "verdict"] {
        assert_eq!(typed[what], loaded[what], "{what}");
    }
    // Nine times a fraction of what the share allowed: nobody saw the crop run out, and no visit has
    // shown what it bears, so that half is still kept back.
    assert_eq!(loaded["most_g"], 600.0);
    assert_eq!((&loaded["share"]["thin"], &loaded["share"]["start"]), (&1.0.into(), &0.5.into()));
    assert!(loaded["one_in"].as_u64().unwrap() <= 24, "{}", loaded["one_in"]);
}

#[test]
fn what_is_typed_twice_is_asked_about_and_may_be_two() {
    let trial = Trial::with_a_surveyed_bank();
    let cut = "cut bank 300g --part --by Ida --on 2021-03-10 --recorded-on 2021-03-10";
    trial.run(cut).done();
    let said = trial.run(cut).wrong();
    has(&said, &["300 g", "--again", "nothing was recorded"]);
    assert_eq!(trial.history().matches("cut by Ida: 300 g").count(), 1);
    trial.run(&format!("{cut} --again")).done();
    assert_eq!(trial.history().matches("cut by Ida: 300 g").count(), 2);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn load_says_of_a_cut_over_its_limit_what_cut_says() {
    let trial = demo();
    trial.write(
        "more.csv",
        format!("patch,date,by,mass_g,taken\nWendlestow/Garden nettles,{DAY},Ida,12000,\n"),
    );
    let said = trial.run(&format!("--book demo.sqlite --on {DAY} load more.csv")).done();
    has(
        &said,
        &[
            "12 kg of nettle-tops from Wendlestow/Garden nettles",
            "8.38 kg",
            "more than the 3.62 kg allowed",
        ],
    );
}

/// An export of the book, loaded into it again.
fn loaded_again(trial: &Trial, folder: &str) -> String {
    trial.run(&format!("export {folder} --whole")).done();
    let files = trial.files(folder);
    let files: Vec<String> = files.iter().map(|file| format!("{folder}/{file}")).collect();
    trial.run(&format!("load {}", files.join(" "))).done()
}

#[test]
fn an_export_loaded_again_adds_nothing_after_corrections_and_withdrawals() {
    let trial = Trial::with_a_surveyed_bank();
    for _ in 0..2 {
        trial.run("cut bank 200g --part --again --by Ida --on 2021-03-15").done();
    }
    trial.run("cut bank 300g --part --by Ida --on 2021-03-16").done();
    let moved = trial.id_of("300 g");
    let why = "--why \"wrong patch\" --by Ida";
    trial.run(&format!("correct {moved} patch=Hill/Field date=2021-03-12 {why}")).done();
    let twice = trial.id_of("200 g");
    trial.run(&format!("withdraw {twice} --why \"entered twice\" --by Ida")).done();
    let before = trial.history();
    let said = loaded_again(&trial, "copy");
    assert!(!said.contains("1 cut"), "{said}");
    has(&said, &["copy/corrections.csv: nothing new; 2 known already"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn two_leaders_cuts_of_one_day_patch_and_person_are_two_facts() {
    let trial = Trial::on_hill();
    let row =
        |grams: u32| format!("patch,date,by,mass_g,taken\nHill/Bank,2021-03-10,Ida,{grams},\n");
    trial.write("ida/cuts.csv", row(500)).write("ben/cuts.csv", row(320));
    trial.run("load ida/cuts.csv").done();
    has(&trial.run("load ben/cuts.csv").done(), &["ben/cuts.csv: 1 cut"]);
    let history = trial.history();
    has(&history, &["500 g from Hill/Bank"]);
    has(&history, &["320 g from Hill/Bank"]);
    assert!(!history.contains("NO LONGER COUNTS"), "{history}");
}

#[test]
fn a_row_that_was_copied_with_its_id_is_asked_about() {
    let trial = Trial::on_hill();
    trial.run("cut bank 500g --by Ida --on 2021-03-10").done();
    trial.run("export copy --whole").done();
    let cuts = trial.read("copy/cuts.csv");
    let row = cuts.lines().last().unwrap().replace("2021-03-10", "2021-03-11");
    trial.write("copy/cuts.csv", format!("{cuts}{row}\n"));
    let before = trial.history();
    let said = trial.run("load copy/cuts.csv --replace").wrong();
    has(&said, &["is there twice", "clear the cell `fact`", "nothing was recorded"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn a_patch_that_was_renamed_is_found_by_the_file_that_has_its_new_name() {
    let trial = Trial::with_a_surveyed_bank();
    let bank = trial.id_of("patch by Ida: Hill/Bank");
    trial.run(&format!("correct {bank} name=Terrace --why \"its real name\" --by Ida")).done();
    let before = trial.history();
    let renamed = trial.read("places.geojson").replace("\"Bank\"", "\"Terrace\"");
    has(&trial.load("places.geojson", renamed).done(), &["nothing new", "4 known already"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn nothing_is_done_on_a_day_that_is_still_to_come() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 300g --part --by Ida --on 2021-03-15").done();
    let cut = trial.id_of("300 g");
    let said = trial.run(&format!("correct {cut} date=2072-03-15 --why typo --by Ida")).wrong();
    has(&said, &["lies ahead", "a day up to today", "nothing was recorded"]);
    let before = trial.history();
    let said = trial.run("cut bank 100g --part --by Ida --on 2098-03-15").wrong();
    has(&said, &["days past today and past all that the book holds", "--sure"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn a_frame_whose_point_slipped_is_asked_about() {
    let trial = Trial::on_hill();
    trial.load("p.csv", PERMISSION).done();
    let said = trial.run("survey bank 31 18 40 --frame 0.025 --by Ida --on 2021-03-01").wrong();
    has(&said, &["a frame of 0.025 m², 16 cm by 16 cm", "--sure", "nothing was recorded"]);
    let said = trial.run("survey bank 30000 20 --frame 0.25 --by Ida --on 2021-03-01").wrong();
    has(&said, &["found 30 kg in one place, 120 kg a square metre", "carries some 2 kg"]);
    trial.run("survey bank 31 18 40 --frame 0.025 --by Ida --on 2021-03-01 --sure").done();
}

#[test]
fn a_walk_takes_what_is_set_aside_for_it_to_its_new_day_or_stays() {
    let trial = Trial::with_a_surveyed_bank();
    trial
        .run("walk new \"spring walk\" --on 2021-03-20 --leader Ida --site Hill --adults 3 --want nettle-tops=1kg --recorded-on 2021-03-10")
        .done();
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    let walk = trial.id_of("walk by Ida");
    let because = "--why rain --by Ida --recorded-on 2021-03-12";
    let said = trial.run(&format!("correct {walk} day=2021-03-27 {because}")).done();
    has(&said, &["What is set aside on 1 patch went along"]);
    assert!(trial.run("check bank --on 2021-03-27").out.contains("1 kg"));
    let moved = trial.id_of("walk by Ida");
    let before = trial.history();
    let said = trial.run(&format!("correct {moved} day=2021-08-20 {because}")).wrong();
    has(&said, &["`spring walk` stays on 27 Mar 2021", "Hill/Bank: 1 kg is set aside"]);
    has(&said, &["nothing was recorded"]);
    assert_eq!(trial.history(), before);
    let hold = trial.id_of("hold by Ida");
    let said = trial.run(&format!("correct {hold} day=2021-03-28 {because}")).wrong();
    has(&said, &["has the day of its walk"]);
}

/// Loads one file this many times at once into a new book, which must have each row once.
fn load_at_once(loads: usize) {
    let trial = Trial::with_book();
    trial.write("places.geojson", places(&[site(), patch("Bank", "nettle-tops", 1)]));
    let rows: String =
        (1..=20).map(|day| format!("Hill/Bank,2021-03-{day:02},Ida,{},\n", 100 + day)).collect();
    trial.write("cuts.csv", format!("patch,date,by,mass_g,taken\n{rows}"));
    let load = || trial.run("load places.geojson cuts.csv");
    thread::scope(|threads| {
        let loads: Vec<_> = (0..loads).map(|_| threads.spawn(load)).collect();
        for said in loads.into_iter().map(|load| load.join().unwrap()) {
            assert!([0, 3].contains(&said.status), "{}", said.err);
        }
    });
    assert_eq!(trial.history().matches("cut by Ida").count(), 20);
}

#[test]
fn one_file_loaded_many_times_at_once_is_recorded_once() {
    load_at_once(6);
}

#[test]
#[ignore = "takes a minute: forty times twelve loads"]
fn twelve_loads_at_once_double_nothing_in_forty_trials() {
    (0..40).for_each(|_| load_at_once(12));
}

#[test]
fn a_file_answers_what_would_be_asked_by_its_columns_visit_and_sure() {
    let trial = Trial::on_hill();
    let rows = "patch,date,by,mass_g,taken,visit,sure\n\
                Hill/Bank,2021-03-10,Ida,500,part,,\nHill/Bank,2021-03-10,Ida,500,part,2,\n";
    has(&trial.load("cuts.csv", rows).done(), &["cuts.csv: 2 cuts"]);
    let once = rows.replace(",part,2,", ",part,,");
    let said = trial.load("other.csv", once).wrong();
    has(&said, &["other.csv: the cut of 500 g on Hill/Bank, 2021-03-10, by Ida", "--again"]);
    let survey = "patch,date,by,frame_area_m2,mass_g,sure\nHill/Bank,2021-03-01,Ida,0.025,3,\n\
                  Hill/Bank,2021-03-01,Ida,0.025,4,\n";
    has(&trial.load("s.csv", survey).wrong(), &["a frame of 0.025 m²", "--sure"]);
    has(&trial.load("s.csv", survey.replace("3,\n", "3,yes\n")).done(), &["s.csv: 1 survey"]);
}

#[test]
fn what_the_book_has_is_not_asked_about_when_its_export_comes_back() {
    let trial = Trial::on_hill();
    trial.load("p.csv", PERMISSION).done();
    trial.run("survey bank 31 18 40 --frame 0.025 --by Ida --on 2021-03-01 --sure").done();
    trial.run("cut bank 20g --part --by Ida --on 2098-03-15 --sure").done();
    let before = trial.history();
    let said = loaded_again(&trial, "copy");
    has(&said, &["copy/cuts.csv: nothing new; 1 known already"]);
    has(&said, &["copy/surveys.csv: nothing new; 1 known already"]);
    assert_eq!(trial.history(), before);
}

/// Another leader's book with a site of the same name and a bank of its own on it.
#[test]
fn a_place_of_another_book_that_bears_a_name_taken_here_is_asked_about() {
    in_a_file();
    let trial = Trial::with_a_surveyed_bank();
    let own = trial.id_of("patch by Ida: Hill/Bank");
    // Una's book began as a copy; she withdrew the bank and drew another.
    trial.copy_book("una.sqlite");
    let una = "--book una.sqlite";
    let survey = trial.id_of("survey by Ida");
    for fact in [&survey, &own] {
        let why = "--why \"drawn anew\" --by Una --recorded-on 2021-03-11";
        trial.run(&format!("withdraw {fact} {why} {una}")).done();
    }
    let drawn = places(&[patch("Bank", "nettle-tops", 8)]).replace("Ida", "Una");
    trial.write("bank.geojson", drawn.replace("2020-01-02", "2021-03-12"));
    trial.run(&format!("load bank.geojson {una}")).done();
    trial.run(&format!("cut bank 150g --part --by Una --on 2021-03-14 {una}")).done();
    trial.run(&format!("export una --whole {una}")).done();
    // Without what was put right, which withdrew Ida's bank.
    let before = trial.history();
    let said = trial.run("load una/places.geojson una/cuts.csv").wrong();
    let found = [
        "una/places.geojson: patch `Hill/Bank` of this file",
        "Hill/Bank, nettle-tops, set down by Una on 12 Mar 2021",
        "is not the patch that the book calls so",
        &format!("{own} (Hill/Bank, nettle-tops, set down by Ida on 2 Jan 2020)"),
        "if they are one, take it out of the file",
        "if they are two, call one of them otherwise",
        "nothing was recorded",
    ];
    has(&said.replace("\n  ", " "), &found);
    assert_eq!(trial.history(), before);
    // Either way out leads on.
    let whole = std::fs::read(trial.path("stintbook.sqlite")).unwrap();
    has(&trial.run("load una/cuts.csv").done(), &["1 cut"]);
    has(&trial.history(), &["150 g from Hill/Bank"]);
    trial.write("stintbook.sqlite", whole);
    let why = "--why \"two banks\" --by Ida --recorded-on 2021-03-10";
    trial.run(&format!("correct {own} name=\"Low bank\" {why}")).done();
    has(&trial.run("load una/places.geojson una/cuts.csv").done(), &["1 patch", "1 cut"]);
    let history = trial.history();
    has(&history, &["10 quadrats on Hill/Low bank", "150 g from Hill/Bank"]);
}

#[test]
fn a_problem_of_what_was_typed_begins_with_its_field_and_an_old_fact_is_told_as_such() {
    let trial = Trial::on_hill();
    trial.run("cut bank 500g --by Ida --on 2021-03-10").done();
    let cut = trial.id_of("500 g");
    let why = "--why x --by Ida --recorded-on 2021-03-12";
    let said = trial.run(&format!("correct {cut} date=2072-03-10 {why}")).wrong();
    assert!(said.starts_with("stintbook: `date`: the cut of Hill/Bank"), "{said}");
    // A walk that moved is moved again by its newest fact, and what is said is of that.
    let walk = "walk new spring --on 2021-03-20 --leader Ida --site Hill --adults 1 --want \
        nettle-tops=1kg --recorded-on 2021-03-10";
    trial.run(walk).done();
    let first = trial.id_of("walk by Ida");
    trial.run(&format!("correct {first} day=2021-03-21 {why}")).done();
    let said = trial.run(&format!("correct {first} day=2021-08-21 {why}")).wrong();
    has(&said, &[&format!("fact `{first}` was corrected already; correct the newest, `")]);
}

#[test]
fn small_baskets_that_pass_a_days_limit_together_are_asked_about_typed_or_loaded() {
    let cut = |trial: &Trial, basket: f64, count: u64, more: &str| {
        trial.run(&format!(
            "--book demo.sqlite --on {DAY} cut \"Garden nettles\" {basket}g --one-in {count} \
             --by \"one in {count}\" --recorded-on {DAY} {more}"
        ))
    };
    let most = |trial: &Trial| nettles(trial, DAY)["most_g"].as_f64().unwrap();
    let trial = demo();
    let morning = most(&trial);
    let mut baskets: Vec<(f64, u64)> = Vec::new();
    // Each takes a good part of what the one before it left, and counted that it was less.
    let said = loop {
        let count = 2 * nettles(&trial, DAY)["one_in"].as_u64().unwrap();
        baskets.push(((most(&trial) * 0.55).floor(), count));
        let said = cut(&trial, baskets[baskets.len() - 1].0, count, "");
        if said.status != 0 {
            break said.wrong();
        }
    };
    let sum: f64 = baskets.iter().map(|(basket, _)| basket).sum();
    let last = baskets[baskets.len() - 1];
    assert!(sum > morning * 1.05 && sum - last.0 <= morning * 1.05, "{baskets:?} of {morning}");
    has(&said, &["3.87 kg by this one", "no more than 3.62 kg was allowed that morning"]);
    has(&said, &["written down twice", "--sure", "nothing was recorded"]);

    let rows = baskets.iter().map(|(basket, count)| {
        format!("Wendlestow/Garden nettles,{DAY},one in {count},{basket},1 in {count},{DAY}\n")
    });
    let rows: String = rows.collect();
    let loaded = demo();
    loaded.write("cuts.csv", format!("patch,date,by,mass_g,taken,recorded_on\n{rows}"));
    let load = format!("--book demo.sqlite --on {DAY} load cuts.csv");
    has(&loaded.run(&load).wrong(), &["3.87 kg by this one", "allowed that morning"]);
    assert_eq!(most(&loaded), morning);
    loaded.run(&format!("{load} --sure")).done();
    cut(&trial, last.0, last.1, "--sure").done();
    assert_eq!(most(&loaded), most(&trial));
}
