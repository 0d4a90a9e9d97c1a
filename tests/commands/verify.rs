//! `verify`: is the book whole, and do its facts agree?

use crate::hill::{PERMISSION, SOUTH, WEST, patch, patch_of, places, site, square};
use crate::said::{has, without_ids};
use crate::trial::Trial;

#[test]
fn a_book_without_a_fault_says_so() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 4kg --by Ida --on 2021-03-15 --recorded-on 2021-03-15").done();
    assert_eq!(
        trial.run("verify").done(),
        "The book is whole: 9 facts, every reference holds.\nNo facts contradict each other.\n"
    );
}

#[test]
fn a_cut_in_a_closure_is_named() {
    let trial = Trial::with_a_surveyed_bank();
    let closure = "site,from,to,reason,by,recorded_on\n\
                   Hill,2021-04-01,2021-04-30,lambing,Ida,2021-03-01\n";
    trial.load("closures.csv", closure).done();
    trial.run("cut bank 1kg --part --by Ida --on 2021-04-10").done();
    let said = trial.run("verify").no();
    let id = trial.id_of("cut by Ida");
    has(
        &said,
        &["FACTS THAT DO NOT AGREE", &format!("Hill/Bank: cut {id} of 1 kg on 10 Apr 2021")],
    );
    has(&said, &["but the patch was closed (closed until 30 Apr 2021: lambing)"]);
}

#[test]
fn a_cut_of_more_than_was_allowed_is_named() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 9kg --by Ida --on 2021-03-15").done();
    has(&trial.run("verify").no(), &["of 9 kg on 15 Mar 2021, but 5.67 kg was the most allowed"]);
    let said = trial.run("cut bank 900kg --by Ida --on 2021-05-15").wrong();
    has(&said, &["900 kg cut from Hill/Bank", "can have stood", "--sure", "nothing was recorded"]);
    trial.run("cut bank 900kg --by Ida --on 2021-05-15 --sure").done();
    has(&trial.run("verify").no(), &["of 900 kg on 15 May 2021", "can have stood there"]);
}

#[test]
fn a_glance_of_ten_times_what_the_survey_found_is_named() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("glance bank 398kg --by Ida --on 2021-03-01 --recorded-on 2021-03-01").done();
    has(
        &trial.run("verify").no(),
        &["Hill/Bank: on 1 Mar 2021 Ida saw 398 kg where the survey found 39.8 kg"],
    );
}

#[test]
fn parts_that_do_not_make_up_the_patch_are_named() {
    let trial = Trial::with_a_surveyed_bank();
    trial
        .run(
            "survey field --frame 0.25 --by Ida --on 2021-03-01 --stratum \"dense 900: 4 5\" \
             --stratum \"thin 100: 1 2\"",
        )
        .done();
    has(&trial.run("verify").no(), &["add up to 1000 m², the patch has 332 m²"]);
}

#[test]
fn a_contradiction_that_was_put_right_is_named_no_longer() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 40kg --by Ida --on 2021-03-15").done();
    trial.run("verify").no();
    let id = trial.id_of("cut by Ida");
    trial.run(&format!("correct {id} mass_g=4000 --why \"a nought too many\" --by Ida")).done();
    trial.run("verify").done();
}

#[test]
fn what_two_hands_recorded_alike_is_named_with_the_way_out_unless_it_was_told_apart() {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 400g --part --by Ida --on 2021-03-10").done();
    trial.run("cut bank 400g --part --by Ben --on 2021-03-10").done();
    trial.run("cut bank 300g --part --by Ida --on 2021-03-11").done();
    let said = without_ids(&trial.run("verify").done());
    has(
        &said,
        &[
            "PERHAPS RECORDED TWICE",
            "Hill/Bank: two cuts of 10 Mar 2021 by Ida and Ben, 400 g each; both count; if they \
             are one, `stintbook withdraw ########` (or ",
        ],
    );
    assert_eq!(said.matches("two cuts").count(), 1);
    let twice = trial.id_of("cut by Ben");
    trial.run(&format!("withdraw {twice} --why \"one cut\" --by Ida")).done();
    assert!(!trial.run("verify").done().contains("PERHAPS"));
    // Told to be another as they came, typed or in a file: nobody asks again.
    trial.run("cut bank 400g --part --again --by Cy --on 2021-03-10").done();
    let rows = "patch,date,by,mass_g,taken,visit\nHill/Bank,2021-03-11,Dan,300,part,2\n";
    trial.write("dan.csv", rows);
    trial.run("load dan.csv").done();
    assert!(!trial.run("verify").done().contains("PERHAPS"));
    has(&trial.run("load dan.csv").done(), &["nothing new; 1 known already"]);
    trial.write("dan.csv", rows.replace(",300,", ",310,"));
    has(&trial.run("load dan.csv").wrong(), &["`300` is now `310`", "--replace"]);
}

/// One site alone has more patches than are read at once.
#[test]
fn what_is_found_of_a_large_book_comes_in_the_order_of_its_sites() {
    let trial = Trial::with_book();
    let plot = |n: u32| {
        let (east, north) = (0.0004 * f64::from(n % 20), 0.0004 * f64::from(n / 20));
        let ground = square(WEST + 0.001 + east, SOUTH + 0.001 + north);
        patch_of(&format!("Plot {n}"), "nettle-tops", &ground)
    };
    let hill: Vec<String> = std::iter::once(site()).chain((0..401).map(plot)).collect();
    trial.load("hill.geojson", places(&hill)).done();
    let ash = [site(), patch("Bank", "nettle-tops", 1)];
    let ash = ash.map(|feature| feature.replace("Hill", "Ash").replace("48", "47"));
    trial.load("ash.geojson", places(&ash)).done();
    trial.load("hill.csv", PERMISSION).done();
    trial.load("ash.csv", PERMISSION.replace("Hill", "Ash")).done();
    let rows = ["Hill/Plot 7", "Ash/Bank"].map(|patch| {
        let cut = |by: &str| format!("{patch},2021-03-10,{by},40,part\n");
        ["Ida", "Ben"].map(cut).concat()
    });
    trial.load("cuts.csv", format!("patch,date,by,mass_g,taken\n{}", rows.concat()));
    let said = trial.run("verify").out;
    let at = |patch: &str| said.find(&format!("{patch}: two cuts of 10 Mar 2021")).unwrap();
    assert!(at("Ash/Bank") < at("Hill/Plot 7"), "{said}");
    assert_eq!(said.matches("two cuts").count(), 2);
}

#[test]
fn ground_that_is_claimed_from_two_sites_that_meet_is_told_once() {
    let trial = Trial::with_a_surveyed_bank();
    trial.copy_book("una.sqlite");
    trial.load("slope.geojson", places(&[patch("Slope", "nettle-tops", 7)])).done();
    let down = [site(), patch("Steep", "nettle-tops", 7)];
    trial.write("down.geojson", places(&down.map(|feature| feature.replace("Hill", "Down"))));
    trial.run("load down.geojson --book una.sqlite").done();
    trial.run("merge una.sqlite").done();
    let said = trial.run("verify").no();
    has(&said, &["Down/Steep and Hill/Slope bear one crop and share 332 m²"]);
    assert_eq!(said.matches("share 332 m²").count(), 1, "{said}");
}
