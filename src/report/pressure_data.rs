//! The pressure of a season for machines: JSON (`stintbook.pressure/3`) and CSV.

use serde_json::{Map, Value, json};

use super::column::{Column, Measured, csv, number, object, optional, optional_word, word};
use crate::assess::PatchSeason;
use crate::pressure::{ModelledCrop, PressureDay};
use crate::units::{Measure, Season};

/// The name and version of what [`pressure_json`] writes.
pub const PRESSURE_SCHEMA: &str = "stintbook.pressure/3";

/// A day with the patch it is of.
struct PatchDay<'a> {
    patch: &'a PatchSeason,
    day: &'a PressureDay,
}

impl Measured for PatchDay<'_> {
    fn measure(&self) -> Measure {
        self.patch.crop.measure
    }
}

impl Measured for PatchSeason {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

impl PatchDay<'_> {
    fn crop(&self, of: fn(&ModelledCrop) -> f64) -> Option<f64> {
        self.day.crop.as_ref().map(of)
    }
}

const SUMMARY: [Column<PatchSeason>; 21] = [
    Column::plain("site", |patch| word(patch.patch.site())),
    Column::plain("patch", |patch| word(patch.patch.patch())),
    Column::plain("crop", |patch| word(&patch.crop.name)),
    Column::amount("taken", |patch| Some(patch.series.total_cut())),
    Column::plain("visits", |patch| patch.visits.into()),
    Column::plain("person_visits", |patch| patch.person_visits.into()),
    Column::plain("visits_without_people", |patch| patch.visits_without_people.into()),
    Column::plain("hardest_cut_of_allowed", |patch| {
        optional(patch.hardest().map(|(_, part)| part))
    }),
    Column::plain("hardest_cut_on", |patch| {
        optional_word(patch.hardest().map(|(ruling, _)| ruling.day))
    }),
    Column::plain("cuts_over_allowed", |patch| patch.overruns().count().into()),
    Column::plain("depletion_now", |patch| {
        optional(patch.series.latest().map(|(_, crop)| crop.depletion))
    }),
    Column::plain("depletion_deepest", |patch| optional(patch.series.deepest())),
    Column::plain("known_until", |patch| optional_word(patch.series.latest().map(|(day, _)| day))),
    Column::plain("underfoot", |patch| optional_word(patch.ground.underfoot)),
    Column::plain("trodden_m2", |patch| number(patch.ground.area.0)),
    Column::plain("trodden_m2_counted_on", |patch| word(patch.ground.measured_on)),
    Column::plain("passes_that_halve_cover", |patch| optional(patch.ground.resistance().passes)),
    Column::plain("passes_source", |patch| word(patch.ground.resistance().source)),
    Column::plain("person_visits_365_days", |patch| patch.series.feet().person_visits.into()),
    Column::plain("visits_365_days_without_people", |patch| {
        patch.series.feet().visits_without_people.into()
    }),
    Column::plain("feet_part_of_limit", |patch| optional(patch.series.feet().part_of_limit)),
];

fn day_columns<'a>() -> [Column<PatchDay<'a>>; 17] {
    [
        Column::plain("day", |row| word(row.day.day)),
        Column::amount("standing", |row| row.crop(|crop| crop.standing)),
        Column::amount("low", |row| row.crop(|crop| crop.low)),
        Column::amount("high", |row| row.crop(|crop| crop.high)),
        Column::amount("full", |row| row.crop(|crop| crop.full)),
        Column::amount("share_limit", |row| row.crop(|crop| crop.share_limit)),
        Column::amount("cut", |row| Some(row.day.cut)),
        Column::amount("allowed", |row| row.day.take?.allowed),
        Column::plain("part_of_allowed", |row| optional(row.day.part_of_allowed())),
        Column::plain("over", |row| row.day.is_over().into()),
        Column::plain("decided_by", |row| {
            optional_word(row.day.take.and_then(|take| take.decided_by))
        }),
        Column::plain("depletion", |row| {
            row.crop(|crop| crop.depletion).map_or(Value::Null, number)
        }),
        Column::plain("surveyed", |row| row.day.surveyed.into()),
        Column::plain("survey_holds", |row| {
            row.day.crop.map_or(Value::Null, |crop| crop.survey_holds.into())
        }),
        Column::plain("person_visits_365_days", |row| row.day.feet.person_visits.into()),
        Column::plain("passes_per_100m2", |row| optional(row.day.feet.passes_per_100m2)),
        Column::plain("feet_part_of_limit", |row| optional(row.day.feet.part_of_limit)),
    ]
}

fn place_columns<'a>() -> [Column<PatchDay<'a>>; 4] {
    [
        Column::plain("season", |row| word(row.patch.series.season)),
        Column::plain("site", |row| word(row.patch.patch.site())),
        Column::plain("patch", |row| word(row.patch.patch.patch())),
        Column::plain("crop", |row| word(&row.patch.crop.name)),
    ]
}

/// Each patch with what its season comes to and its days, modelled or not. A cut where nothing
/// was allowed has no part of it (null) and is counted in `cuts_over_allowed`. Feet are
/// those of the 365 days up to each day; a part of 1 is the limit.
pub fn pressure_json(seasons: &[PatchSeason], season: Season) -> String {
    let patches: Vec<String> = seasons.iter().map(pressure_json_of).collect();
    let [start, end] = pressure_json_around(season);
    start + &patches.join(",") + &end
}

/// What stands before the first patch and behind the last; between two stands a comma.
pub fn pressure_json_around(season: Season) -> [String; 2] {
    let document = json!({
        "schema": PRESSURE_SCHEMA,
        "season": season.to_string(),
        "first_day": season.first_day().to_string(),
        "last_day": season.last_day().to_string(),
        "patches": [],
    });
    // Not laid out for people: a season of many patches is long.
    const END: &str = "]}";
    let mut start = document.to_string();
    start.truncate(start.len() - END.len());
    [start, format!("{END}\n")]
}

/// One patch.
pub fn pressure_json_of(patch: &PatchSeason) -> String {
    Value::Object(patch_with_days(patch)).to_string()
}

/// One line a patch and day.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn pressure_csv(seasons: &[PatchSeason]) -> Result<String, csv::Error> {
    let columns: Vec<Column<PatchDay>> = place_columns().into_iter().chain(day_columns()).collect();
    let rows: Vec<PatchDay> = seasons.iter().flat_map(rows).collect();
    csv(&columns, &rows)
}

/// The same without the line of headings, for a part that follows another.
///
/// # Errors
/// As [`pressure_csv`].
pub fn pressure_csv_more(seasons: &[PatchSeason]) -> Result<String, csv::Error> {
    let mut text = pressure_csv(seasons)?;
    let headings = text.find('\n').map_or(text.len(), |end| end + 1);
    text.drain(..headings);
    Ok(text)
}

fn patch_with_days(patch: &PatchSeason) -> Map<String, Value> {
    let mut fields = object(&SUMMARY, patch);
    let columns = day_columns();
    let days: Vec<Value> = rows(patch).map(|row| object(&columns, &row).into()).collect();
    fields.insert("days".to_owned(), days.into());
    fields
}

fn rows(patch: &PatchSeason) -> impl Iterator<Item = PatchDay<'_>> {
    patch.series.days.iter().map(move |day| PatchDay { patch, day })
}
