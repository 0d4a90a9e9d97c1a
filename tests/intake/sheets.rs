//! CSV files, good and bad, with what is said of them.

use jiff::civil::date;
use stintbook::records::{Frame, Record, SurveyMethod, Taken};
use stintbook::units::{Amount, SquareMetres};

use crate::world::world;

const SURVEY: &str = "patch,date,by,frame_area_m2,mass_g\n";
const CUT: &str = "patch,date,by,mass_g,taken\n";

/// A survey file of two good quadrats and this row between them, on line 3.
fn with_quadrat(row: &str) -> String {
    let good = "north wood/bank,2027-03-14,Ada,0.25,31\n";
    format!("{SURVEY}{good}{row}\n{good}")
}

#[test]
fn rows_of_one_patch_day_and_person_make_one_survey() {
    let intake = world()
        .read(with_quadrat("ride,2027-03-14,Ada,0.5,1e1") + "ride,2027-03-14,Ada,0.5,12.5\n")
        .unwrap();
    let keys: Vec<&str> = intake.entries.iter().map(|entry| entry.key.as_str()).collect();
    assert_eq!(keys, ["north wood/bank 2027-03-14 Ada", "north wood/ride 2027-03-14 Ada"]);
    let Record::Survey(survey) = &intake.entries[1].record else { panic!("no survey") };
    let SurveyMethod::Quadrats(strata) = &survey.method else { panic!("other quadrats") };
    assert_eq!(strata.len(), 1);
    assert_eq!(strata[0].frame, Frame::Area(SquareMetres(0.5)));
    let amounts: Vec<f64> = strata[0].quadrats.iter().map(|quadrat| quadrat.amount).collect();
    assert_eq!(amounts, [10.0, 12.5]);
}

#[test]
fn each_wrong_value_of_a_row_is_told_with_its_line_and_column() {
    for (row, told) in [
        (
            "north wood/bank,2027-03-14,Ada,0.25,-3",
            "FILE, line 3, `mass_g`: `-3` is not a mass\n  expected a number of grams, 0 or more",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,much",
            "FILE, line 3, `mass_g`: `much` is not a number\n  \
             expected a number of grams, 0 or more",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,NaN",
            "FILE, line 3, `mass_g`: `NaN` is not a number\n  \
             expected a number of grams, 0 or more",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,1e308",
            "FILE, line 3, `mass_g`: `1e308` is too much for a mass\n  \
             expected 10000000 at most",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,",
            "FILE, line 3, `mass_g`: nothing is there\n  expected a number of grams, 0 or more",
        ),
        (
            "north wood/bank,2027-04-31,Ada,0.25,3",
            "FILE, line 3, `date`: `2027-04-31` is not a day: April 2027 has 30 days\n  \
             expected a day, year first, like `2027-03-14`",
        ),
        (
            "north wood/bank,14/03/2027,Ada,0.25,3",
            "FILE, line 3, `date`: `14/03/2027` is not a day\n  \
             expected a day, year first, like `2027-03-14`",
        ),
        (
            "north wood/bank,2027-03-14,,0.25,3",
            "FILE, line 3, `by`: nothing is there\n  expected the name of who saw or did it",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,\"1,2\"",
            "FILE, line 3, `mass_g`: `1,2` has a decimal comma\n  \
             expected a decimal point, like `1.2`",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.25,1,2",
            "FILE, line 3: there are 6 fields where the header has 5\n  \
             expected 5; a text with a comma in it stands in quotes, a number has a decimal point",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0,3",
            "FILE, line 3, `frame_area_m2`: `0` is not an area\n  \
             expected the ground of one quadrat in square metres; empty where one plant was measured",
        ),
        (
            "north wood/bank,2027-03-14,Ada,0.5,3",
            "FILE, line 3, `frame_area_m2`: it differs from line 2, in the whole patch\n  \
             expected the same in every row of a stratum",
        ),
        (
            "north wood/bnak,2027-03-14,Ada,0.25,3",
            "FILE, line 3, `patch`: no patch is called `north wood/bnak`; \
             did you mean `north wood/bank`?\n  expected the name of a patch, like \
             `north wood/bank`; or else `crop`, `lon` and `lat`",
        ),
        (
            "bank,2027-03-14,Ada,0.25,3",
            "FILE, line 3, `patch`: `bank` may be any of north wood/bank, shore/bank; \
             write the site too, like `north wood/bank`\n  expected the name of a patch, like \
             `north wood/bank`; or else `crop`, `lon` and `lat`",
        ),
        (
            "north wood/bank,2027-03-14,A\u{7}da,0.25,3",
            "FILE, line 3, `by`: `A<U+0007>da` has the control character U+0007 in it\n  \
             expected plain text on one line; write it anew without that character",
        ),
    ] {
        assert_eq!(world().refused(with_quadrat(row)), told);
    }
}

#[test]
fn all_the_problems_of_a_file_are_told_at_once() {
    let text = format!("{SURVEY}nowhere,2027-02-30,Ada,-1,x\nshore/spit,2027-03-14,,0.25,3\n");
    let problems = world().read(text).unwrap_err();
    let fields: Vec<_> = problems.problems.iter().filter_map(|one| one.field.as_deref()).collect();
    assert_eq!(fields, ["date", "patch", "mass_g", "frame_area_m2", "by", "mass_g"]);
    assert!(problems.to_string().ends_with("\n  (nothing was recorded)"));
}

#[test]
fn twenty_problems_are_told_and_the_rest_counted() {
    let bad = "north wood/bank,2027-03-14,Ada,0.25,x\n";
    let problems = world().read(SURVEY.to_owned() + &bad.repeat(50)).unwrap_err();
    assert_eq!((problems.problems.len(), problems.more), (20, 30));
    assert!(
        problems.to_string().ends_with("\n  (30 more problems in this file; nothing was recorded)")
    );
    let problems = world().read(SURVEY.to_owned() + &bad.repeat(100_000)).unwrap_err();
    assert_eq!((problems.more, problems.gave_up), (180, true));
    assert!(
        problems
            .to_string()
            .ends_with("\n  (180 more problems, then reading stopped; nothing was recorded)")
    );
}

#[test]
fn a_row_that_is_refused_leaves_no_second_complaint() {
    let good = "north wood/bank,2027-03-14,Ada,0.25,31,\n";
    for (bad, told) in [
        ("north wood/bank,2027-03-14,Ada,0.25,3", "line 3: there are 5 fields"),
        ("north wood/bank,2027-03-14,A\u{7}da,0.25,3,", "line 3, `by`"),
        ("north wood/bank,2027-03-14,Ada,0.25,3,2027-03-20", "line 3, `recorded_on`"),
        ("\"north wood/bank", "line 3: a quote is opened"),
    ] {
        let header = "patch,date,by,frame_area_m2,mass_g,recorded_on\n";
        let problems = world().read(format!("{header}{good}{bad}\n")).unwrap_err();
        assert_eq!(problems.problems.len(), 1, "{problems}");
        assert!(problems.to_string().contains(told), "{problems}");
    }
}

#[test]
fn twenty_remarks_are_made_and_the_rest_counted() {
    let header = "crop,lon,lat,date,by,standing\n";
    let near = "nettle-tops,2.5,48,2027-03-14,Ada,3kg\n";
    let remarks = world().read(header.to_owned() + &near.repeat(50)).unwrap().remarks;
    assert_eq!(remarks.len(), 21);
    assert_eq!(remarks[20], "and 30 more remarks like these");
}

#[test]
fn a_survey_needs_two_quadrats_in_each_stratum_and_all_their_areas() {
    let header = "patch,date,by,stratum,stratum_area_m2,frame_area_m2,mass_g\n";
    let row = |stratum: &str, area: &str| {
        format!("north wood/bank,2027-03-14,Ada,{stratum},{area},0.25,3\n")
    };
    assert_eq!(
        world().refused(header.to_owned() + &row("dense", "40")),
        "FILE, line 2: `north wood/bank` has one quadrat in stratum `dense`\n  \
         expected 2 quadrats or more: one shows no spread"
    );
    assert_eq!(
        world().refused(header.to_owned() + &row("dense", "40") + &row("dense", "much")),
        "FILE, line 3, `stratum_area_m2`: `much` is not a number\n  \
         expected the ground of that part in square metres, more than 0",
        "a quadrat that is refused is not missed as well"
    );
    let dense = row("dense", "40").repeat(2);
    assert_eq!(
        world().refused(header.to_owned() + &dense + &row("sparse", "").repeat(2)),
        "FILE, line 4, `stratum_area_m2`: stratum `sparse` of `north wood/bank` has no area\n  \
         expected an area for every stratum: they are weighed by it"
    );
    assert_eq!(
        world().refused(header.to_owned() + &dense + &row("", "10").repeat(2)),
        "FILE, line 2, `stratum`: some quadrats of `north wood/bank` are in a stratum and some \
         are not\n  expected a stratum in every row of the survey, or in none"
    );
    assert_eq!(
        world().refused(header.to_owned() + &dense + &row("dense", "50")),
        "FILE, line 4, `stratum_area_m2`: it differs from line 2, in stratum `dense`\n  \
         expected the same in every row of a stratum"
    );
    let areas_once = row("dense", "40") + &row("dense", "") + &row("sparse", "60").repeat(2);
    assert_eq!(world().read(header.to_owned() + &areas_once).unwrap().entries.len(), 1);
}

#[test]
fn a_text_is_two_thousand_bytes_long_at_most() {
    let by = |bytes: usize| {
        let by = "A".repeat(bytes);
        format!("patch,date,by,standing\nnorth wood/bank,2027-03-14,{by},3kg\n")
    };
    assert_eq!(world().read(by(2000)).unwrap().entries.len(), 1);
    assert!(world().refused(by(2001)).contains("is 2001 bytes long"));
}

#[test]
fn a_crop_is_measured_in_what_it_is_reckoned_in() {
    let header = "patch,date,by,mass_g,count,taken\n";
    assert_eq!(
        world().refused(header.to_owned() + "shore/spit,2027-06-01,Ada,250,,all\n"),
        "FILE, line 2, `mass_g`: `elder-flower` is reckoned in pieces (heads), not in grams\n  \
         expected `count`"
    );
    assert_eq!(
        world().refused(header.to_owned() + "shore/bank,2027-06-01,Ada,,14,all\n"),
        "FILE, line 2, `count`: `alexanders-stem` is reckoned in grams, not in pieces\n  \
         expected `mass_g`"
    );
    assert_eq!(
        world().refused(header.to_owned() + "shore/spit,2027-06-01,Ada,,2.5,all\n"),
        "FILE, line 2, `count`: `2.5` is not a whole number of pieces\n  \
         expected a whole number of pieces, 0 or more"
    );
    assert_eq!(
        world().refused("patch,date,by,standing\nshore/spit,2027-06-01,Ada,3kg\n"),
        "FILE, line 2, `standing`: `elder-flower` is reckoned in pieces (heads), not in grams\n  \
         expected what stands there by eye, over 0, like `3kg` or `14 heads`"
    );
}

#[test]
fn a_position_finds_its_patch_or_says_why_not() {
    let glance = |lon: &str, lat: &str| {
        format!("crop,lon,lat,date,by,standing\nnettle-tops,{lon},{lat},2027-03-14,Ada,3kg\n")
    };
    let inside = world().read(glance("1.5", "48")).unwrap();
    assert_eq!(inside.entries[0].key, "north wood/bank 2027-03-14 Ada");
    assert!(inside.remarks.is_empty());
    let near = world().read(glance("2.5", "48")).unwrap();
    assert_eq!(near.entries.len(), 1);
    assert_eq!(near.remarks, ["line 2: 3 m outside `north wood/bank`, taken to it"]);
    let no_take = world().read(glance("4.5", "48")).unwrap();
    assert!(no_take.entries.is_empty());
    assert_eq!(
        no_take.remarks,
        ["line 2: in no-take ground `path edge` of `north wood/bank`, left out"]
    );
    for (lon, lat, told) in [
        (
            "3.5",
            "48",
            "FILE, line 2, `patch`: `north wood/bank` and `north wood/ride` lie within 5 m of \
             the position\n  expected the name of the right one here",
        ),
        (
            "5.5",
            "48",
            "FILE, line 2, `patch`: no patch of `nettle-tops` lies within 5 m of the position; \
             the nearest, `north wood/ride`, is 38 m off\n  \
             expected a position in a patch, or the patch's name here",
        ),
        (
            "48.0",
            "-120.5",
            "FILE, line 2, `lat`: `-120.5` is no latitude; `lon` and `lat` look swapped\n  \
             expected degrees north, WGS84, from -90 to 90",
        ),
        (
            "1e308",
            "48",
            "FILE, line 2, `lon`: `1e308` is no longitude\n  \
             expected degrees east, WGS84, from -180 to 180",
        ),
        (
            "NaN",
            "48",
            "FILE, line 2, `lon`: `NaN` is not a number\n  \
             expected degrees east, WGS84, from -180 to 180",
        ),
        (
            "1.5",
            "",
            "FILE, line 2, `lat`: nothing is there\n  \
             expected degrees north, WGS84, from -90 to 90",
        ),
    ] {
        assert_eq!(world().refused(glance(lon, lat)), told);
    }
    // Where the day changes is a longitude.
    assert!(world().refused(glance("180", "48")).contains("lies within 5 m of the position"));
    assert_eq!(
        world().refused(glance("1", "48").replace("nettle-tops", "netle-shoot")),
        "FILE, line 2, `crop`: no crop is called `netle-shoot`; did you mean `nettle-tops`?\n  \
         expected the name of a crop in the catalogue; needed where no patch is named"
    );
}

#[test]
fn a_cut_took_all_unless_it_says_otherwise_and_repeats_are_numbered() {
    let rows = "north wood/bank,2027-03-14,Ada,650,\nride,2027-03-14,Ada,50,Part\n\
                north wood/bank,2027-03-14,Ada,20,1 in 20\n";
    let intake = world().read(CUT.to_owned() + rows).unwrap();
    let taken: Vec<_> = intake
        .entries
        .iter()
        .map(|entry| match &entry.record {
            Record::Cut(cut) => (entry.key.as_str(), cut.amount, cut.taken),
            other => panic!("{other:?} is no cut"),
        })
        .collect();
    assert_eq!(
        taken,
        [
            ("north wood/bank 2027-03-14 Ada", Amount::grams(650.0), Taken::All),
            ("north wood/ride 2027-03-14 Ada", Amount::grams(50.0), Taken::ByWeight),
            ("north wood/bank 2027-03-14 Ada #2", Amount::grams(20.0), Taken::OneIn(20)),
        ]
    );
    assert_eq!(intake.entries[0].happened_on, date(2027, 3, 14));
    assert_eq!(
        world().refused(CUT.to_owned() + "ride,2027-03-14,Ada,50,some\n"),
        "FILE, line 2, `taken`: `some` does not say how much of the share was used\n  \
         expected `all` of what was allowed, `part` of it, or `1 in 20` of what was seen; \
         empty for all"
    );
}

#[test]
fn a_permission_is_checked_against_itself() {
    let header = "site,basis,from,to,crops,cap_per_visit_g,lifts_code_cap,by\n";
    for (row, told) in [
        (
            "north wood,spoken,2027-03-01,2027-02-01,,,,Ada",
            "FILE, line 2, `to`: `2027-02-01` is before the first day, `2027-03-01`\n  \
             expected that day or a later one",
        ),
        (
            "north wood,spoken,2027-03-01,,,,yes,Ada",
            "FILE, line 2, `lifts_code_cap`: a `spoken` permission lifts no code of practice\n  \
             expected `no`, or the basis `written`",
        ),
        (
            "north wood,bought,2027-03-01,,,,,Ada",
            "FILE, line 2, `basis`: `bought` is not what a permission rests on\n  \
             expected `written`, `spoken`, `right` or `custom`",
        ),
        (
            "north wood,spoken,2027-03-01,,nettle-tops; elder-flower,500,,Ada",
            "FILE, line 2, `cap_per_visit_g`: `elder-flower` is reckoned in pieces (heads), not \
             in grams\n  expected a permission of its own for crops reckoned otherwise",
        ),
        (
            "nroth wood,spoken,2027-03-01,,,,,Ada",
            "FILE, line 2, `site`: no site is called `nroth wood`; did you mean `north wood`?\n  \
             expected the name of a site",
        ),
    ] {
        assert_eq!(world().refused(format!("{header}{row}\n")), told);
    }
}

#[test]
fn an_override_is_tried_on_its_crop() {
    let header = "site,patch,crop,field,value,source,date,by\n";
    let row = |patch: &str, field: &str, value: &str| {
        format!("{header}north wood,{patch},nettle-tops,{field},{value},own,2027-01-01,Ada\n")
    };
    assert_eq!(world().read(row("bank", "take_fraction", "0.2")).unwrap().entries.len(), 1);
    assert_eq!(
        world().refused(row("", "reserve", "1.5")),
        "FILE, line 2, `value`: `1.5` is not a `reserve`\n  expected a fraction from 0 to under 1"
    );
    assert_eq!(
        world().refused(row("spit", "reserve", "0.5")),
        "FILE, line 2, `patch`: no patch is called `north wood/spit`; did you mean \
         `north wood/ride`?\n  expected the name of a patch of that site, without the site; \
         empty for the whole site"
    );
}

#[test]
fn the_header_tells_the_kind_or_what_is_wrong_with_it() {
    let kinds = "expected a column out of `basis` (permissions), `reason` (closures), `value` \
                 (overrides), `parties` (walks), `frame_area_m2` or `frame_length_m` or \
                 `units_in_all` or `cover` (surveys), `standing` (glances), `held_for` (holds), \
                 `taken` (cuts), `design` (clippings), \
                 `stage` or `trouble` (visits), `emergency_number` or `vehicle_way_in` or \
                 `hospital` or `tide_station` (emergencies)";
    for (header, told) in [
        (
            "a,b,c".to_owned(),
            format!("FILE, line 1: `a,b,c` is no header that tells what its rows are\n  {kinds}"),
        ),
        (
            "patch,date,by,mass_g,takn".to_owned(),
            format!(
                "FILE, line 1: `patch,date,by,mass_g,takn` is no header that tells what its rows \
                 are; did you mean `taken` by `takn`?\n  {kinds}"
            ),
        ),
        (
            "patch;date;by;mass_g;taken".to_owned(),
            "FILE, line 1: the columns are separated by `;`: `patch;date;by;mass_g;taken`\n  \
             expected commas between the columns and decimal points in the numbers"
                .to_owned(),
        ),
        (
            "taken,basis".to_owned(),
            "FILE, line 1: `basis` is a column of permissions and `taken` one of cuts\n  \
             expected a file for each kind"
                .to_owned(),
        ),
        (
            "patch,date,by,mas_g,taken".to_owned(),
            "FILE, line 1, `mas_g`: cuts have no such column; did you mean `mass_g`?\n  \
             expected one of `patch`, `date`, `by`, `mass_g`, `count`, `taken`, `people`, \
             `method`, `walk`, `visit`, `sure`, `recorded_on`, `fact`"
                .to_owned(),
        ),
        (
            "patch,date,mass_g,taken".to_owned(),
            "FILE, line 1, `by`: cuts need this column\n  \
             expected the name of who saw or did it"
                .to_owned(),
        ),
        (
            "patch,date,by,by,taken".to_owned(),
            "FILE, line 1, `by`: this column is there twice\n  expected each column once"
                .to_owned(),
        ),
    ] {
        assert_eq!(world().refused(header), told);
    }
}

#[test]
fn byte_order_marks_line_ends_blanks_quotes_and_order_make_no_difference() {
    let plain = world().read(CUT.to_owned() + "ride,2027-03-14,Ada,650,all\n").unwrap();
    for text in [
        "\u{feff}patch,date,by,mass_g,taken\nride,2027-03-14,Ada,650,all\n",
        "patch,date,by,mass_g,taken\r\nride,2027-03-14,Ada,650,all\r\n",
        "\n# cuts\n\npatch,date,by,mass_g,taken\n,,,,\n # more\nride,2027-03-14,Ada,650,all",
        "\"patch\",\"date\",\"by\",\"mass_g\",\"taken\"\n\"ride\",2027-03-14,\"Ada\",650,\"all\"",
        "taken,Mass_g,by, date ,patch,\nall, 650 ,Ada,2027-03-14,RIDE,\n",
    ] {
        assert_eq!(world().read(text).as_ref(), Ok(&plain), "{text}");
    }
}

#[test]
fn files_that_hold_nothing_say_so() {
    let expected = "expected a GeoJSON or CSV file, saved as UTF-8";
    for empty in ["", "\n\n", "\u{feff}"] {
        assert_eq!(world().refused(empty), format!("FILE: it is empty\n  {expected}"));
    }
    assert_eq!(
        world().refused("# only\n# comments\n"),
        "FILE: there is nothing in it but comments\n  \
         expected a header row; `stintbook new` writes templates"
    );
    let header_only = world().read(CUT).unwrap();
    assert!(header_only.entries.is_empty());
    assert_eq!(header_only.remarks, ["nothing in it yet: a header for cuts and no row under it"]);
}

#[test]
fn garbage_gets_one_sentence() {
    let expected = "expected a GeoJSON or CSV file, saved as UTF-8";
    assert_eq!(
        world().refused(b"PK\x03\x04\x00\x00"),
        format!("FILE: it is not text\n  {expected}")
    );
    assert_eq!(
        world().refused(b"\xff\xfep\x00"),
        format!("FILE: it is saved as UTF-16\n  {expected}")
    );
    assert_eq!(
        world().refused("x".repeat(100_000)),
        "FILE, line 1: this line is more than 64 kB long\n  \
         expected a CSV file with a row on each line"
    );
    assert_eq!(
        world().refused(b"patch,taken\xff\n"),
        "FILE, line 1: this line is not UTF-8 text\n  expected a CSV file saved as UTF-8"
    );
    assert_eq!(
        world().refused(CUT.to_owned() + "\"ride,2027-03-14,Ada,650,all\n"),
        "FILE, line 2: a quote is opened here and not closed\n  \
         expected a second `\"` behind the text"
    );
}
