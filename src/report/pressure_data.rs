//! The pressure of a season for machines: JSON (`stintbook.pressure/1`) and CSV.

use serde_json::{Map, Value, json};

use super::column::{Column, Measured, csv, number, object, optional, optional_word, word};
use super::over_limit::cuts_over_limit;
use crate::assess::PatchSeason;
use crate::pressure::{ModelledCrop, PressureDay};
use crate::units::{Measure, Season};

pub const PRESSURE_SCHEMA: &str = "stintbook.pressure/1";

/// A day with the patch it is of.
struct Row<'a> {
    patch: &'a PatchSeason,
    day: &'a PressureDay,
}

impl Measured for Row<'_> {
    fn measure(&self) -> Measure {
        self.patch.crop.measure
    }
}

impl Measured for PatchSeason {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

impl Row<'_> {
    fn crop(&self, of: fn(&ModelledCrop) -> f64) -> Option<f64> {
        self.day.crop.as_ref().map(of)
    }
}

const SUMMARY: [Column<PatchSeason>; 12] = [
    Column::plain("site", |patch| word(patch.patch.site())),
    Column::plain("patch", |patch| word(patch.patch.patch())),
    Column::plain("crop", |patch| word(&patch.crop.name)),
    Column::amount("taken", |patch| Some(patch.series.total_cut())),
    Column::plain("visits", |patch| patch.visits.into()),
    Column::plain("person_visits", |patch| patch.person_visits.into()),
    Column::plain("visits_without_people", |patch| patch.visits_without_people.into()),
    Column::plain("hardest_cut_of_limit", |patch| optional(patch.series.hardest_cut())),
    Column::plain("cuts_over_limit", |patch| cuts_over_limit(&patch.series).count().into()),
    Column::plain("depletion_now", |patch| {
        optional(patch.series.latest().map(|(_, crop)| crop.depletion))
    }),
    Column::plain("depletion_deepest", |patch| optional(patch.series.deepest())),
    Column::plain("known_until", |patch| optional_word(patch.series.latest().map(|(day, _)| day))),
];

fn day_columns<'a>() -> [Column<Row<'a>>; 9] {
    [
        Column::plain("day", |row| word(row.day.day)),
        Column::amount("standing", |row| row.crop(|crop| crop.standing)),
        Column::amount("low", |row| row.crop(|crop| crop.low)),
        Column::amount("high", |row| row.crop(|crop| crop.high)),
        Column::amount("full", |row| row.crop(|crop| crop.full)),
        Column::amount("limit", |row| row.crop(|crop| crop.limit)),
        Column::amount("cut", |row| Some(row.day.cut)),
        Column::plain("depletion", |row| {
            row.crop(|crop| crop.depletion).map_or(Value::Null, number)
        }),
        Column::plain("surveyed", |row| row.day.surveyed.into()),
    ]
}

fn place_columns<'a>() -> [Column<Row<'a>>; 4] {
    [
        Column::plain("season", |row| word(row.patch.series.season)),
        Column::plain("site", |row| word(row.patch.patch.site())),
        Column::plain("patch", |row| word(row.patch.patch.patch())),
        Column::plain("crop", |row| word(&row.patch.crop.name)),
    ]
}

/// Each patch with what its season comes to and its days, modelled or not. A cut where nothing
/// was allowed has no part of its limit (null) and is counted in `cuts_over_limit`.
pub fn pressure_json(seasons: &[PatchSeason], season: Season) -> String {
    let patches: Vec<Map<String, Value>> = seasons.iter().map(patch_with_days).collect();
    let document = json!({
        "schema": PRESSURE_SCHEMA,
        "season": season.to_string(),
        "first_day": season.first_day().to_string(),
        "last_day": season.last_day().to_string(),
        "patches": patches,
    });
    // Not laid out for people: a season of many patches is long.
    format!("{document}\n")
}

/// One line a patch and day.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn pressure_csv(seasons: &[PatchSeason]) -> Result<String, csv::Error> {
    let columns: Vec<Column<Row>> = place_columns().into_iter().chain(day_columns()).collect();
    let rows: Vec<Row> = seasons.iter().flat_map(rows).collect();
    csv(&columns, &rows)
}

fn patch_with_days(patch: &PatchSeason) -> Map<String, Value> {
    let mut fields = object(&SUMMARY, patch);
    let columns = day_columns();
    let days: Vec<Value> = rows(patch).map(|row| object(&columns, &row).into()).collect();
    fields.insert("days".to_owned(), days.into());
    fields
}

fn rows(patch: &PatchSeason) -> impl Iterator<Item = Row<'_>> {
    patch.series.days.iter().map(move |day| Row { patch, day })
}
