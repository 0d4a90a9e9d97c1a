//! The ways of surveying: what each takes, and what is said where it is filled in wrongly.

use stintbook::records::{Counted, Frame, Placement, Record, Survey, SurveyMethod};
use stintbook::units::Metres;

use crate::world::world;

fn survey(header: &str, rows: &[&str]) -> Survey {
    let read = world().read(file(header, rows)).unwrap_or_else(|told| panic!("{told}"));
    match &read.entries[..] {
        [entry] => match &entry.record {
            Record::Survey(survey) => survey.clone(),
            other => panic!("{other:?} is no survey"),
        },
        entries => panic!("{} surveys", entries.len()),
    }
}

fn refused(header: &str, rows: &[&str]) -> String {
    world().refused(file(header, rows))
}

/// Rows of nettle shoots, which are reckoned in grams.
fn file(header: &str, rows: &[&str]) -> String {
    let rows = rows.iter().map(|row| format!("north wood/bank,2027-03-14,Ada,{row}\n"));
    format!("patch,date,by,{header}\n") + &rows.collect::<String>()
}

#[test]
fn quadrats_judged_by_eye_are_measured_in_some_rows() {
    let rows = ["0.25,30,27", "0.25,45,", "0.25,20,21", "0.25,10,8"];
    let read = survey("frame_area_m2,judged_g,mass_g", &rows);
    let SurveyMethod::Judged(judged) = read.method else { panic!("otherwise") };
    let pairs: Vec<_> = judged.quadrats.iter().map(|one| (one.judged, one.measured)).collect();
    assert_eq!(pairs, [(30.0, Some(27.0)), (45.0, None), (20.0, Some(21.0)), (10.0, Some(8.0))]);
}

#[test]
fn units_are_counted_in_samples_or_in_full_and_weighed_in_rows_of_their_own_or_not() {
    let rows = ["2,handful,3.5,41", "2,handful,1,", ",,,36"];
    let read = survey("frame_length_m,unit,units,unit_g", &rows);
    let SurveyMethod::Units(units) = read.method else { panic!("otherwise") };
    assert_eq!((&*units.unit, &units.weighings[..]), ("handful", &[41.0, 36.0][..]));
    let Counted::Sampled(strata) = units.counted else { panic!("in all") };
    assert_eq!(strata[0].frame, Frame::Length(Metres(2.0)));
    assert_eq!(strata[0].quadrats.len(), 2);

    let read = survey("units_in_all,unit,unit_g", &["140,rosette,31", ",,28"]);
    let SurveyMethod::Units(units) = read.method else { panic!("otherwise") };
    assert_eq!((units.counted, units.weighings.len()), (Counted::InAll(140.0), 2));
}

#[test]
fn pieces_of_a_counted_crop_need_no_weight() {
    let text = "patch,date,by,units_in_all,unit\nshore/spit,2027-06-01,Ada,57,head\n";
    assert_eq!(world().read(text).unwrap().entries.len(), 1);
    assert_eq!(
        world().refused(
            "patch,date,by,units_in_all,unit,unit_g\nshore/spit,2027-06-01,Ada,57,head,3\n"
        ),
        "FILE, line 2, `unit_g`: `elder-flower` is reckoned in pieces (heads), not in grams\n  \
         expected nothing here: the pieces are the units"
    );
}

#[test]
fn cover_is_read_on_the_scale_that_the_survey_names() {
    let scale = "D 75-100; A 50-75; R 0-5";
    let first = format!("d,{scale},1100");
    let read = survey("cover,cover_scale,full_cover_g_per_m2", &[&first, "R,,960"]);
    let SurveyMethod::Cover(cover) = read.method else { panic!("otherwise") };
    let classes: Vec<_> =
        cover.quadrats.iter().map(|one| (one.cover.low, one.cover.high)).collect();
    assert_eq!(classes, [(75.0, 100.0), (0.0, 5.0)]);
    assert_eq!((cover.scale.to_string().as_str(), cover.full_cover.len()), (scale, 2));
}

#[test]
fn who_chose_the_places_is_said_once_for_the_whole_survey() {
    let read = survey("placed,frame_area_m2,mass_g", &["by choice,0.25,3", ",0.25,4"]);
    assert_eq!(read.placement, Placement::ByChoice);
    let read = survey("placed,frame_area_m2,mass_g", &[",0.25,3", "drawn: a grid,0.25,4"]);
    assert_eq!(read.placement, Placement::Drawn { plan: Some("a grid".into()) });
    assert_eq!(
        refused("placed,frame_area_m2,mass_g", &["by choice,0.25,3", "drawn,0.25,4"]),
        "FILE, line 3, `placed`: `drawn` where another row has `by choice`\n  \
         expected the same for all places of a survey"
    );
    assert_eq!(
        refused("placed,frame_area_m2,mass_g", &["where it grew,0.25,3", ",0.25,4"]),
        "FILE, line 2, `placed`: `where it grew` does not say who chose the places\n  \
         expected who chose the places: `drawn` by chance, `drawn: PLAN`, or `by choice`; empty \
         counts as drawn"
    );
}

#[test]
fn each_column_filled_wrongly_gets_its_own_sentence() {
    let judged = "frame_area_m2,judged_g,mass_g";
    let hedge = "frame_area_m2,frame_length_m,mass_g";
    let units = "frame_area_m2,unit,units,units_in_all,unit_g";
    let cover = "cover,cover_scale,full_cover_g_per_m2";
    for (header, rows, told) in [
        (
            judged,
            &["0.25,-3,5", "0.25,4,4"][..],
            "FILE, line 2, `judged_g`: `-3` is not a mass\n  expected the grams in the quadrat by \
             eye, 0 or more; weigh some too, into `mass_g`",
        ),
        (
            judged,
            &["0.25,3,5", "0.25,4,", "0.25,6,4"],
            "FILE, line 2: `north wood/bank` has 3 quadrats judged by eye, and 2 of them measured\n  \
             expected 3 or more of them measured: they put the eye right",
        ),
        (
            judged,
            &["0.25,0,5", "0.25,0,2", "0.25,0,4", "0.25,9,"],
            "FILE, line 2: nothing was seen in any quadrat of `north wood/bank` that was measured\n  \
             expected measured quadrats in which the eye saw something",
        ),
        (
            judged,
            &["0.25,3,5", "0.5,2,2", "0.25,6,4"],
            "FILE, line 3, `frame_area_m2`: it differs from the first row of the survey\n  \
             expected one frame for all quadrats judged by eye",
        ),
        (
            judged,
            &["0.25,3,5", "0.25,,2", "0.25,6,4", "0.25,6,4"],
            "FILE, line 3, `frame_area_m2`: line 2 of this survey gives quadrats judged by eye, \
             this row measured quadrats\n  \
             expected one way of measuring in a survey; `visit` 2 makes it a second one",
        ),
        (
            hedge,
            &["0.25,2,5", ",2,4", ",2,4"],
            "FILE, line 2, `frame_length_m`: both `frame_area_m2` and `frame_length_m` are filled\n  \
             expected one of them",
        ),
        (
            hedge,
            &[",0,5", ",2,4"],
            "FILE, line 2, `frame_length_m`: `0` is not a length\n  expected for a hedge or \
             verge: the length of one sampled stretch in metres, over its full width",
        ),
        (
            hedge,
            &[",3,5", ",2,4"],
            "FILE, line 3, `frame_length_m`: it differs from line 2, in the whole patch\n  \
             expected the same in every row of a stratum",
        ),
        (
            units,
            &["0.25,,3,,31", "0.25,,2,,28"],
            "FILE, line 2, `unit`: what was counted on `north wood/bank` has no name\n  expected \
             what was counted: a `rosette`, or a `handful`, `bunch` or `basket` of your own",
        ),
        (
            units,
            &["0.25,handful,3,,31", "0.25,basket,2,,28"],
            "FILE, line 3, `unit`: `basket` is not `handful`\n  expected one unit in a survey",
        ),
        (
            units,
            &["0.25,handful,3,,31", "0.25,,2,,"],
            "FILE, line 2, `unit_g`: weighings of one handful: 1\n  \
             expected 2 or more: no unit has a weight of its own accord",
        ),
        (
            units,
            &[",handful,,,31", ",,,,28"],
            "FILE, line 2, `units`: each handful was weighed, but none was counted\n  \
             expected `units` in some rows, or `units_in_all` in one",
        ),
        (
            units,
            &["0.25,handful,many,,31", "0.25,,2,,28"],
            "FILE, line 2, `units`: `many` is not a number\n  expected how many of these were in \
             the quadrat, stretch or plant, 0 or more, halves and all",
        ),
        (
            units,
            &[",head,,140,31", ",,,141,28"],
            "FILE, line 3, `units_in_all`: `141` where another row has `140`\n  \
             expected one number",
        ),
        (
            units,
            &[",head,,140,31", "0.25,,3,,28"],
            "FILE, line 3, `units_in_all`: the survey has both `units` and `units_in_all`\n  \
             expected one of them",
        ),
        (
            units,
            &[",head,,140,0", ",,,,28"],
            "FILE, line 2, `unit_g`: `0` is not a weight\n  expected the grams of one such unit, \
             more than 0; weigh two or more, each in a row",
        ),
        (
            units,
            &["0.25,head,,,", "0.25,,3,,28"],
            "FILE, line 2, `units`: nothing is there\n  expected how many of these were in the \
             quadrat, stretch or plant, 0 or more, halves and all",
        ),
        (
            cover,
            &["35,,900", "40,percent,800"],
            "FILE, line 2, `cover_scale`: nothing is there\n  expected `percent`, `domin`, \
             `braun-blanquet`, or your own limits, like `D 75-100; A 50-75; F 25-50; O 5-25; R 0-5`",
        ),
        (
            cover,
            &["D,DAFOR,900", "F,,800"],
            "FILE, line 2, `cover_scale`: DAFOR has no one standard, so the data must bring its \
             limits\n  expected `percent`, `domin`, `braun-blanquet`, or your own limits, like \
             `D 75-100; A 50-75; F 25-50; O 5-25; R 0-5`",
        ),
        (
            cover,
            &["11,domin,900", "3,,800"],
            "FILE, line 2, `cover`: `11` is no cover on this scale\n  \
             expected +, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10",
        ),
        (
            cover,
            &["120,percent,900", "3,,800"],
            "FILE, line 2, `cover`: `120` is no cover on this scale\n  \
             expected a number of per cent, 0 to 100",
        ),
        (
            cover,
            &["4,domin,900", "3,braun-blanquet,800"],
            "FILE, line 3, `cover_scale`: `braun-blanquet` where another row has `domin`\n  \
             expected one scale in a survey",
        ),
        (
            cover,
            &["4,domin,900", "3,,"],
            "FILE, line 2, `full_cover_g_per_m2`: weighings of full cover on \
             `north wood/bank`: 1\n  expected 2 or more: one shows no spread",
        ),
        (
            "cover,cover_scale,full_cover_g_per_m2,frame_area_m2,mass_g",
            &["4,domin,900,0.25,31", "3,,800,,"],
            "FILE, line 2, `frame_area_m2`: a survey of cover has no use for it\n  \
             expected nothing here\n\
             FILE, line 2, `mass_g`: a survey of cover has no use for it\n  expected nothing here",
        ),
    ] {
        assert_eq!(refused(header, rows), told, "{header}: {rows:?}");
    }
}
