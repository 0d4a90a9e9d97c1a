//! `merge`: two leaders' books become one, and nothing of either is lost.

use std::fs;

use crate::hill::{LIFTED, SURVEY, patch, patch_of, places, polygon, site};
use crate::said::{has, unfolded, without_ids};
use crate::trial::{Trial, in_a_file};

const BECAUSE: &str = "--why \"misread\" --recorded-on 2021-03-20";
const WEEK: &str = "week --all --on 2021-03-20";

/// Ida's book, and Una's beside it, which began as a copy.
fn two_books() -> (Trial, &'static str) {
    let trial = Trial::with_a_surveyed_bank();
    trial.copy_book("una.sqlite");
    (trial, "--book una.sqlite")
}

/// Merges each into the other and gives what both then say of the week.
fn merged(trial: &Trial) -> String {
    trial.run("merge una.sqlite").done();
    trial.run("merge stintbook.sqlite --book una.sqlite").done();
    let week = trial.run(WEEK).done();
    assert_eq!(trial.run(&format!("{WEEK} --book una.sqlite")).done(), week);
    week
}

#[test]
fn what_one_leader_recorded_counts_in_both_books_after_each_took_in_the_other() {
    let (trial, una) = two_books();
    trial.run("cut bank 400g --part --by Ida --on 2021-03-10").done();
    trial.run(&format!("cut bank 300g --part --by Una --on 2021-03-12 {una}")).done();
    let dry = trial.run("merge una.sqlite --dry").done();
    has(
        &dry,
        &["`una.sqlite` has 1 cut that this book lacks", "Nothing was recorded, since --dry"],
    );
    assert!(!trial.history().contains("by Una"));
    let said = trial.run("merge una.sqlite").done();
    assert_eq!(said, "`una.sqlite` has 1 cut that this book lacks.\nAll of it is recorded.\n");
    let both = trial.run(WEEK).done();
    assert_eq!(merged(&trial), both);
    has(&trial.history(), &["cut by Ida: 400 g", "cut by Una: 300 g"]);
    has(&trial.run("merge una.sqlite").done(), &["Nothing new: this book has all"]);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn a_cut_put_right_by_both_leaders_counts_as_the_larger_until_one_settles_it() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 5kg --part --by Ida --on 2021-03-10 --recorded-on 2021-03-10").done();
    trial.copy_book("una.sqlite");
    let wrong = trial.id_of("cut by Ida");
    trial.run(&format!("correct {wrong} mass_g=500 --by Ida {BECAUSE}")).done();
    let with_500 = trial.run(WEEK).done();
    let una = "--book una.sqlite";
    trial.run(&format!("correct {wrong} mass_g=650 --by Una {BECAUSE} {una}")).done();
    let with_650 = trial.run(&format!("{WEEK} {una}")).done();
    assert_ne!(with_500, with_650);
    let said = trial.run("merge una.sqlite --dry").done();
    has(
        &without_ids(&said),
        &[
            "1 cut and 1 correction that this book lacks",
            "PUT RIGHT IN TWO WAYS",
            "500 g from Hill/Bank, taken part on 10 Mar 2021 (",
            "650 g from Hill/Bank, taken part on 10 Mar 2021 (",
        ],
    );
    // Whoever saw it, these two say otherwise.
    let said = said.replace("\n    ", " ");
    for by in ["as Ida put it right", "as Una put it right"] {
        assert_eq!(said.matches(by).count(), 1, "{said}");
    }
    assert_eq!(merged(&trial), with_650);
    has(&trial.run("verify").no(), &["PUT RIGHT IN TWO WAYS"]);
    let lost = trial.id_of("cut by Ida: 500 g");
    has(&trial.history(), &["DOES NOT COUNT: put right in two"]);
    trial.run(&format!("correct {lost} mass_g=500 --by Ida {BECAUSE}")).done();
    assert_eq!(trial.run(WEEK).done(), with_500);
    assert_eq!(merged(&trial), with_500);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

#[test]
fn one_cut_recorded_by_two_hands_counts_twice_and_is_named() {
    let (trial, una) = two_books();
    trial.run("cut bank 400g --part --by Ida --on 2021-03-10").done();
    trial.run(&format!("cut bank 400g --part --by Una --on 2021-03-10 {una}")).done();
    let said = without_ids(&trial.run("merge una.sqlite").done());
    has(
        &said,
        &[
            "PERHAPS RECORDED TWICE",
            "Hill/Bank: two cuts of 10 Mar 2021 by Ida and Una, 400 g each; both count",
        ],
    );
}

#[test]
fn what_is_no_other_book_is_refused_and_an_older_one_is_read_without_a_change() {
    in_a_file();
    let (trial, _) = two_books();
    has(&trial.run("merge stintbook.sqlite").wrong(), &["is this very book"]);
    has(&trial.run("merge nowhere.sqlite").wrong(), &["there is no book at"]);
    trial.write("notes.sqlite", "not a book at all ".repeat(400));
    has(&trial.run("merge notes.sqlite").wrong(), &["is not a book"]);
    has(&trial.run("merge sites").wrong(), &["is a folder"]);
    has(&trial.run("merge una.sqlite --book nowhere.sqlite").failed(), &["there is no book at"]);
    let older = rusqlite::Connection::open(trial.path("older.sqlite")).unwrap();
    older.execute_batch(include_str!("../../src/book/migrations/0001_first.sql")).unwrap();
    older.pragma_update(None, "application_id", 0x7374_626b).unwrap();
    older.pragma_update(None, "user_version", 1).unwrap();
    drop(older);
    let before = fs::read(trial.path("older.sqlite")).unwrap();
    has(&trial.run("merge older.sqlite").done(), &["Nothing new"]);
    assert_eq!(fs::read(trial.path("older.sqlite")).unwrap(), before);
    assert!(!trial.files(".").iter().any(|file| file.contains("copy")), "a copy was left");
}

#[test]
fn one_patch_drawn_by_both_leaders_gives_no_limit_until_one_of_the_two_is_withdrawn() {
    let (trial, una) = two_books();
    let alone = trial.run("check bank --on 2021-03-20").done();
    trial.write("slope.geojson", places(&[patch("Slope", "nettle-tops", 7)]));
    trial.run("load slope.geojson").done();
    // Una drew it herself; one file loaded into both books would be one patch.
    let anew = trial.read("slope.geojson").replace("Ida", "Una");
    trial.write("anew.geojson", anew);
    trial.run(&format!("load anew.geojson {una}")).done();
    for (book, by) in [("", "Ida"), (una, "Una")] {
        let line = format!(
            "patch,date,by,frame_area_m2,mass_g\nHill/Slope,2021-03-14,{by},0.25,30\n\
             Hill/Slope,2021-03-14,{by},0.25,36\nHill/Slope,2021-03-14,{by},0.25,33\n"
        );
        trial.write("slope.csv", line);
        trial.run(&format!("load slope.csv {book}")).done();
        has(&trial.run(&format!("{WEEK} {book}")).done(), &["Slope"]);
    }
    has(&trial.run("merge una.sqlite").done(), &["TWO OF ONE NAME", "ON THE SAME GROUND"]);
    merged(&trial);
    let shut = trial.run("check \"Hill/Slope\" --on 2021-03-20").no();
    has(&shut, &["claims the same ground; withdraw or redraw one of the two"]);
    assert_eq!(trial.run("check bank --on 2021-03-20").done(), alone);
}

#[test]
fn what_both_loaded_is_known_since_the_earlier_day_in_both_books() {
    in_a_file();
    let (trial, una) = two_books();
    trial.write("cuts.csv", "patch,date,by,mass_g,taken\nHill/Bank,2021-03-10,Ida,400,part\n");
    trial.run("load cuts.csv").done();
    // Una's book heard of it on the day itself, as her file is called otherwise.
    let mut una_book = stintbook::book::Book::open(&trial.path("una.sqlite")).unwrap();
    let ida_book = stintbook::book::Book::open(&trial.path("stintbook.sqlite")).unwrap();
    let lines = ida_book.history(&stintbook::book::Scope::All).unwrap();
    let line = lines.into_iter().find(|line| line.key.contains("2021-03-10")).unwrap();
    let mut fact = line.fact;
    fact.recorded_on = "2021-03-11".parse().unwrap();
    fact.file = Some("una/cuts.csv".into());
    una_book.append(&[stintbook::book::NewFact { key: line.key, fact }], &[]).unwrap();
    drop((una_book, ida_book));
    let said = trial.run("merge una.sqlite").done();
    has(&said, &["has 1 earlier day for a fact that this book lacks"]);
    trial.run(&format!("merge stintbook.sqlite {una}")).done();
    let history = trial.history();
    has(&history, &["cut by Ida: 400 g from Hill/Bank, taken part (written down", "2021-03-11)"]);
    assert_eq!(unfolded(&trial.run(&format!("history {una}")).done()), history);
    for book in ["", una] {
        has(&trial.run(&format!("verify {book}")).out, &["The book is whole"]);
    }
    has(&trial.run("merge una.sqlite").done(), &["Nothing new"]);
}

#[test]
fn a_file_that_both_leaders_loaded_is_one_set_of_facts_in_the_union() {
    let (trial, una) = two_books();
    trial.write("slope.geojson", places(&[patch("Slope", "nettle-tops", 7)]));
    for book in ["", una] {
        trial.run(&format!("load slope.geojson {book}")).done();
    }
    has(&trial.run("merge una.sqlite").done(), &["Nothing new: this book has all"]);
    assert_eq!(trial.history().matches("Hill/Slope").count(), 1);
}

#[test]
fn a_name_that_the_other_book_has_forgotten_is_forgotten_here_though_nothing_else_comes() {
    let trial = Trial::with_a_walk();
    trial.copy_book("una.sqlite");
    trial.run("walk forget Ann --book una.sqlite").done();
    has(&trial.run("merge una.sqlite --dry").done(), &["1 mark of a forgotten name", "--dry only"]);
    let named = || {
        trial.copy_book("looked-at.sqlite");
        let book = rusqlite::Connection::open(trial.path("looked-at.sqlite")).unwrap();
        let count = "SELECT count(*) FROM attendee WHERE name = 'Ann'";
        let count = book.query_row(count, [], |row| row.get::<_, i64>(0)).unwrap();
        fs::remove_file(trial.path("looked-at.sqlite")).unwrap();
        count
    };
    assert_eq!(named(), 1);
    let said = trial.run("merge una.sqlite").done();
    has(&said, &["The name of 1 party that it forgot is forgotten here too."]);
    assert_eq!(named(), 0);
    has(&trial.run("merge una.sqlite").done(), &["Nothing new"]);
}

#[test]
fn ground_that_two_patches_of_other_names_claim_is_promised_from_neither() {
    let (trial, una) = two_books();
    let alone = trial.run("check bank --on 2021-03-20").done();
    for (book, by, name) in [("", "Ida", "Slope"), (una, "Una", "Steep")] {
        let drawn = places(&[patch(name, "nettle-tops", 7)]).replace("Ida", by);
        trial.write(&format!("{name}.geojson"), drawn);
        trial.run(&format!("load {name}.geojson {book}")).done();
        let rows = [30, 36, 33].map(|grams| format!("Hill/{name},2021-03-14,{by},0.25,{grams}\n"));
        trial.write(
            &format!("{name}.csv"),
            format!("patch,date,by,frame_area_m2,mass_g\n{}", rows.concat()),
        );
        trial.run(&format!("load {name}.csv {book}")).done();
    }
    let most = |patch: &str, book: &str| {
        let said = trial.run(&format!("check {patch} --on 2021-03-20 --format json {book}"));
        serde_json::from_str::<serde_json::Value>(&said.out).unwrap()["most_g"].as_f64().unwrap()
    };
    let before = most("slope", "");
    assert!(before > 1000.0, "{before}");
    assert_eq!(most("steep", una), before);
    let told = [
        "ON THE SAME GROUND",
        "Hill/Slope and Hill/Steep bear one crop and share 332 m²; until that is settled no limit \
         is given from either; withdraw or redraw one of the two",
    ];
    has(&trial.run("merge una.sqlite --dry").done(), &told);
    assert_eq!(most("slope", ""), before, "--dry changed what counts");
    let week = merged(&trial);
    for book in ["", una] {
        for (patch, other) in [("slope", "Hill/Steep"), ("steep", "Hill/Slope")] {
            assert_eq!(most(patch, book), 0.0);
            let said = trial.run(&format!("check {patch} --on 2021-03-20 {book}")).no();
            has(&said, &["NOT KNOWN", &format!("{other} claims the same ground; withdraw or")]);
        }
        has(&trial.run(&format!("verify {book}")).no(), &told);
    }
    assert!(week.contains("claims the same ground"), "{week}");
    assert_eq!(trial.run("check bank --on 2021-03-20").done(), alone);
    // One of the two goes, with what was recorded on it; the other gives what it gave before.
    for fact in ["survey by Una", "patch by Una: Hill/Steep"] {
        let id = trial.id_of(fact);
        trial.run(&format!("withdraw {id} --why \"drawn twice\" --by Ida")).done();
    }
    assert_eq!(most("slope", ""), before);
    merged(&trial);
    assert_eq!(most("slope", una), before);
    has(&trial.run("verify").done(), &["The book is whole"]);
}

/// Whichever book heard of which first, so that all name the same.
#[test]
fn of_several_patches_that_claim_the_same_ground_the_first_by_name_is_named() {
    let (trial, una) = two_books();
    let eve = "--book eve.sqlite";
    trial.copy_book("eve.sqlite");
    for (book, name) in [("", "Slope"), (una, "Steep"), (eve, "Ascent")] {
        trial.write("drawn.geojson", places(&[patch(name, "nettle-tops", 7)]));
        trial.run(&format!("load drawn.geojson {book}")).done();
    }
    for file in ["una.sqlite", "eve.sqlite"] {
        trial.run(&format!("merge {file}")).done();
    }
    for (patch, other) in [("ascent", "Slope"), ("slope", "Ascent"), ("steep", "Ascent")] {
        let said = trial.run(&format!("check {patch} --on 2021-03-20")).no();
        has(&said, &["NOT KNOWN", &format!("Hill/{other} claims the same ground")]);
    }
}

/// What is set aside, by walk, in grams, and what may go beside it.
fn set_aside(trial: &Trial, name: &str, more: &str) {
    let new = format!("walk new \"{name}\" --site hill --adults 3 --want nettle-tops=6kg {more}");
    trial.run(&format!("{new} --recorded-on 2021-03-10")).done();
    let book = if more.contains("una") { "--book una.sqlite" } else { "" };
    trial.run(&format!("walk hold \"{name}\" --recorded-on 2021-03-10 {book}")).done();
}

const THEN: &str = "--on 2021-03-12";

/// The amounts of what is set aside, in grams, in the order of recording.
fn held(trial: &Trial, book: &str) -> Vec<f64> {
    trial.run(&format!("export held --whole {book}")).done();
    let rows = trial.read("held/holds.csv");
    fs::remove_dir_all(trial.path("held")).unwrap();
    let mut table = csv::Reader::from_reader(rows.as_bytes());
    let at = table.headers().unwrap().iter().position(|name| name == "mass_g").unwrap();
    table.records().map(|row| row.unwrap()[at].parse().unwrap()).collect()
}

#[test]
fn walks_that_promise_more_together_than_there_is_are_named_until_one_gives_way() {
    let (trial, una) = two_books();
    set_aside(&trial, "spring walk", "--on 2021-03-20 --leader Ida");
    set_aside(&trial, "May walk", &format!("--on 2021-03-21 --leader Una {una}"));
    // Each promised all that its own book allowed, some 5.5 kg of the bank.
    let [of_ida] = held(&trial, "")[..] else { panic!("not one hold") };
    let [of_una] = held(&trial, una)[..] else { panic!("not one hold") };
    assert!((5500.0..5600.0).contains(&of_ida) && (5500.0..5600.0).contains(&of_una));
    let alone = trial.run(&format!("week {THEN}")).done();
    let amount = stintbook::units::Amount::grams(of_una);
    let told =
        format!("Hill/Bank: {amount} for May walk on 21 Mar 2021 is more than the other walks");
    let told = ["PROMISED MORE THAN THERE IS", told.as_str(), "walk cancel"];
    has(&trial.run(&format!("merge una.sqlite --dry {THEN}")).done(), &told);
    has(&trial.run(&format!("merge una.sqlite {THEN}")).done(), &told);
    trial.run(&format!("merge stintbook.sqlite {una} {THEN}")).done();
    for book in ["", una] {
        assert_eq!(held(&trial, book), [of_ida, of_una]);
        let check = trial.run(&format!("check bank --on 2021-03-20 {book}")).no();
        has(&check, &["HELD: nothing may be cut", "for spring walk on 20 Mar 2021, and 1 more"]);
        let week = trial.run(&format!("week --all {THEN} {book}")).done();
        has(&week, &["HELD: 1 patch", "Bank"]);
        let list = trial.run(&format!("walk list {THEN} {book}")).done();
        let short = "set aside on 1 patch, on 1 of them more than the other walks leave it";
        has(&list, &["May walk", short, "spring walk", "set aside on 1 patch; wanted"]);
        has(&trial.run(&format!("verify {THEN} {book}")).no(), &told);
    }
    trial.run(&format!("walk cancel \"May walk\" --recorded-on 2021-03-12 {THEN}")).done();
    has(&trial.run(&format!("verify {THEN}")).done(), &["The book is whole"]);
    assert_eq!(trial.run(&format!("week {THEN}")).done(), alone);
    assert_eq!(held(&trial, ""), [of_ida]);
    assert!(!trial.run(&format!("walk list {THEN}")).done().contains("more than"));
}

#[test]
fn two_walks_of_one_name_stay_two_each_with_its_day_and_its_promise() {
    let (trial, una) = two_books();
    set_aside(&trial, "spring walk", "--on 2021-03-20 --leader Ida");
    set_aside(&trial, "spring walk", &format!("--on 2021-05-22 --leader Una {una}"));
    let ([of_ida], [of_una]) = (&held(&trial, "")[..], &held(&trial, una)[..]) else {
        panic!("not one hold each")
    };
    let told = ["TWO OF ONE NAME", "another walk is called spring walk too; it is shown as"];
    has(&trial.run(&format!("merge una.sqlite {THEN}")).done(), &told);
    trial.run(&format!("merge stintbook.sqlite {una} {THEN}")).done();
    let list = trial.run(&format!("walk list {THEN}")).done();
    assert_eq!(trial.run(&format!("walk list {THEN} {una}")).done(), list);
    has(
        &list,
        &[
            "Sat 22 May 2021 spring walk",
            "led by Una",
            // The earlier walk leaves the share of May short of what Una's book believed.
            "set aside on 1 patch, on 1 of them more than the other walks leave it",
            "Sat 20 Mar 2021 spring walk",
            "Hill, led by Ida",
            "set aside on 1 patch; wanted",
        ],
    );
    for book in ["", una] {
        has(&trial.run(&format!("verify {THEN} {book}")).no(), &told);
        has(&trial.run(&format!("week {THEN} {book}")).done(), &["held", " Bank"]);
        let check = trial.run(&format!("check bank --on 2021-03-20 {book}")).out;
        let [first, _] = [of_ida, of_una].map(|grams| stintbook::units::Amount::grams(*grams));
        has(&check, &[&format!("set aside: {first} for spring walk"), "and 1 more"]);
    }
    let shown = list.split_once("spring walk ").unwrap().1.split_whitespace().next().unwrap();
    let cancel = format!("walk cancel \"spring walk {shown}\" --recorded-on 2021-03-12 {THEN}");
    has(&trial.run(&cancel).done(), &["spring walk"]);
    assert_eq!(held(&trial, "").len(), 1, "the promise went with its walk");
    has(&trial.run(&format!("verify {THEN}")).done(), &["The book is whole"]);
}

#[test]
fn ground_that_two_leaders_call_by_different_sites_is_promised_from_neither() {
    let (trial, una) = two_books();
    let alone = trial.run("check bank --on 2021-03-20").done();
    // Una has the land as a site of her own, with its own permission.
    let renamed = |text: String| text.replace("Hill", "Height").replace("Ida", "Una");
    trial.write("height.geojson", renamed(places(&[site(), patch("Steep", "nettle-tops", 1)])));
    trial.write("height.csv", renamed(LIFTED.to_owned()));
    trial.write("steep.csv", renamed(SURVEY.replace("Hill/Bank", "Hill/Steep")));
    // Her own book has no patch of Ida's.
    trial.run("new una").done();
    trial.run("load height.geojson height.csv steep.csv --book una/stintbook.sqlite").done();
    let una_alone = trial.run("check steep --on 2021-03-20 --book una/stintbook.sqlite").done();
    assert!(una_alone.contains("OPEN"), "{una_alone}");
    fs::copy(trial.path("una/stintbook.sqlite"), trial.path("una.sqlite")).unwrap();
    let said = trial.run("merge una.sqlite").done();
    has(
        &said,
        &["ON THE SAME GROUND", "Height/Steep and Hill/Bank bear one crop and share 332 m²"],
    );
    merged(&trial);
    for book in ["", una] {
        for (patch, other) in [("steep", "Hill/Bank"), ("bank", "Height/Steep")] {
            let said = trial.run(&format!("check {patch} --on 2021-03-20 {book}")).no();
            has(&said, &["NOT KNOWN", &format!("{other} claims the same ground")]);
        }
    }
    for fact in ["survey by Una", "patch by Una: Height/Steep"] {
        let id = trial.id_of(fact);
        trial.run(&format!("withdraw {id} --why \"drawn twice\" --by Ida")).done();
    }
    assert_eq!(trial.run("check bank --on 2021-03-20").done(), alone);
}

/// Nothing is cut outside the site of a patch, so that two patches which reach into a gap between
/// their sites share no ground that anybody could promise twice.
#[test]
fn patches_that_meet_between_their_sites_only_are_no_claim_on_one_ground() {
    let strip = |west: f64, east: f64| {
        let (south, north) = (48.007, 48.0072);
        polygon(&[(west, south), (east, south), (east, north), (west, north), (west, south)])
    };
    let most = |trial: &Trial, patch: &str, book: &str| {
        let said = trial.run(&format!("check {patch} --on 2021-03-20 --format json {book}"));
        let said: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        said["most_g"].as_f64().unwrap()
    };
    let surveyed = |trial: &Trial, patch: &str, book: &str| {
        trial.write(&format!("{patch}.csv"), SURVEY.replace("Hill/Bank", patch));
        let file = format!("{patch}.csv");
        trial.run(&format!("load \"{file}\" {book}")).done();
    };
    // Ida's site ends at -19.99; her patch reaches a third of its width beyond.
    let (trial, una) = two_books();
    let reach = patch_of("Reach", "nettle-tops", &strip(-19.9902, -19.9899));
    trial.load("reach.geojson", places(&[reach])).done();
    trial.write("Hill/none", "");
    surveyed(&trial, "Hill/Reach", "");
    let alone = most(&trial, "reach", "");
    // What lies beyond is nobody's to cut: the patch gives what it would if it ended there.
    let ends =
        patch_of("Ends", "nettle-tops", &strip(-19.9902, -19.99)).replace("48.007", "48.004");
    trial.load("ends.geojson", places(&[ends])).done();
    surveyed(&trial, "Hill/Ends", "");
    let difference = (alone - most(&trial, "ends", "")).abs();
    assert!(alone > 100.0 && difference < 0.01 * alone, "{alone} differs by {difference}");
    // Una's site begins at -19.9898, and her patch reaches back over the gap.
    let height = |text: String| text.replace("\"Hill\"", "\"Height\"").replace("Ida", "Una");
    let ground = site().replace("-20,", "-19.9898,").replace("-19.99,", "-19.98,");
    let back = patch_of("Back", "nettle-tops", &strip(-19.9901, -19.9893));
    trial.write("height.geojson", height(places(&[ground, back])));
    trial.write("height.csv", LIFTED.replace("Hill", "Height").replace("Ida", "Una"));
    trial.run("new una").done();
    let own = "--book una/stintbook.sqlite";
    trial.run(&format!("load height.geojson height.csv {own}")).done();
    trial.write("Height/none", "");
    surveyed(&trial, "Height/Back", own);
    let una_alone = most(&trial, "back", own);
    assert!(una_alone > 100.0, "{una_alone}");
    fs::copy(trial.path("una/stintbook.sqlite"), trial.path("una.sqlite")).unwrap();
    merged(&trial);
    for book in ["", una] {
        assert_eq!(most(&trial, "reach", book), alone);
        assert_eq!(most(&trial, "back", book), una_alone);
        has(&trial.run(&format!("verify {book}")).done(), &["The book is whole"]);
    }
}
