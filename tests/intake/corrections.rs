//! Records put right, and what is said of the change.

use jiff::civil::date;
use stintbook::intake::{diff, edit, fields};
use stintbook::records::{Entry, Fact, FactId, Record};
use stintbook::units::Amount;
use stintbook::units::Measure;

use crate::world::world;

const SURVEY: &str = "patch,date,by,frame_area_m2,mass_g\n\
                      north wood/bank,2027-03-14,Ada,0.25,31\n\
                      north wood/bank,2027-03-14,Ada,0.25,12\n\
                      north wood/bank,2027-03-14,Ada,0.25,20\n";
const CUT: &str = "patch,date,by,mass_g,taken\nride,2027-03-14,Ada,650,part\n";
const HEDGE: &str = r#"{"type":"FeatureCollection","by":"Ada","date":"2027-01-05","features":[
    {"type":"Feature","geometry":{"type":"LineString","coordinates":[[-20,48],[-20,48.001]]},
    "properties":{"kind":"patch","name":"hedge","site":"shore","crop":"nettle-tops","width_m":2}}
    ]}"#;

fn recorded(text: &str) -> Fact<Record> {
    let Entry { happened_on, by, record, .. } = world().read(text).unwrap().entries.pop().unwrap();
    Fact {
        id: FactId("0190a5c0-0000-7000-8000-0000deadbeef".parse().unwrap()),
        happened_on,
        recorded_on: date(2027, 3, 15),
        by,
        file: None,
        record,
    }
}

fn edited(text: &str, changes: &[(&str, &str)]) -> Result<Entry, String> {
    let changes: Vec<(String, String)> =
        changes.iter().map(|(field, text)| ((*field).to_owned(), (*text).to_owned())).collect();
    edit(&recorded(text), &changes, world().known()).map_err(|problems| problems.to_string())
}

fn said(text: &str, changes: &[(&str, &str)]) -> Vec<String> {
    diff(&recorded(text), &edited(text, changes).unwrap(), Measure::Mass)
}

#[test]
fn a_corrected_field_goes_through_the_checks_of_a_file() {
    let entry = edited(CUT, &[("mass_g", "560"), ("people", "9")]).unwrap();
    let Record::Cut(cut) = &entry.record else { panic!("no cut") };
    assert_eq!((cut.amount, cut.people), (Amount::grams(560.0), Some(9)));
    assert_eq!(entry.recorded_on, None);
    assert_eq!(
        edited(CUT, &[("mass_g", "-1"), ("date", "2027-04-31")]).unwrap_err(),
        "cut deadbeef, `date`: `2027-04-31` is not a day: April 2027 has 30 days\n  \
         expected a day, year first, like `2027-03-14`\n\
         cut deadbeef, `mass_g`: `-1` is not a mass\n  expected a number of grams, 0 or more\n  \
         (nothing was recorded)"
    );
    assert_eq!(
        edited(CUT, &[("mas_g", "1")]).unwrap_err().lines().next().unwrap(),
        "cut deadbeef, `mas_g`: cuts have no such column; did you mean `mass_g`?"
    );
}

#[test]
fn a_weighing_is_corrected_by_its_number_and_a_unit_for_the_whole_survey() {
    let survey = "patch,date,by,frame_area_m2,unit,units,unit_g\n\
                  north wood/bank,2027-03-14,Ada,0.25,handful,3.5,41\n\
                  north wood/bank,2027-03-14,Ada,0.25,,1,36\n";
    assert_eq!(said(survey, &[("2.unit_g", "38")]), ["`2.unit_g`: `36` is now `38`"]);
    assert_eq!(said(survey, &[("unit", "bunch")]), ["`unit`: `handful` is now `bunch`"]);
    assert_eq!(said(survey, &[("placed", "by choice")]), ["`placed`: nothing is now `by choice`"]);
    assert_eq!(
        edited(survey, &[("unit_g", "38")]).unwrap_err(),
        "survey deadbeef, `unit_g`: the survey has 2 quadrats\n  \
         expected the number of one, like `3.unit_g`\n  (nothing was recorded)"
    );
}

#[test]
fn a_quadrat_of_a_survey_is_corrected_by_its_number() {
    assert_eq!(said(SURVEY, &[("3.mass_g", "13")]), ["`3.mass_g`: `20` is now `13`"]);
    assert_eq!(
        said(SURVEY, &[("frame_area_m2", "0.5"), ("note", "wet")]),
        ["`frame_area_m2`: `0.25` is now `0.5`", "`note`: nothing is now `wet`"]
    );
    for (change, told) in [
        (
            ("mass_g", "13"),
            "survey deadbeef, `mass_g`: the survey has 3 quadrats\n  \
             expected the number of one, like `3.mass_g`",
        ),
        (
            ("4.mass_g", "13"),
            "survey deadbeef, `4.mass_g`: there is no quadrat `4`\n  expected a number from 1 to 3",
        ),
        (
            ("2.date", "2027-03-15"),
            "survey deadbeef, `2.date`: `date` holds for the whole survey\n  \
             expected `date`, without a number",
        ),
        (
            ("2.mass_g", "x"),
            "survey deadbeef, row 2, `mass_g`: `x` is not a number\n  \
             expected a number of grams, 0 or more",
        ),
    ] {
        assert_eq!(
            edited(SURVEY, &[change]).unwrap_err(),
            format!("{told}\n  (nothing was recorded)")
        );
    }
}

#[test]
fn a_place_keeps_its_shape_when_its_properties_are_corrected() {
    assert_eq!(said(HEDGE, &[("width_m", "1.5")]), ["`width_m`: `2` is now `1.5`"]);
    assert!(edited(HEDGE, &[("width_m", "")]).is_err());
    assert_eq!(
        edited(HEDGE, &[("geometry", "x")]).unwrap_err().lines().next().unwrap(),
        "patch deadbeef, `geometry`: patches have no such property"
    );
    let redrawn = world().read(HEDGE.replace("[-20,48]", "[-20,48],[-20,48.0002]")).unwrap();
    assert_eq!(
        diff(&recorded(HEDGE), &redrawn.entries[0], Measure::Mass),
        ["`geometry`: redrawn, 2 positions are now 3"]
    );
}

#[test]
fn the_same_record_twice_has_no_differences() {
    for text in [SURVEY, CUT, HEDGE] {
        let entry = world().read(text).unwrap().entries.pop().unwrap();
        assert!(diff(&recorded(text), &entry, Measure::Mass).is_empty());
    }
}

#[test]
fn a_survey_lists_its_own_fields_once_and_those_of_its_quadrats_by_number() {
    let listed = fields(&recorded(SURVEY), world().known());
    let names: Vec<&str> = listed.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(
        names,
        [
            "patch",
            "1.frame_area_m2",
            "1.mass_g",
            "date",
            "by",
            "recorded_on",
            "fact",
            "2.frame_area_m2",
            "2.mass_g",
            "3.frame_area_m2",
            "3.mass_g"
        ]
    );
}
