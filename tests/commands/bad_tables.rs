//! `load` of tables with something wrong in them.

use crate::hill::{SOUTH, WEST, patch_of, places, square};
use crate::said::has;
use crate::trial::Trial;

const SURVEY: &str = "patch,date,by,frame_area_m2,mass_g";

/// Refused with these words, a way out, and a book as it was.
fn refused(trial: &Trial, text: impl AsRef<[u8]>, parts: &[&str]) {
    let history = trial.history();
    let said = trial.load("table.csv", text).wrong();
    has(&said, parts);
    has(&said, &["table.csv, line ", "expected", "nothing was recorded"]);
    assert_eq!(trial.history(), history);
}

#[test]
fn values_that_cannot_be_are_named_with_their_line_and_column() {
    let trial = Trial::on_hill();
    for (row, said) in [
        ("Hill/Bank,2021-03-01,Ida,0.25,lots", "`mass_g`: `lots` is not a number"),
        ("Hill/Bank,2021-03-01,Ida,0.25,NaN", "`mass_g`: `NaN` is not a number"),
        ("Hill/Bank,2021-03-01,Ida,0.25,inf", "`mass_g`: `inf` is not a number"),
        ("Hill/Bank,2021-03-01,Ida,0.25,1e308", "`mass_g`: `1e308` is too much for a mass"),
        ("Hill/Bank,2021-03-01,Ida,0.25,-3", "`mass_g`: `-3` is not a mass"),
        ("Hill/Bank,2021-03-01,Ida,0.25,\"1,5\"", "`mass_g`: `1,5` has a decimal comma"),
        ("Hill/Bank,2021-03-01,Ida,0.25,", "`mass_g`: nothing is there"),
        ("Hill/Bank,2021-03-01,Ida,0,30", "`frame_area_m2`: `0` is not an area"),
        ("Hill/Bank,2021-03-01,,0.25,30", "`by`: nothing is there"),
        ("Hill/Bank,,Ida,0.25,30", "`date`: nothing is there"),
        (
            "Hill/Bank,2021-04-31,Ida,0.25,30",
            "`date`: `2021-04-31` is not a day: April 2021 has 30 days",
        ),
        ("Hill/Bank,2021-02-29,Ida,0.25,30", "`date`: `2021-02-29` is not a day"),
        ("Hill/Bank,01/03/2021,Ida,0.25,30", "`date`: `01/03/2021` is not a day"),
        ("Hill/Bank,0021-03-01,Ida,0.25,30", "`date`: `0021-03-01` is too far off"),
        (
            "Hill/Bnak,2021-03-01,Ida,0.25,30",
            "no patch is called `Hill/Bnak`; did you mean `Hill/Bank`?",
        ),
        (",2021-03-01,Ida,0.25,30", "`crop`: nothing is there"),
        ("Hill/Bank,2021-03-01,Ida,0.25,30,7", "there are 6 fields where the header has 5"),
        (
            "Hill/Bank,2021-03-01,\u{1b}[31mIda,0.25,30",
            "`by`: `<U+001B>[31mIda` has the control character U+001B in it",
        ),
    ] {
        refused(&trial, format!("{SURVEY}\n{row}\n"), &["table.csv, line 2", said]);
    }
    refused(
        &trial,
        b"patch,date,by,standing\nHill/Bank,2021-03-01,Zo\xeb,3kg\n",
        &["line 2: this line is not UTF-8"],
    );
    refused(&trial, "patch,date,by,standing\nHill/Bank,2021-03-01,Ida,\"3kg\n", &["line 2"]);
}

#[test]
fn what_lies_ahead_has_not_been_seen_yet() {
    let trial = Trial::on_hill();
    let cuts = "patch,date,by,mass_g,taken\nHill/Bank,2199-03-01,Ida,300,all\n";
    let said = "the cut of Hill/Bank 2199-03-01 Ida lies ahead";
    let history = trial.history();
    has(&trial.load("table.csv", cuts).wrong(), &["table.csv, `date`", said, "up to today"]);
    assert_eq!(trial.history(), history);
}

#[test]
fn a_survey_along_a_line_does_not_fit_a_patch_that_is_none() {
    let trial = Trial::on_hill();
    let along = crate::hill::SURVEY.replace("frame_area_m2", "frame_length_m");
    let said = trial.load("table.csv", along).wrong();
    has(&said, &["table.csv, `frame`", "does not fit its patch", "nothing was recorded"]);
}

#[test]
fn columns_that_are_missing_or_strange_are_named() {
    let trial = Trial::on_hill();
    refused(
        &trial,
        "patch,date,frame_area_m2,mass_g\nHill/Bank,2021-03-01,0.25,30\n",
        &["line 1", "`by`"],
    );
    refused(
        &trial,
        "patch,date,by,frame_area_m2,mas_g\n",
        &["line 1", "`mas_g`", "did you mean `mass_g`?"],
    );
    refused(&trial, "patch,date,by,mass_g,mass_g,taken\n", &["line 1", "`mass_g`"]);
    refused(&trial, "patch;date;by;standing\n", &["line 1"]);
}

#[test]
fn rows_are_counted_after_comments_and_blank_lines() {
    let trial = Trial::on_hill();
    let text = format!("# my survey\n\n{SURVEY}\n# a row:\nHill/Bank,2021-03-01,Ida,0.25,x\n");
    refused(&trial, text, &["table.csv, line 5, `mass_g`"]);
}

#[test]
fn a_spreadsheets_byte_order_mark_and_line_ends_change_nothing() {
    let trial = Trial::on_hill();
    let text = "patch,date,by,standing,recorded_on\nHill/Bank,2021-03-01,Ida,3kg,2021-03-01\n";
    trial.load("plain.csv", text).done();
    let odd = format!("\u{feff}{}", text.replace('\n', "\r\n"));
    trial.write("odd.csv", odd);
    let said = trial.run("load odd.csv --formerly plain.csv").done();
    assert_eq!(said, "odd.csv: nothing new; 1 known already\n");
}

#[test]
fn a_quadrat_goes_to_the_patch_it_lies_in_and_to_none_where_two_are_near() {
    let trial = Trial::on_hill();
    // The second patch begins some 3 m east of the first.
    let (first, second) = (WEST + 0.007, WEST + 0.00724);
    let both = [("West", first), ("East", second)]
        .map(|(name, west)| patch_of(name, "sloe", &square(west, SOUTH + 0.007)));
    trial.load("two.geojson", places(&both)).done();
    let lat = SOUTH + 0.0071;
    let row = |lon: f64| {
        format!("crop,lon,lat,date,by,standing\nsloe,{lon:.6},{lat:.6},2021-09-01,Ida,3kg\n")
    };
    refused(
        &trial,
        row(first + 0.00022),
        &[
            "line 2, `patch`: `Hill/East` and `Hill/West` lie within 5 m",
            "expected the name of the right one",
        ],
    );
    refused(&trial, row(first + 0.001), &["no patch of `sloe` lies within 5 m of the position"]);
    refused(&trial, row(lat).replace("48.", "-19."), &["line 2"]);
    has(
        &trial.load("table.csv", row(first - 0.00004)).done(),
        &["1 glance", "line 2: 3 m outside `Hill/West`"],
    );
    trial
        .load("inside.csv", row(first + 0.0001).replace("3kg", "4kg").replace("09-01", "09-02"))
        .done();
    has(&trial.history(), &["some 3 kg on Hill/West", "some 4 kg on Hill/West"]);
    // From now on nothing is cut there.
    let zone = patch_of("Nest", "sloe", &square(first, SOUTH + 0.007));
    let zone = zone.replace("\"patch\"", "\"zone\"").replace(", \"crop\": \"sloe\"", "");
    trial.load("nest.geojson", places(&[zone])).done();
    let said = trial.load("later.csv", row(first + 0.0001).replace("09-01", "09-03")).done();
    has(&said, &["line 2: in no-take ground `Nest` of `Hill/West`, left out"]);
}

#[test]
fn what_a_permission_or_override_cannot_say_is_refused() {
    let trial = Trial::on_hill();
    let cases = [
        ("site,basis,from,by\nHill,maybe,2021-01-01,Ida\n", "`basis`: `maybe`"),
        ("site,basis,from,to,by\nHill,written,2021-05-01,2021-04-01,Ida\n", "`to`"),
        ("site,basis,from,crops,by\nHill,written,2021-01-01,slo,Ida\n", "did you mean `sloe`?"),
        ("site,basis,from,largest_party,by\nHill,written,2021-01-01,-3,Ida\n", "`largest_party`"),
        ("site,from,to,reason,by\nHill,2021-05-01,2021-04-01,lambs,Ida\n", "`to`"),
        ("site,patch,from,reason,by\nHill,Bnak,2021-05-01,lambs,Ida\n", "did you mean"),
        (
            "site,crop,field,value,source,date,by\nHill,sloe,seson,all year,me,2021-01-01,Ida\n",
            "`field`",
        ),
        (
            "site,crop,field,value,source,date,by\nHill,sloe,reserve,2,me,2021-01-01,Ida\n",
            "`value`",
        ),
        (
            "site,crop,field,value,source,date,by\nHill,sloe,reserve,0.2,,2021-01-01,Ida\n",
            "`source`",
        ),
        ("patch,date,by,mass_g,taken\nHill/Bank,2021-03-01,Ida,30,most\n", "`taken`"),
        (
            "patch,date,by,count,taken\nHill/Bank,2021-03-01,Ida,3,all\n",
            "`nettle-tops` is reckoned in grams",
        ),
    ];
    for (text, said) in cases {
        refused(&trial, text, &["table.csv, line 2", said]);
    }
}
