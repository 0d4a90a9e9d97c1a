//! Every command answers from a server as it does from a file.

use std::fs;

use crate::said::{Said, without_ids};
use crate::trial::{Trial, demo};

const READ: [&str; 17] = [
    "week --on 2027-03-15",
    "week --on 2026-05-20 --all",
    "check \"mill bank\" --people 9 --on 2027-03-20",
    "due --on 2027-03-15",
    "calendar --on 2027-03-15",
    "history",
    "walk list --on 2027-03-15",
    "walk split \"creek walk\" --on 2027-03-15",
    "pressure --site Wendlestow --on 2027-03-15",
    "export --to out --format csv",
    "verify",
    "survey advise --on 2027-03-15",
    "box \"March box\" --on 2027-03-15",
    "recovery plan \"mill bank\" --on 2027-03-15 --seed 4",
    "rehearse --site Gullhythe --on 2027-03-15 --runs 20 --seed 4",
    "field --on 2027-03-15 --out page.html",
    "week --on 2026-05-20 --as-known-on 2026-05-01 --format csv",
];

#[test]
fn every_question_has_the_answer_that_the_file_gives() {
    let Some(trial) = Trial::of_demo() else { return };
    for words in READ {
        let (there, here) = (trial.run(words), trial.on_file(demo(), words));
        assert_eq!((there.status, &there.err), (here.status, &here.err), "{words}");
        assert_eq!(there.out, here.out, "{words}");
    }
}

#[test]
fn a_report_of_a_servers_book_is_that_of_the_file() {
    let Some(trial) = Trial::of_demo() else { return };
    let words = "report Wendlestow --season 2026/27 --on 2027-03-15";
    let written = || -> Vec<(std::path::PathBuf, Vec<u8>)> {
        let files = fs::read_dir(trial.path("reports")).unwrap();
        let mut files: Vec<_> = files.map(|file| file.unwrap().path()).collect();
        files.sort();
        files.into_iter().map(|file| (file.clone(), fs::read(file).unwrap())).collect()
    };
    trial.run(words).done();
    let there = written();
    fs::remove_dir_all(trial.path("reports")).unwrap();
    trial.on_file(demo(), words).done();
    assert!(there.len() > 2 && there == written(), "the reports differ");
}

/// Deeds of all kinds, one after the other.
const DONE: [&str; 9] = [
    "cut \"garden nettles\" 250g --by Ida --people 3 --on 2027-03-15",
    "glance \"mill bank\" 2kg --by Tomas --on 2027-03-16",
    "walk new \"quarter walk\" --on 2027-03-20 --leader Ida --site Wendlestow --adults 4 --seed 7 \
     --want nettle-tops=500g --recorded-on 2027-03-16",
    "walk hold \"quarter walk\" --recorded-on 2027-03-16",
    "walk name \"quarter walk\" 1 \"Aunt Quill\"",
    "close Gullhythe/Slipway --from 2027-03-18 --to 2027-04-01 --why nesting --by Ida \
     --on 2027-03-16",
    "withdraw 91e3c187 --why \"twice\" --by Ida --on 2027-03-16",
    "walk join \"quarter walk\" 2+1 --on 2027-03-17",
    "walk cancel \"quarter walk\" --why rain --on 2027-03-17",
];

#[test]
fn every_deed_leaves_what_it_leaves_in_a_file() {
    let Some(trial) = Trial::of_demo() else { return };
    let file = trial.path("own.sqlite");
    fs::copy(demo(), &file).unwrap();
    for words in DONE {
        let (there, here) = (trial.run(words), trial.on_file(&file, words));
        assert_eq!(there.status, here.status, "{words}: {there:?} {here:?}");
        assert_eq!(without_ids(&there.err), without_ids(&here.err), "{words}");
        assert_eq!(without_ids(&there.out), without_ids(&here.out), "{words}");
        if !words.contains("withdraw") {
            assert_eq!(there.status, 0, "{words}: {there:?}");
        }
    }
    let week = "week --on 2027-03-20 --all";
    assert_eq!(trial.run(week).out, trial.on_file(&file, week).out);
    // Another, who never saw the book, is told the same.
    let mut newcomer = trial.command("postgres", "another", "history");
    let newcomer = Said::by(&mut newcomer).done();
    assert_eq!(newcomer, trial.run("history").done());
    assert_eq!(without_ids(&newcomer), without_ids(&trial.on_file(&file, "history").done()));
    assert!(trial.run("verify").out.starts_with("The book is whole"));
    let attendees = trial.sql("SELECT count(*) FROM stintbook.attendee WHERE name = 'Aunt Quill'");
    assert_eq!(attendees, "0", "a name that went is gone from the server too");
}

#[test]
fn a_backup_of_a_server_is_a_book_like_any_other() {
    let Some(trial) = Trial::of_demo() else { return };
    trial.run("backup kept.sqlite").done();
    let kept = trial.path("kept.sqlite");
    assert_eq!(trial.on_file(&kept, "history").out, trial.on_file(demo(), "history").out);
    let tables = rusqlite::Connection::open(&kept).unwrap();
    let own: i64 = tables
        .query_row("SELECT count(*) FROM sqlite_schema WHERE name LIKE 'shared%'", [], |row| {
            row.get(0)
        })
        .unwrap();
    assert_eq!(own, 0);
    assert!(trial.run("restore kept.sqlite").failed().contains("is not put back so"));
}

#[test]
fn a_servers_book_and_a_file_are_put_together_either_way() {
    let Some(trial) = Trial::of_demo() else { return };
    let file = trial.path("own.sqlite");
    fs::copy(demo(), &file).unwrap();
    trial.on_file(&file, "cut \"garden nettles\" 30g --by Ida --on 2027-03-16").done();
    trial.run("cut \"allotment edge\" 40g --by Una --on 2027-03-16").done();
    trial.run("merge own.sqlite").done();
    assert!(trial.run("history").done().contains("30 g from Wendlestow/Garden nettles"));
    let words = format!("merge \"{}\"", trial.address("postgres"));
    trial.on_file(&file, &words).done();
    assert_eq!(trial.run("history").done(), trial.on_file(&file, "history").done());
}
