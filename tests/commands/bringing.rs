//! `bring`: tables as spreadsheets leave them, shown first, never guessed at.

use crate::said::has;
use crate::trial::Trial;

const NOTEBOOK: &str = "\u{feff}Our cuts;;;;\n\n\
    Patch;Date;By;Mass g;Taken\n\
    Hill/Bank;14/3/2021;Ida;512,5;all\n\
    Hill/Bank;2/4/2021;Ida;300;part\n";

#[test]
fn a_notebook_is_shown_then_recorded_once() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK);
    let before = trial.history();
    has(&trial.run("bring notebook.csv").done(), &["2 rows", "day first", "2021-03-14,Ida,512.5"]);
    assert_eq!(trial.history(), before);
    has(&trial.run("bring notebook.csv --yes").done(), &["2 cuts"]);
    let after = trial.history();
    has(&after, &["2021-03-14"]);
    has(&after, &["2021-04-02"]);
    has(&trial.run("bring notebook.csv --yes").done(), &["nothing new; 2 known already"]);
    assert_eq!(trial.history(), after);
}

#[test]
fn days_that_may_be_read_in_two_ways_are_asked_about() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK.replace("14/3", "4/3"));
    let before = trial.history();
    has(&trial.run("bring notebook.csv --yes").wrong(), &["`4/3/2021`", "--day-first"]);
    assert_eq!(trial.history(), before);
    trial.run("bring notebook.csv --yes --day-first").done();
    has(&trial.history(), &["2021-03-04"]);
}

#[test]
fn a_problem_names_the_line_that_its_writer_sees() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK.replace("300", "approx 300"));
    has(&trial.run("bring notebook.csv --yes").wrong(), &["line 5", "approx 300"]);
}

#[test]
fn a_note_that_looks_like_a_day_stays_as_it_was_written() {
    let trial = Trial::on_hill();
    trial.write(
        "survey.tsv",
        "patch\tdate\tby\tframe_area_m2\tmass_g\tnote\n\
         Hill/Bank\t21.3.2021\tIda\t0,25\t30,5\t3/4/2021\n\
         Hill/Bank\t21.3.2021\tIda\t0,25\t28\t3/4/2021\n",
    );
    let shown = trial.run("bring survey.tsv").done();
    has(&shown, &["cells are parted by tabs", "2021-03-21,Ida,0.25,30.5,3/4/2021"]);
    trial.run("bring survey.tsv --yes --sure").done();
    has(&trial.history(), &["2021-03-21"]);
}

#[test]
fn a_table_without_a_header_and_one_that_contradicts_itself_are_refused() {
    let trial = Trial::on_hill();
    let before = trial.history();
    trial.write("bare.csv", "Hill/Bank;14/3/2021;Ida;512\n");
    has(&trial.run("bring bare.csv --yes").wrong(), &["no row is a header", "`patch`, `date`"]);
    trial.write("mixed.csv", NOTEBOOK.replace("2/4/2021", "3/14/2021"));
    has(
        &trial.run("bring mixed.csv --yes").wrong(),
        &["`14/3/2021` has the day first and `3/14/2021` the month", "in one way"],
    );
    trial.write("thousands.csv", NOTEBOOK.replace("512,5", "1,250"));
    has(&trial.run("bring thousands.csv --yes").wrong(), &["line 4", "1,250"]);
    trial.write("empty.csv", "");
    has(&trial.run("bring empty.csv --yes").wrong(), &["no row is a header"]);
    assert_eq!(trial.history(), before);
}
