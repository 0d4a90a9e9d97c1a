//! Half the keys: who writes is known, beginnings are enough, and one line does what three did.

use std::process::Command;

use serde_json::Value;

use crate::hill::{NEW_WALK, PARTIES};
use crate::said::{Said, has};
use crate::trial::Trial;

const RECORDED: &str = "--on 2021-03-10 --recorded-on 2021-03-10";

#[test]
fn who_writes_is_said_or_in_the_environment_or_in_the_workspace() {
    let trial = Trial::with_a_surveyed_bank();
    let nobody = trial.run(&format!("glance bank 3kg {RECORDED}")).wrong();
    has(&nobody, &["required arguments were not provided", "--by <NAME>"]);
    trial.write("by.txt", "# who works here\n\n  Una \n");
    has(&trial.run(&format!("glance bank 3kg {RECORDED}")).done(), &["Una saw some 3 kg"]);
    let mut command = trial.command(&format!("glance bank 4kg {RECORDED}"));
    let said = Said::by(command.env("STINTBOOK_BY", "Bo")).done();
    has(&said, &["Bo saw some 4 kg"]);
    let mut command = trial.command(&format!("glance bank 5kg --by Cy {RECORDED}"));
    let said = Said::by(command.env("STINTBOOK_BY", "Bo")).done();
    has(&said, &["Cy saw some 5 kg"]);
    let id = trial.id_of("Cy");
    trial.run(&format!("withdraw {id} --why \"another patch\" {RECORDED}")).done();
    has(&trial.history(), &["by Una"]);
    trial.write("by.txt", "# nobody yet\n");
    has(&trial.run(&format!("glance bank 6kg {RECORDED}")).wrong(), &["--by <NAME>"]);
    // What else is missing is asked for, whoever is known.
    trial.write("by.txt", "Una\n");
    has(&trial.run("glance bank").wrong(), &["<STANDING>"]);
}

#[test]
fn a_new_workspace_knows_who_works_in_it() {
    let trial = Trial::new();
    trial.run("new land --by Ida").done();
    assert_eq!(trial.read("land/by.txt"), "Ida\n");
}

#[test]
fn a_beginning_will_do_where_it_means_one_thing_and_files_want_whole_names() {
    let trial = Trial::with_surveyed_patches();
    has(&trial.run("check ba --on 2021-03-10").done(), &["Hill/Bank"]);
    has(&trial.run("check h/fi --on 2021-03-10").done(), &["Hill/Field"]);
    let week = trial.run("week --site hi --on 2021-03-10 --format json").done();
    let week: Value = serde_json::from_str(&week).unwrap();
    assert_eq!(week["patches"].as_array().unwrap().len(), 3);
    trial.run(&format!("cut ba 200g --part --by Ida {RECORDED}")).done();
    has(&trial.history(), &["Hill/Bank", "200 g"]);
    let more = [crate::hill::patch("Barn", "nettle-tops", 8)];
    trial.load("more.geojson", crate::hill::places(&more)).done();
    let several = trial.run("check ba --on 2021-03-10").wrong();
    has(&several, &["`ba` begins the names of Hill/Bank, Hill/Barn; write more"]);
    let file = trial.load("cuts.csv", "patch,date,by,mass_g,taken\nHill/Wo,2021-03-09,Ida,90,\n");
    has(&file.wrong(), &["no patch is called `Hill/Wo`"]);
}

#[test]
fn a_walk_goes_by_its_day_or_a_beginning() {
    let trial = Trial::with_a_walk();
    let whole = trial.run("walk split \"spring walk\" --on 2021-03-10").done();
    for short in ["spr", "2021-03-20"] {
        assert_eq!(trial.run(&format!("walk split {short} --on 2021-03-10")).done(), whole);
    }
    trial
        .run(
            "walk new \"spring cooking\" --on 2021-03-20 --leader Ida --site hill --adults 2 \
             --seed 3 --recorded-on 2021-03-10",
        )
        .done();
    let both = ["`spring walk`", "`spring cooking`", "write the name of the one that is meant"];
    for short in ["spring", "2021-03-20"] {
        let said = trial.run(&format!("walk split {short} --on 2021-03-10")).wrong();
        both.iter().for_each(|words| assert!(said.contains(words), "no {words} in {said}"));
    }
    has(&trial.run("walk split 2021-03-21").wrong(), &["no walk is called `2021-03-21`"]);
}

#[test]
fn one_line_before_a_walk_records_it_sets_aside_and_writes_the_sheet() {
    let three = Trial::with_a_walk();
    three.run("walk hold \"spring walk\" --recorded-on 2021-03-10").done();
    three.run("walk sheet \"spring walk\" --recorded-on 2021-03-10").done();
    let one = Trial::with_surveyed_patches();
    one.write("parties.csv", PARTIES);
    let said = one.run(&format!("{NEW_WALK} --parties parties.csv --hold --sheet")).done();
    has(
        &said,
        &["Recorded as", "Set aside for spring walk", "reports/spring-walk-2021-03-20.html"],
    );
    assert!(!said.contains("Nothing is set aside yet"), "{said}");
    let page = "reports/spring-walk-2021-03-20.html";
    assert_eq!(one.read(page), three.read(page));
}

fn settled(trial: &Trial, words: &str) -> Vec<(String, f64, Value)> {
    trial.run(&format!("walk settle \"spring walk\" {words} --on 2021-03-20")).done();
    trial.run("export out --whole").done();
    let cuts = trial.read("out/cuts.csv");
    let mut rows = csv::Reader::from_reader(cuts.as_bytes());
    let heads = rows.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (patch, mass, people) = (at("patch"), at("mass_g"), at("people"));
    rows.records()
        .map(|row| {
            let row = row.unwrap();
            (row[patch].to_owned(), row[mass].parse().unwrap(), row[people].into())
        })
        .collect()
}

#[test]
fn amounts_on_the_line_settle_a_walk_as_a_file_does_and_a_file_takes_kilograms() {
    let held = || {
        let trial = Trial::with_a_walk();
        trial.run("walk hold \"spring walk\" --on 2021-03-10").done();
        trial
    };
    let by_file = held();
    by_file.write(
        "taken.csv",
        "party,patch,crop,amount\n,Hill/Bank,,1.9kg\nAnn,Hill/Field,,300g\n,,ramsons-leaf,90 g\n",
    );
    let from_file = settled(&by_file, "taken.csv --assume-taken");
    let from_line = settled(&held(), "ba=1.9kg ann:fie=300g \"wild garlic=90g\" --assume-taken");
    assert_eq!(from_line, from_file);
    let bank = from_line.iter().find(|(patch, ..)| patch == "Hill/Bank").unwrap();
    assert_eq!(bank.1, 1900.0);
    let trial = held();
    let wrong = |words: &str| {
        trial.run(&format!("walk settle \"spring walk\" {words} --on 2021-03-20")).wrong()
    };
    has(&wrong("ba=much"), &["`ba=much`", "(nothing was recorded)"]);
    has(&wrong("zzz=1kg --assume-taken"), &["no patch is called `zzz`"]);
    has(&wrong("taken.csv ba=1kg"), &["write one file, or amounts like `bank=1.9kg`"]);
    trial.write("twice.csv", "patch,amount,mass_g\nHill/Bank,1kg,1000\n");
    has(&wrong("twice.csv"), &["`amount`", "it is there twice"]);
}

#[test]
fn a_common_name_finds_its_crop() {
    let trial = Trial::with_surveyed_patches();
    let patches = |crop: &str| {
        let week = trial.run(&format!("week --on 2021-03-10 --crop \"{crop}\" --format json"));
        let week: Value = serde_json::from_str(&week.done()).unwrap();
        week["patches"].as_array().unwrap().iter().map(|it| it["crop"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(patches("wild garlic"), ["ramsons-leaf"]);
    assert_eq!(patches("nettle"), ["nettle-tops", "nettle-tops"]);
    let plan =
        trial.run("walk plan --on 2021-03-20 --want \"wild garlic=90g\" --format json").done();
    let plan: Value = serde_json::from_str(&plan).unwrap();
    assert_eq!(plan["wants"][0]["what"], "ramsons-leaf");
    has(&trial.run("crops garlic").wrong(), &["may be any of", "`ramsons-leaf`"]);
    has(&trial.run("crops elderflowr").done(), &["Elder, flower"]);
    has(&trial.run("crops thistledown").wrong(), &["no crop is called `thistledown`"]);
}

/// Where a shell is at hand it reads what is meant for it.
#[test]
fn completions_are_what_the_shells_can_read_and_name_every_command() {
    let trial = Trial::new();
    let mut read = 0;
    for shell in ["bash", "zsh", "fish"] {
        let script = trial.run(&format!("completions {shell}")).done();
        for command in ["calendar", "rehearse", "settle", "--as-known-on"] {
            let word = command.trim_start_matches("--");
            assert!(script.contains(word), "{shell} does not know `{command}`");
        }
        let file = format!("stintbook.{shell}");
        trial.write(&file, &script);
        let Ok(said) = Command::new(shell).arg("-n").arg(trial.path(&file)).output() else {
            continue;
        };
        assert!(said.status.success(), "{shell}: {}", String::from_utf8_lossy(&said.stderr));
        read += 1;
    }
    assert!(read > 0, "no shell was at hand to read its script");
}

#[test]
fn there_is_a_man_page_for_every_command() {
    let trial = Trial::new();
    has(&trial.run("man pages").done(), &["pages went to pages"]);
    let pages = trial.files("pages");
    for page in ["stintbook.1", "stintbook-calendar.1", "stintbook-walk-settle.1"] {
        assert!(pages.iter().any(|it| it == page), "no {page} among {pages:?}");
    }
    for page in &pages {
        let text = trial.read(&format!("pages/{page}"));
        let name = page.trim_end_matches(".1");
        assert!(text.contains(".TH ") && text.contains(".SH SYNOPSIS"), "{page}: {text}");
        assert!(text.replace('\\', "").contains(name), "{page} does not name {name}");
    }
}
