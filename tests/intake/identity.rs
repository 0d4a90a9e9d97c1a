//! The id that says which fact a row or a feature is.

use jiff::civil::date;
use serde_json::{Value, json};
use stintbook::intake::{FEATURES, SHEETS, columns, edit, templates, write_csv, write_geojson};
use stintbook::records::{Fact, FactId, Record, Taken};

use crate::world::world;

const ONE: &str = "0190a5c0-0000-7000-8000-0000deadbeef";
const OTHER: &str = "0190a5c0-0000-7000-8000-0000c0ffee00";

fn id(text: &str) -> FactId {
    text.parse().unwrap()
}

fn cut(id: &str) -> String {
    format!("patch,date,by,mass_g,taken,fact\nride,2027-03-14,Ada,650,part,{id}\n")
}

fn survey(ids: [&str; 3]) -> String {
    let row = |id| format!("north wood/bank,2027-03-14,Ada,0.25,31,{id}\n");
    format!("patch,date,by,frame_area_m2,mass_g,fact\n{}", ids.map(row).concat())
}

fn zone(members: &Value) -> String {
    let mut feature = json!({
        "type": "Feature",
        "geometry": { "type": "Point", "coordinates": [-20, 48] },
        "properties": { "kind": "zone", "name": "edge", "site": "shore" },
    });
    for (name, value) in members.as_object().unwrap() {
        match name.as_str() {
            "fact" => feature["properties"]["fact"] = value.clone(),
            _ => feature[name] = value.clone(),
        }
    }
    json!({ "type": "FeatureCollection", "by": "Ada", "date": "2027-01-05", "features": [feature] })
        .to_string()
}

#[test]
fn a_row_says_which_fact_it_is_or_nothing() {
    let read = |text: &str| world().read(text).unwrap().entries.pop().unwrap().id;
    assert_eq!(read(&cut(ONE)), Some(id(ONE)));
    assert_eq!(read(&cut(&ONE.to_uppercase())), Some(id(ONE)));
    assert_eq!(read(&cut("")), None);
    assert_eq!(read("patch,date,by,mass_g,taken\nride,2027-03-14,Ada,650,part\n"), None);
}

#[test]
fn an_id_that_is_none_is_told_with_its_line() {
    let nil = "00000000-0000-0000-0000-000000000000";
    for bad in ["deadbeef", "1", nil, &ONE[1..]] {
        assert_eq!(
            world().refused(cut(bad)),
            format!(
                "FILE, line 2, `fact`: `{bad}` is not the id of a fact\n  expected a UUID of 32 \
                 digits from 0 to f, as `export` writes it; empty for something new"
            )
        );
    }
}

#[test]
fn the_rows_of_a_survey_are_one_fact() {
    let read = |ids| world().read(survey(ids)).unwrap().entries;
    for ids in [[ONE, ONE, ONE], [ONE, "", ONE], ["", ONE, ""]] {
        let entries = read(ids);
        assert_eq!(entries.len(), 1, "{ids:?}");
        assert_eq!(entries[0].id, Some(id(ONE)), "{ids:?}");
    }
    assert_eq!(read(["", "", ""])[0].id, None);
    assert_eq!(
        world().refused(survey([ONE, "", OTHER])),
        "FILE, line 4, `fact`: this row and line 2 of one survey differ\n  \
         expected one id for all its rows; `visit` 2 makes it a second survey"
    );
}

#[test]
fn a_feature_says_it_in_its_id_or_among_its_properties() {
    let read = |members: Value| world().read(zone(&members)).unwrap().entries.pop().unwrap().id;
    assert_eq!(read(json!({ "id": ONE })), Some(id(ONE)));
    assert_eq!(read(json!({ "fact": ONE })), Some(id(ONE)));
    assert_eq!(read(json!({ "id": ONE.to_uppercase(), "fact": ONE })), Some(id(ONE)));
    assert_eq!(read(json!({ "id": null, "fact": "" })), None);
    assert_eq!(
        world().refused(zone(&json!({ "id": OTHER, "fact": ONE }))),
        format!(
            "FILE, feature 1 (`edge`), `fact`: it is `{ONE}` here and `{OTHER}` in `id`\n  \
             expected one id, in one place"
        )
    );
}

#[test]
fn what_drawing_programs_number_is_passed_over_and_a_damaged_id_is_not() {
    for (theirs, shown) in [(json!(7), "7"), (json!("way/123"), "way/123")] {
        let intake = world().read(zone(&json!({ "id": theirs }))).unwrap();
        assert_eq!(intake.entries[0].id, None);
        let told = format!("feature 1 (`edge`): the id `{shown}` is not a fact's and not used");
        assert_eq!(intake.remarks, [told]);
    }
    for (member, bad) in [("id", &ONE[2..]), ("fact", "way/123")] {
        assert_eq!(
            world().refused(zone(&json!({ member: bad }))),
            format!(
                "FILE, feature 1 (`edge`), `{member}`: `{bad}` is not the id of a fact\n  \
                 expected a UUID of 32 digits from 0 to f, as `export` writes it; empty for \
                 something new"
            )
        );
    }
}

#[test]
fn what_is_written_carries_the_id_in_its_last_column_and_on_every_row() {
    let entries = world().read(survey([ONE, ONE, ONE])).unwrap().entries;
    let text = write_csv(entries[0].record.kind(), &entries, world().known());
    let mut lines = text.lines();
    assert!(lines.next().unwrap().ends_with(",recorded_on,fact"), "{text}");
    let rows: Vec<&str> = lines.collect();
    assert_eq!(rows.len(), 3);
    assert!(rows.iter().all(|row| row.ends_with(&format!(",{ONE}"))), "{text}");

    let entries = world().read(zone(&json!({ "fact": ONE }))).unwrap().entries;
    let written: Value = serde_json::from_str(&write_geojson(&entries)).unwrap();
    assert_eq!(written["features"][0]["id"], ONE);
    assert_eq!(written["features"][0]["properties"].get("fact"), None);
}

#[test]
fn every_kind_has_the_column_last_and_templates_leave_it_empty() {
    for kind in SHEETS.into_iter().chain(FEATURES) {
        let last = columns(kind).last().unwrap();
        assert_eq!((last.name, last.example), ("fact", ""), "{kind:?}");
    }
    for template in templates().iter().filter(|template| template.file.ends_with(".csv")) {
        assert!(template.text.ends_with(",fact\n"), "{}", template.text);
    }
}

#[test]
fn a_corrected_fact_is_another_and_its_id_is_not_corrected() {
    let entry = world().read(cut(ONE)).unwrap().entries.pop().unwrap();
    let fact = Fact {
        id: id(ONE),
        happened_on: entry.happened_on,
        recorded_on: date(2027, 3, 15),
        by: entry.by,
        file: None,
        record: entry.record,
    };
    let change = |field: &str, text: &str| {
        edit(&fact, &[(field.to_owned(), text.to_owned())], world().known())
    };
    assert_eq!(change("mass_g", "560").unwrap().id, None);
    let told = change("fact", OTHER).unwrap_err().to_string();
    assert!(told.starts_with("cut deadbeef, `fact`: a fact keeps its id\n"), "{told}");
}

#[test]
fn a_cut_tells_whether_its_share_was_said() {
    let read = |taken: &str| {
        let text = cut("").replace("part", taken);
        let entry = world().read(text).unwrap().entries.pop().unwrap();
        let Record::Cut(cut) = entry.record else { panic!("no cut") };
        (cut.taken, entry.taken_unsaid)
    };
    assert_eq!(read(""), (Taken::All, true));
    assert_eq!(read("all"), (Taken::All, false));
    assert_eq!(read("part"), (Taken::ByWeight, false));
    assert!(!world().read(survey(["", "", ""])).unwrap().entries[0].taken_unsaid);
}
