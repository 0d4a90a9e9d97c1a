//! `load`: files taken whole or not at all, once, and changed only when told to.

use rusqlite::Connection;

use crate::hill::{PERMISSION, SURVEY, patch, places, site};
use crate::said::has;
use crate::trial::{Trial, in_a_file};

const CUTS: &str = "\
patch,date,by,mass_g,taken,recorded_on
Hill/Bank,2021-03-10,Ida,500,all,2021-03-10
Hill/Bank,2021-03-20,Ida,300,part,2021-03-21
";

#[test]
fn small_files_are_loaded_and_counted() {
    let trial = Trial::with_book();
    trial.write("places.geojson", places(&[site(), patch("A", "sloe", 1), patch("B", "sloe", 2)]));
    trial.write("surveys.csv", SURVEY.replace("Hill/Bank", "Hill/A")).write("p.csv", PERMISSION);
    assert_eq!(
        trial.run("load surveys.csv p.csv places.geojson").done(),
        "places.geojson: 1 site, 2 patches\n\
         surveys.csv: 1 survey\n\
         p.csv: 1 permission\n"
    );
}

#[test]
fn a_file_loaded_again_adds_nothing_and_says_so() {
    let trial = Trial::on_hill();
    has(&trial.load("cuts.csv", CUTS).done(), &["cuts.csv: 2 cuts"]);
    let history = trial.history();
    let again = trial.run("load places.geojson ./cuts.csv").done();
    assert_eq!(
        again,
        "places.geojson: nothing new; 4 known already\ncuts.csv: nothing new; 2 known already\n"
    );
    assert_eq!(trial.history(), history);
}

/// How many of the files that the book has marks of.
fn marks(book: &Connection) -> u32 {
    book.query_row("SELECT count(*) FROM recognised", [], |row| row.get(0)).unwrap()
}

#[test]
fn an_unchanged_file_is_told_of_alike_with_and_without_what_is_kept_of_it() {
    in_a_file();
    let trial = Trial::on_hill();
    trial.load("cuts.csv", CUTS).done();
    let book = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    let again = || trial.run("load places.geojson cuts.csv").done();
    let known =
        "places.geojson: nothing new; 4 known already\ncuts.csv: nothing new; 2 known already\n";
    assert_eq!(marks(&book), 2);
    assert_eq!(again(), known);
    book.execute("DELETE FROM recognised", []).unwrap();
    assert_eq!(again(), known);
    assert_eq!(marks(&book), 2);
    book.execute("UPDATE recognised SET known = 9", []).unwrap();
    assert_eq!(again(), known);
    trial.write("cuts.csv", CUTS.replace("300", "310"));
    let changed = trial.run("load places.geojson cuts.csv").wrong();
    has(&changed, &["`mass_g`: `300` is now `310`", "--replace"]);
}

#[test]
fn a_file_is_read_again_where_a_fact_of_it_is_lost_withdrawn_or_renamed() {
    in_a_file();
    let trial = Trial::on_hill();
    trial.load("cuts.csv", CUTS).done();
    let id = trial.id_of("300 g");
    trial.run(&format!("withdraw {id} --why \"entered twice\" --by Ida")).done();
    let again = trial.run("load places.geojson cuts.csv").done();
    has(&again, &["1 known already, 1 corrected or withdrawn since, left as they are"]);
    assert_eq!(trial.run("load places.geojson cuts.csv").done(), again);
    let book = Connection::open(trial.path("stintbook.sqlite")).unwrap();
    book.execute("DELETE FROM cut WHERE taken_g = 500", []).unwrap();
    has(&trial.run("load places.geojson cuts.csv").failed(), &["is damaged", "Hill/Bank"]);
}

#[test]
fn a_renamed_file_is_known_by_its_old_name_only_while_it_is_said() {
    let trial = Trial::on_hill();
    trial.load("cuts.csv", CUTS).done();
    trial.write("copy.csv", CUTS);
    let known = trial.run("load copy.csv --formerly cuts.csv").done();
    has(&known, &["nothing new; 2 known already"]);
    has(&trial.run("load copy.csv").wrong(), &["from cuts.csv", "--again"]);
}

#[test]
fn a_row_that_stands_in_two_files_or_twice_in_one_is_known_once_it_is_said_to_be_another() {
    let trial = Trial::on_hill();
    let header = "patch,date,by,standing,recorded_on\n".to_owned();
    let row = "Hill/Bank,2021-03-01,Ida,3kg,2021-03-01\n";
    trial.load("one.csv", header.clone() + row).done();
    trial.write("two.csv", header + row + row);
    has(&trial.run("load two.csv").wrong(), &["is in the book already", "--again"]);
    has(&trial.run("load two.csv --again").done(), &["two.csv: 2 glances"]);
    for again in ["load two.csv", "load two.csv --again"] {
        assert_eq!(trial.run(again).done(), "two.csv: nothing new; 2 known already\n");
    }
}

#[test]
fn what_two_people_cut_alike_on_one_day_is_two_cuts_and_of_one_person_it_is_asked_about() {
    let trial = Trial::on_hill();
    let header = "patch,date,by,mass_g,taken,recorded_on\n";
    let cut = |by: &str| format!("Hill/Bank,2021-03-01,{by},300,part,2021-03-01\n");
    trial.write("one.csv", header.to_owned() + &cut("Ida") + &cut("Bea"));
    trial.write("two.csv", header.to_owned() + &cut("ida"));
    has(&trial.run("load one.csv two.csv").wrong(), &["by ida is there twice", "--again"]);
    has(&trial.run("load one.csv").done(), &["one.csv: 2 cuts"]);
}

#[test]
fn what_two_files_of_one_command_both_tell_is_recorded_once_or_asked_about() {
    let trial = Trial::with_book();
    trial.write("places.geojson", places(&[site(), patch("Bank", "nettle-tops", 1)]));
    trial.write("cuts.csv", CUTS).write("copy.csv", CUTS);
    has(
        &trial.run("load places.geojson places.geojson cuts.csv").done(),
        &[
            "places.geojson: 1 site, 1 patch",
            "places.geojson: nothing new; 2 known already",
            "cuts.csv: 2 cuts",
        ],
    );
    let history = trial.history();
    let said = trial.run("load copy.csv").wrong();
    has(&said, &["copy.csv: the cut of 500 g on Hill/Bank, 2021-03-10, by Ida", "from cuts.csv"]);
    has(&said, &["--again", "nothing was recorded"]);
    assert_eq!(trial.history(), history);
    has(&trial.run("load copy.csv --formerly cuts.csv").done(), &["nothing new; 2 known already"]);
    assert_eq!(trial.history(), history);
    has(&trial.run("load copy.csv --again").done(), &["copy.csv: 2 cuts"]);
    assert_eq!(trial.history().matches("cut by Ida").count(), 4);
}

#[test]
fn two_files_of_one_command_that_tell_of_one_agreement_differently_are_refused() {
    let trial = Trial::on_hill();
    let history = trial.history();
    trial.write("a.csv", PERMISSION).write("b.csv", PERMISSION.replace("written", "spoken"));
    let said = trial.run("load a.csv b.csv --replace").wrong();
    has(&said, &["b.csv", "permission Hill 2020-01-01 every crop", "`written` is now `spoken`"]);
    has(&said, &["nothing was recorded"]);
    assert_eq!(trial.history(), history);
}

#[test]
fn a_changed_file_says_what_changed_and_is_recorded_only_when_told_to() {
    let trial = Trial::on_hill();
    trial.load("cuts.csv", CUTS).done();
    let history = trial.history();
    let said = trial.load("cuts.csv", CUTS.replace(",500,", ",560,")).wrong();
    has(
        &said,
        &[
            "the files say otherwise than the book:",
            "cut Hill/Bank 2021-03-10 Ida: `mass_g`: `500` is now `560`",
            "--replace",
            "nothing was recorded",
        ],
    );
    assert_eq!(trial.history(), history);
    let said = trial.run("load cuts.csv --replace --why misread").done();
    has(&said, &["cuts.csv: 1 known already, 1 changed", "`500` is now `560`"]);
    has(&trial.history(), &["500 g", "NO LONGER COUNTS", "by Ida: misread", "560 g"]);
    assert_eq!(trial.run("load cuts.csv").done(), "cuts.csv: nothing new; 2 known already\n");
}

/// Of more sites than are ruled at once, whose new cuts are recorded as they are ruled.
#[test]
fn cuts_on_twenty_sites_are_put_right_by_one_file() {
    let trial = Trial::with_book();
    let names: Vec<String> = ('A'..='T').map(|letter| format!("Hill {letter}")).collect();
    let on_site = |(name, north): (&String, u32)| {
        let moved = |feature: String| {
            feature.replace("Hill", name).replace(",48", &format!(",{}", 30 + north))
        };
        [site(), patch("Bank", "nettle-tops", 1)].map(moved)
    };
    let land: Vec<String> = names.iter().zip(0..).flat_map(on_site).collect();
    trial.load("land.geojson", places(&land)).done();
    let cuts = |grams: u32| {
        let rows = names.iter().map(|name| format!("{name}/Bank,2021-03-10,Ida,{grams},part\n"));
        format!("patch,date,by,mass_g,taken\n{}", rows.collect::<String>())
    };
    trial.load("cuts.csv", cuts(400)).done();
    trial.load("cuts.csv", cuts(350)).wrong();
    has(&trial.run("load cuts.csv --replace").done(), &["20 changed"]);
    let history = trial.history();
    assert_eq!(history.matches("cut by Ida: 350 g").count(), 20);
    assert_eq!(history.matches("NO LONGER COUNTS").count(), 20);
}

#[test]
fn a_mended_file_that_kept_its_day_of_recording_does_not_change_what_was_known_then() {
    let trial = Trial::with_a_surveyed_bank();
    let then = "check bank --on 2021-03-15 --as-known-on 2021-03-15";
    let answer = trial.run(then).done();
    trial.load("surveys.csv", SURVEY.replace(",40,", ",90,")).wrong();
    trial.run("load surveys.csv --replace").done();
    assert_eq!(trial.run(then).done(), answer);
    assert_ne!(trial.run("check bank --on 2021-03-15").done(), answer);
    assert_eq!(trial.run("load surveys.csv").done(), "surveys.csv: nothing new; 1 known already\n");
}

#[test]
fn maps_of_one_command_that_rest_on_each_other_make_the_same_book_in_any_order() {
    let down = |text: String| text.replace("Hill", "Down").replace(",48", ",49");
    let told: Vec<String> = ["a b c", "c b a", "b c a"]
        .map(|order| {
            let trial = Trial::with_book();
            trial.write("a.geojson", places(&[site(), patch("Bank", "sloe", 1)]));
            // Its site comes from another map, in another case; that one has a patch of its own.
            let far = patch("Scar", "sloe", 2).replace("Hill", "HILL");
            trial.write("b.geojson", places(&[far]));
            trial.write("c.geojson", places(&[site(), patch("Bank", "sloe", 1)].map(down)));
            let files = order.split(' ').map(|file| format!(" {file}.geojson"));
            let said = trial.run(&format!("load{}", files.collect::<String>())).done();
            let brought = |file: &str| match file {
                "b" => "b.geojson: 1 patch\n".to_owned(),
                _ => format!("{file}.geojson: 1 site, 1 patch\n"),
            };
            assert_eq!(said, order.split(' ').map(brought).collect::<String>());
            let mut known: Vec<String> = trial.history().lines().map(str::to_owned).collect();
            known.sort();
            known.join("\n")
        })
        .into();
    for patch in ["Hill/Bank", "Hill/Scar", "Down/Bank"] {
        has(&told[0], &[patch]);
    }
    assert!(told.iter().all(|other| *other == told[0]));
}

#[test]
fn a_file_of_thousands_makes_the_same_facts_as_its_rows_in_two_small_ones() {
    let header = "patch,date,by,standing,recorded_on\n";
    let rows: Vec<String> = (0..3000)
        .map(|n| {
            let day = format!("2021-{:02}-{:02}", 1 + n / 25 % 4, 1 + n % 25);
            format!("Hill/Bank,{day},Eye {},{}g,{day}\n", n / 100, 900 + n)
        })
        .collect();
    let (one, other) = rows.split_at(1500);
    let large = Trial::on_hill();
    has(&large.load("all.csv", header.to_owned() + &rows.concat()).done(), &["3000 glances"]);
    let small = Trial::on_hill();
    for (file, rows) in [("one.csv", one), ("other.csv", other)] {
        has(&small.load(file, header.to_owned() + &rows.concat()).done(), &["1500 glances"]);
    }
    let facts = |trial: &Trial| {
        let mut facts: Vec<String> = trial.history().lines().map(str::to_owned).collect();
        facts.sort();
        facts
    };
    assert!(facts(&large).len() > 3000);
    assert!(facts(&large) == facts(&small));
    has(&large.run("verify").done(), &["The book is whole"]);
}

#[test]
fn one_bad_file_keeps_the_good_ones_out_too() {
    let trial = Trial::on_hill();
    let history = trial.history();
    trial.write("permissions.csv", PERMISSION).write("cuts.csv", CUTS.replace("500", "lots"));
    let said = trial.run("load permissions.csv cuts.csv").wrong();
    has(&said, &["cuts.csv, line 2, `mass_g`: `lots` is not a number", "nothing was recorded"]);
    assert_eq!(trial.history(), history);
}
