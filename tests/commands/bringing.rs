//! `bring`: tables of any make, shown first, never guessed at.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use crate::hill::{LIFTED, PERMISSION, SURVEY, patch, places, site};
use crate::said::has;
use crate::trial::Trial;
use crate::workbooks::{Put, ods};

const NOTEBOOK: &str = "\u{feff}Our cuts;;;;\n\n\
    Patch;Date;By;Mass g;Taken\n\
    Hill/Bank;14/3/2021;Ida;512,5;all\n\
    Hill/Bank;2/4/2021;Ida;300;part\n";

#[test]
fn a_notebook_is_shown_then_recorded_once() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK);
    let before = trial.history();
    let shown = trial.run("bring notebook.csv").done();
    has(&shown, &["2 rows, taken for cuts", "day first", "decimal comma", "line 1"]);
    has(&shown, &["2021-03-14 Ida 512.5 all", "--yes records it"]);
    assert_eq!(trial.history(), before);
    has(&trial.run("bring notebook.csv --yes").done(), &["2 cuts"]);
    let after = trial.history();
    has(&after, &["2021-03-14"]);
    has(&after, &["2021-04-02"]);
    has(&trial.run("bring notebook.csv --yes").done(), &["nothing new; 2 known already"]);
    assert_eq!(trial.history(), after);
}

/// Walks and holds have a `day`; over a table of cuts the word means their `date`.
#[test]
fn a_word_that_other_kinds_have_a_column_for_is_understood_too() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK.replace("Date", "Day"));
    has(&trial.run("bring notebook.csv --yes").done(), &["2 cuts"]);
    has(&trial.history(), &["2021-03-14"]);
}

#[test]
fn days_that_may_be_read_in_two_ways_are_asked_about() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK.replace("14/3", "4/3"));
    let before = trial.history();
    has(&trial.run("bring notebook.csv").done(), &["1. `4/3/2021`", "--day-first"]);
    has(&trial.run("bring notebook.csv --yes").wrong(), &["`4/3/2021`", "--day-first"]);
    assert_eq!(trial.history(), before);
    trial.run("bring notebook.csv --yes --day-first").done();
    has(&trial.history(), &["2021-03-04"]);
}

#[test]
fn rows_that_cannot_be_read_come_back_with_why_and_go_in_once_mended() {
    let trial = Trial::on_hill();
    let more = "Hill/Bank;5/4/2021;Ida;lots;part\nHill/Bank;;Ida;200;part\n";
    trial.write("notebook.csv", NOTEBOOK.to_owned() + more);
    let said = trial.run("bring notebook.csv --yes --gaps leave").done();
    has(&said, &["2 cuts", "2 rows come back in notebook-unread.csv"]);
    let unread = trial.read("notebook-unread.csv");
    assert_eq!(unread.lines().count(), 3, "{unread}");
    let why = "`mass_g`: `lots` is not a number; expected a number of grams, 0 or more";
    has(&unread, &["Patch,Date,By,Mass g,Taken,why it was not read", "Ida,lots,part", why]);
    // What was written there is kept, and what is the same is not written twice.
    trial.write("notebook-unread.csv", "mended by hand\n");
    for _ in 0..2 {
        let said = trial.run("bring notebook.csv --yes --gaps leave").done();
        has(&said, &["2 rows come back in notebook-unread-2.csv"]);
    }
    assert_eq!(trial.read("notebook-unread.csv"), "mended by hand\n");
    assert_eq!(trial.read("notebook-unread-2.csv"), unread);
    let mended = unread.replace("Ida,lots", "Ida,\"250,5\"").replace("Bank,,", "Bank,6/4/2021,");
    trial.write("notebook-unread.csv", mended);
    // Neither the order of its days nor the mark of its numbers is asked anew.
    has(&trial.run("bring notebook-unread.csv --yes").done(), &["2 cuts"]);
    let history = trial.history();
    has(&history, &["2021-04-05", "250 g"]);
    has(&history, &["2021-04-06", "200 g"]);
}

#[test]
fn rows_that_come_back_again_lie_beside_the_others_and_over_nothing() {
    let trial = Trial::on_hill();
    let row = "Hill/Bank;5/4/2021;Ida;lots;part\n";
    trial.write("notebook-unread.csv", NOTEBOOK.to_owned() + row);
    // A file that is no text is nobody's mended rows.
    trial.write("notebook-unread-2.csv", [0xff, 0xfe, 0x00]);
    let said = trial.run("bring notebook-unread.csv --yes").done();
    has(&said, &["2 cuts", "1 row comes back in notebook-unread-3.csv"]);
    assert_eq!(fs::read(trial.path("notebook-unread-2.csv")).unwrap(), [0xff, 0xfe, 0x00]);
    has(&trial.read("notebook-unread-3.csv"), &["Ida,lots,part"]);
}

/// What a sheet is called names no folder.
#[test]
fn rows_of_a_sheet_come_back_under_its_name() {
    use Put::{Day, Number, Text};
    let trial = Trial::on_hill();
    let row = |mass| vec![Text("Hill/Bank"), Day(2021, 4, 2), Text("Ida"), mass, Text("part")];
    let header = ["Patch", "Date", "By", "Mass g", "Taken"].map(Text).to_vec();
    let rows = vec![header, row(Number(300.0)), row(Text("lots"))];
    trial.write("log.ods", ods(&[("Cuts/April", rows)]));
    let said = trial.run("bring log.ods --yes").done();
    has(&said, &["1 cut", "1 row comes back in log-Cuts-April-unread.csv"]);
    has(&trial.read("log-Cuts-April-unread.csv"), &["lots"]);
}

#[test]
fn what_is_only_about_right_is_asked_and_then_taken_or_left() {
    let trial = Trial::on_hill();
    trial.write("notebook.csv", NOTEBOOK.replace("300", "2-3 kg"));
    let before = trial.history();
    has(&trial.run("bring notebook.csv --yes").wrong(), &["`2-3 kg`", "--rough middle"]);
    assert_eq!(trial.history(), before);
    trial.run("bring notebook.csv --yes --rough middle").done();
    has(&trial.history(), &["2.5 kg"]);
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
    has(&shown, &["cells are parted by tabs", "2021-03-21 Ida 0.25 30.5 3/4/2021"]);
    trial.run("bring survey.tsv --yes --sure").done();
    has(&trial.history(), &["2021-03-21"]);
}

#[test]
fn a_survey_with_one_row_that_cannot_be_read_comes_back_whole() {
    let trial = Trial::on_hill();
    let row = |patch: &str, mass: &str| format!("Hill/{patch},2021-03-21,Ida,0.25,{mass}\n");
    let rows = [row("Bank", "30"), row("Bank", "3o"), row("Field", "28"), row("Field", "25")];
    trial.write("survey.csv", "patch,date,by,frame_area_m2,mass_g\n".to_owned() + &rows.concat());
    let said = trial.run("bring survey.csv --yes --sure").done();
    has(&said, &["1 survey", "2 rows come back"]);
    let unread = trial.read("survey-unread.csv");
    has(&unread, &["Hill/Bank", "one survey with line 3", "Hill/Bank", "`3o` is not a number"]);
    assert!(!trial.history().contains("on Hill/Bank"), "{}", trial.history());
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
    has(&trial.run("bring thousands.csv --yes").wrong(), &["`1,250`", "--decimal comma"]);
    trial.write("empty.csv", "");
    has(&trial.run("bring empty.csv --yes").wrong(), &["there is nothing in it"]);
    trial.write("page.pdf", "%PDF-1.7 and so on");
    has(&trial.run("bring page.pdf --yes").wrong(), &["it is a PDF", "XLSX, ODS or CSV"]);
    assert_eq!(trial.history(), before);
}

#[test]
fn answers_are_kept_and_found_again_by_the_headers() {
    let trial = Trial::on_hill();
    let month = |days: [&str; 2]| {
        format!(
            "Picking log\nWhen,Spot,Weight,Mood\n{},Hil/Bank,2,fine\n{},Hil/Bank,3,wet\n",
            days[0], days[1]
        )
    };
    trial.write("april.csv", month(["3/4/2021", "5/4/2021"]));
    let asked = trial.run("bring april.csv --as cuts").done();
    has(
        &asked,
        &["`by`, which these rows need", "read in two ways", "--unit", "did you mean `Hill/Bank`?"],
    );
    let said = trial
        .run(
            "bring april.csv --as cuts --set by=Ida --day-first --unit Weight=kg \
             --say Hil/Bank=Hill/Bank --yes",
        )
        .done();
    has(&said, &["2 cuts", "What you answered is kept in sites/mappings/cuts-"]);
    trial.write("may.csv", month(["4/5/2021", "6/5/2021"]));
    has(&trial.run("bring may.csv --yes").done(), &["2 cuts"]);
    let history = trial.history();
    for recorded in ["2021-04-03", "2021-04-05", "2021-05-04", "2021-05-06"] {
        has(&history, &[recorded]);
    }
    // A table that shows the contrary is asked about all the same.
    trial.write("june.csv", month(["6/13/2021", "6/14/2021"]));
    has(&trial.run("bring june.csv --yes").wrong(), &["`6/13/2021`", "the other way round"]);
}

#[test]
fn a_row_that_names_another_crop_than_grows_there_comes_back() {
    let trial = Trial::on_hill();
    trial.write(
        "log.csv",
        "date,patch,by,crop,mass_g,taken\n\
         2021-04-02,Bank,Ida,Nettle,300,part\n\
         2021-04-02,Wood,Ida,nettle,300,part\n",
    );
    has(&trial.run("bring log.csv --yes").done(), &["1 cut", "1 row comes back"]);
    has(&trial.read("log-unread.csv"), &["the book has `ramsons-leaf` on `Hill/Wood`"]);
    assert!(!trial.history().contains("from Hill/Wood"), "{}", trial.history());
}

/// What a terminal shows of the command while this is typed at it; `None`, and said, where there is
/// no `script` (util-linux) to make one.
pub fn at_a_terminal(trial: &Trial, words: &str, typed: &str) -> Option<String> {
    let command = trial.command(words);
    let asked = [command.get_program()].into_iter().chain(command.get_args());
    let asked: Vec<String> = asked.map(|word| format!("'{}'", word.to_str().unwrap())).collect();
    let mut terminal = Command::new("script");
    terminal.args(["-qec", &asked.join(" "), "/dev/null"]).current_dir(trial.path(""));
    for (name, value) in command.get_envs() {
        match value {
            Some(value) => terminal.env(name, value),
            None => terminal.env_remove(name),
        };
    }
    terminal.stdin(Stdio::piped()).stdout(Stdio::piped());
    let Ok(mut running) = terminal.spawn() else {
        println!("skipped: there is no `script` to make a terminal with");
        return None;
    };
    running.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
    let shown = running.wait_with_output().unwrap().stdout;
    Some(String::from_utf8(shown).unwrap().replace('\r', ""))
}

#[test]
fn at_a_terminal_each_question_is_asked_in_turn_and_what_is_wished_is_recorded() {
    let trial = Trial::on_hill();
    trial.load("permissions.csv", PERMISSION).done();
    let table = "Where;When;Sack;Who\nBank;3/2/2021;1250;Ida\nBank;4/2/2021;400;Ida\n";
    trial.write("notes.csv", table);
    let replies = "no such column\nSack\nMaybe\n3\n1\nYES\n";
    let ask = "bring notes.csv --as cuts --sure";
    let Some(shown) = at_a_terminal(&trial, ask, replies) else { return };
    has(&shown, &["which column is it", "That does not answer it.", "which column is it"]);
    has(
        &shown,
        &["`day` or `month` first? (1=day, 2=month)", "does not answer it.", "month` first?"],
    );
    has(&shown, &["Record it? yes or no:", "notes.csv: 2 cuts", "What you answered is kept"]);
    has(&trial.history(), &["2021-02-03", "1.25 kg", "2021-02-04", "400 g"]);
}

#[test]
fn at_a_terminal_nothing_is_recorded_where_nobody_answers_or_wishes_it() {
    let trial = Trial::on_hill();
    let before = trial.history();
    trial.write("notes.csv", "patch,date,by,mass_g\nHill/Bank,3/2/2021,Ida,400\n");
    let Some(shown) = at_a_terminal(&trial, "bring notes.csv --as cuts", "") else { return };
    has(&shown, &["nobody answers; nothing was recorded"]);
    let shown = at_a_terminal(&trial, "bring notes.csv --as cuts --day-first", "no\n").unwrap();
    has(&shown, &["Record it? yes or no:"]);
    assert_eq!(trial.history(), before);
}

/// What another program makes of an export, as a workbook, comes back as nothing new: openpyxl
/// writes numbers as numbers and days as days.
#[test]
fn an_export_that_went_through_a_workbook_of_another_program_adds_nothing() {
    let python = std::env::var("STINTBOOK_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let asked = Command::new(&python).args(["-c", "import openpyxl"]).output();
    if !asked.is_ok_and(|asked| asked.status.success()) {
        println!("skipped: `{python}` has no openpyxl (pip install openpyxl)");
        return;
    }
    let trial = Trial::with_book();
    let features = [site(), patch("Bank", "nettle-tops", 1), patch("Elder", "elder-flower", 7)];
    trial.write("places.geojson", places(&features));
    trial.write("permissions.csv", LIFTED).write("surveys.csv", SURVEY);
    trial.run("load places.geojson permissions.csv surveys.csv").done();
    trial.run("cut Hill/Bank 650g --by Ida --people 2 --on 2021-03-14").done();
    trial.run("glance Hill/Elder \"190 heads\" --by Ida --on 2021-03-14").done();
    trial.run("glance Hill/Bank 14.25kg --by Ida --on 2021-03-15").done();
    trial.run("export out --whole").done();
    let before = trial.history();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/maps/as_workbook.py");
    for (kind, told) in [("cuts", "1"), ("glances", "2"), ("surveys", "1"), ("permissions", "1")] {
        let (from, to) = (format!("out/{kind}.csv"), format!("{kind}.xlsx"));
        let mut made = Command::new(&python);
        made.args([script, &to, &from]).current_dir(trial.path(""));
        assert!(made.output().unwrap().status.success());
        let said = trial.run(&format!("bring {to} --yes")).done();
        has(&said, &[&format!("nothing new; {told} known already")]);
        assert!(!said.contains("come back"), "{said}");
    }
    assert_eq!(trial.history(), before);
}
