//! `walk settle` and `walk forget`: what came back, and who is no longer named.

use std::fs;

use crate::said::has;
use crate::trial::{Trial, in_a_file};

const SETTLE: &str = "walk settle \"spring walk\" --recorded-on 2021-03-21";

fn held() -> Trial {
    let trial = Trial::with_a_walk();
    trial.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    trial
}

#[test]
fn a_walk_that_took_all_leaves_a_cut_on_every_patch_and_no_hold() {
    let trial = held();
    let said = trial.run(&format!("{SETTLE} --all")).done();
    has(&said, &["on the word that every party took its whole share", "free again"]);
    let history = trial.history();
    assert_eq!(history.matches("cut by Ida").count(), 3, "{history}");
    assert_eq!(history.matches("on spring walk").count(), 3, "{history}");
    has(&history, &["withdrawn on 2021-03-21", "settled"]);
    has(&trial.run("walk list").done(), &["settled, 3 patches cut"]);
    has(&trial.run("verify").out, &["The book is whole"]);
}

#[test]
fn a_walk_is_settled_once_and_the_way_out_is_told() {
    let trial = held();
    trial.run(&format!("{SETTLE} --all")).done();
    has(&trial.run(&format!("{SETTLE} --all")).wrong(), &["is settled already", "--again"]);
    has(&trial.run("walk cancel \"spring walk\"").wrong(), &["is settled, so it took place"]);
    let said = trial.run("walk hold \"spring walk\" --recorded-on 2021-03-20").wrong();
    has(&said, &["is settled; nothing is left to set aside"]);
    let once = live_cuts(&trial);
    has(&trial.run(&format!("{SETTLE} --all --again")).done(), &["takes the place of 3 cuts"]);
    assert_eq!(live_cuts(&trial), once, "the same promise, settled the same");
    assert_eq!(once.len(), 3);
}

#[test]
fn shares_that_nobody_tells_of_are_asked_for() {
    let trial = held();
    trial.write("taken.csv", "party,crop,mass_g\nAnn,nettle-tops,2700\n1,ramsons-leaf,135\n");
    let before = trial.history();
    let said = trial.run(&format!("{SETTLE} taken.csv")).wrong();
    has(&said, &["nothing was recorded", "party 2, Hill/", "party 3, Hill/", "--assume-taken"]);
    assert!(!said.contains("party 1,"), "{said}");
    assert_eq!(trial.history(), before);
    let said = trial.run(&format!("{SETTLE} taken.csv --assume-taken")).done();
    has(&said, &["taken for granted", "Taken for granted: - party"]);
    assert_eq!(trial.history().matches("cut by Ida").count(), 3);
}

#[test]
fn overruns_and_strangers_are_named_and_recorded() {
    let trial = held();
    trial.write(
        "taken.csv",
        "party,patch,mass_g,taken\n,bank,4900,\n,field,500,part\nAnn,wood,200,\nbo,wood,0,\n\
         3,wood,110,\nZed,wood,40,\n",
    );
    let said = trial.run(&format!("{SETTLE} taken.csv")).done();
    has(&said, &["Not as it was promised"]);
    has(&said, &["`Zed` is no party of this walk; its 40 g counts all the same"]);
    has(&said, &["party 1 took 200 g on Hill/Wood", "over its share of"]);
    has(&said, &["Hill/Bank: 4.9 kg was taken", "of the walk"]);
    has(&said, &["Hill/Wood: 350 g was taken, 50 g over the 300 g of the walk"]);
    let history = trial.history();
    has(&history, &["4.9 kg from Hill/Bank, taken part"]);
    has(&history, &["500 g from Hill/Field, taken part"]);
    has(&history, &["350 g from Hill/Wood, taken part, 6 people"]);
}

/// What was taken to the gram is charged as the walk's own promise.
#[test]
fn a_patch_whose_promise_was_kept_is_charged_by_its_count() {
    let trial = held();
    trial.write("taken.csv", "crop,mass_g\nnettle-tops,5900\nramsons-leaf,290\n");
    let said = trial.run(&format!("{SETTLE} taken.csv")).done();
    has(&said, &["Hill/Wood: 290 g of 300 g, all that was allowed: 1 in"]);
    assert!(!said.contains("Not as it was promised"), "{said}");
}

/// What each patch gave and how it is charged, as the book writes it out.
fn cuts_of(trial: &Trial, taken: &str) -> (Vec<(String, f64, String)>, String) {
    trial.write("taken.csv", taken);
    let said = trial.run(&format!("{SETTLE} taken.csv")).done();
    trial.run("export out").done();
    let table = trial.read("out/cuts.csv");
    let mut lines = table.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let at = |name: &str| header.iter().position(|column| *column == name).unwrap();
    let cut = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let grams: f64 = cells[at("mass_g")].parse().unwrap();
        (cells[at("patch")].to_owned(), grams, cells[at("taken")].to_owned())
    };
    (lines.map(cut).collect(), said)
}

/// 300 g of the wood was promised to three parties.
#[test]
fn a_party_that_took_nothing_or_stopped_short_makes_a_basket_a_part_of_what_was_allowed() {
    let wood = |taken: &str| {
        let (cuts, said) = cuts_of(&held(), taken);
        let [cut] = cuts.iter().filter(|cut| cut.0 == "Hill/Wood").collect::<Vec<_>>()[..] else {
            panic!("{cuts:?}");
        };
        (cut.1, cut.2.clone(), said.contains("is far under what was promised"))
    };
    let others = "party,crop,mass_g\n1,nettle-tops,2700\n2,nettle-tops,1000\n3,nettle-tops,2000\n";
    let all =
        |bo: u32| format!("{others}1,ramsons-leaf,150\n2,ramsons-leaf,{bo}\n3,ramsons-leaf,100\n");
    let (grams, taken, is_asked) = wood(&all(30));
    assert!(grams == 280.0 && taken.starts_with("1 in ") && !is_asked, "{grams} {taken}");
    assert_eq!(wood(&all(0)), (250.0, "part".to_owned(), false), "Bo left it out");
    let little = format!("{others}1,ramsons-leaf,50\n2,ramsons-leaf,30\n3,ramsons-leaf,39\n");
    assert_eq!(wood(&little), (119.0, "part".to_owned(), true), "under 40 % of what was promised");
    let enough = format!("{others}1,ramsons-leaf,50\n2,ramsons-leaf,30\n3,ramsons-leaf,40\n");
    let (grams, taken, is_asked) = wood(&enough);
    assert!(grams == 120.0 && taken.starts_with("1 in ") && !is_asked, "{grams} {taken}");
}

#[test]
fn a_basket_told_for_a_crop_is_laid_over_its_patches_to_the_last_gram() {
    let taken = "party,crop,mass_g\n1,nettle-tops,1001\n2,nettle-tops,503\n3,nettle-tops,777\n\
                 1,ramsons-leaf,1\n2,ramsons-leaf,1\n3,ramsons-leaf,1\n";
    let (cuts, _) = cuts_of(&held(), taken);
    let nettles: Vec<f64> =
        cuts.iter().filter(|cut| cut.0 != "Hill/Wood").map(|cut| cut.1).collect();
    assert_eq!(nettles.len(), 2, "{cuts:?}");
    assert_eq!(nettles.iter().sum::<f64>(), 1001.0 + 503.0 + 777.0, "{cuts:?}");
    assert!(nettles.iter().all(|grams| grams.fract() == 0.0 && *grams > 900.0), "{cuts:?}");
}

#[test]
fn a_name_that_two_parties_have_stands_for_neither() {
    let trial = Trial::with_surveyed_patches();
    trial.write("parties.csv", "party,adults\nAnn,2\nann,1\n");
    trial.run(&format!("{} --parties parties.csv", crate::hill::NEW_WALK)).done();
    trial.write("taken.csv", "party,patch,mass_g\nAnn,wood,100\n");
    let said = trial.run(&format!("{SETTLE} taken.csv")).wrong();
    has(&said, &["parties 1 and 2 are all called `Ann`; write the number"]);
}

#[test]
fn feet_count_where_nothing_was_taken() {
    let trial = held();
    trial.write("taken.csv", "patch,mass_g\nbank,400\nfield,450\nwood,0\n");
    let said = trial.run(&format!("{SETTLE} taken.csv")).done();
    has(&said, &["Hill/Wood: 0 g of 300 g, nothing was taken; 6 people"]);
    has(&trial.history(), &["cut by Ida: 0 g from Hill/Wood, taken part, 6 people"]);
}

#[test]
fn a_patch_off_the_walk_is_named_and_recorded() {
    let trial = Trial::with_surveyed_patches();
    let new = crate::hill::NEW_WALK.replace("nettle-tops=6kg,", "");
    trial.run(&format!("{new} --adults 2 --as-one-party")).done();
    trial.write("taken.csv", "party,patch,mass_g\n1,wood,300\n1,bank,80\n");
    let said = trial.run(&format!("{SETTLE} taken.csv")).done();
    has(&said, &["Hill/Bank was not on this walk, but 80 g was taken there"]);
    // As `cut` takes it: they took what they were allowed, unless somebody says otherwise.
    has(&said, &["stopped short of what was allowed there", "`part` in the column `taken`"]);
    has(&trial.history(), &["80 g from Hill/Bank, taken all, 2 people"]);
    trial.write("taken.csv", "party,patch,mass_g,taken\n1,wood,300,\n1,bank,80,part\n");
    trial.run(&format!("{SETTLE} taken.csv --again")).done();
    has(&trial.history(), &["80 g from Hill/Bank, taken part, 2 people"]);
}

/// What `check` says of the bank after the walk, as data.
fn bank_after(trial: &Trial) -> serde_json::Value {
    serde_json::from_str(&trial.run("check bank --on 2021-03-21 --format json").out).unwrap()
}

#[test]
fn a_basket_from_off_the_walk_spends_what_it_would_if_it_were_typed() {
    for kilos in [1, 9] {
        let off_the_walk = || {
            let trial = Trial::with_surveyed_patches();
            let new = crate::hill::NEW_WALK.replace("nettle-tops=6kg,", "");
            trial.run(&format!("{new} --adults 2 --as-one-party")).done();
            trial
        };
        let settled = off_the_walk();
        let grams = 1000 * kilos;
        settled.write("taken.csv", format!("party,patch,mass_g\n1,wood,300\n1,bank,{grams}\n"));
        let said = settled.run(&format!("{SETTLE} taken.csv")).done();
        let typed = off_the_walk();
        let cut = format!("cut bank {kilos}kg --people 2 --by Ida --on 2021-03-20");
        let told = typed.run(&format!("{cut} --recorded-on 2021-03-21")).done();
        let (settled, typed) = (bank_after(&settled), bank_after(&typed));
        for what in ["most_g", "one_in", "opens_on"] {
            assert_eq!(settled[what], typed[what], "{what} after {kilos} kg");
        }
        assert_eq!(settled["share"], typed["share"], "after {kilos} kg");
        assert_eq!(settled["state"]["standing_g"], typed["state"]["standing_g"]);
        let over = "more than the";
        assert_eq!(said.contains(over), kilos == 9, "{said}");
        assert_eq!(told.contains(over), kilos == 9, "{told}");
    }
}

#[test]
fn more_than_can_have_stood_is_asked_about_before_a_walk_is_settled() {
    let trial = held();
    trial.write("taken.csv", "patch,mass_g\nbank,490000\nfield,450\nwood,0\n");
    let before = trial.history();
    let said = trial.run(&format!("{SETTLE} taken.csv")).wrong();
    has(&said, &["490 kg cut from Hill/Bank", "can have stood", "--sure"]);
    assert_eq!(trial.history(), before);
    trial.run(&format!("{SETTLE} taken.csv --sure")).done();
    has(&trial.history(), &["490 kg from Hill/Bank"]);
}

#[test]
fn what_cannot_be_recorded_is_refused_with_its_reason() {
    let trial = held();
    let wrong = |text: &str| {
        trial.write("taken.csv", text);
        trial.run(&format!("{SETTLE} taken.csv")).wrong()
    };
    has(&wrong("patch,mass_g\nbonk,10\n"), &["no patch is called `bonk`; did you mean `Bank`?"]);
    has(&wrong("crop,mass_g\nsorrel-leaf,10\n"), &["no patch of `spring walk` has `sorrel-leaf`"]);
    has(&wrong("patch,count\nbank,10\n"), &["`nettle-tops` is weighed"]);
    has(&wrong("patch,mass_g\nbank,-1\n"), &["taken.csv, line 2, `mass_g`"]);
    has(&wrong("patch,mass_g\n,10\n"), &["neither a patch nor a crop is named"]);
    has(&wrong("patch,mass_g,taken\nbank,10,1 in 3\n"), &["`taken`"]);
    has(&trial.run("walk settle \"spring walk\" none.csv").wrong(), &["could not read `none.csv`"]);
    let said = trial.run("walk settle \"spring walk\" --all --recorded-on 2021-03-19").wrong();
    has(&said, &["is only on 20 Mar 2021"]);
}

/// The one thing that is deleted: its bytes are gone from the book and from what lies by it.
#[test]
fn a_forgotten_name_is_gone_from_the_file() {
    in_a_file();
    let trial = Trial::with_surveyed_patches();
    trial.write("parties.csv", "party,adults,children\nZerubbabella,2,1\nBo,1,\n");
    trial.run(&format!("{} --parties parties.csv", crate::hill::NEW_WALK)).done();
    let holds_it = || {
        let files = trial.files(".");
        let beside = files.iter().filter(|file| file.starts_with("stintbook.sqlite"));
        beside
            .filter(|file| {
                let bytes = fs::read(trial.path(file)).unwrap();
                bytes.windows(12).any(|window| window == b"Zerubbabella")
            })
            .count()
    };
    assert!(holds_it() > 0);
    let said = trial.run("walk forget zerubbabella").done();
    has(&said, &["the name of 1 party", "keeps its number and people"]);
    assert_eq!(holds_it(), 0);
    has(
        &trial.run("walk split \"spring walk\"").done(),
        &["1 (2 adults, 1 child)", "2 Bo (1 adult)"],
    );
    has(&trial.run("walk forget zerubbabella").wrong(), &["no party of any walk is called"]);
}

/// What was cut and counts, without ids.
fn live_cuts(trial: &Trial) -> Vec<String> {
    let history = trial.history();
    let live =
        history.lines().filter(|line| line.contains("cut by") && !line.contains("NO LONGER"));
    let mut cuts: Vec<String> = live.map(|line| line.trim()[8..].to_owned()).collect();
    cuts.sort();
    cuts
}
