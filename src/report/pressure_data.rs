//! The pressure of a season for machines: JSON (`stintbook.pressure/3`) and CSV.

use jiff::civil::Date;

use super::column::{Column, Columned, Line, Measured, csv};
use super::reasons::measured_on;
use crate::assess::PatchSeason;
use crate::json::{Declared, Flat, Form, Shape, document, object};
use crate::pressure::{ModelledCrop, PressureDay};
use crate::records::Underfoot;
use crate::units::{Measure, Season};

/// The name and version of what [`pressure_json`] writes.
pub const PRESSURE_SCHEMA: &str = "stintbook.pressure/3";

/// A day with the patch it is of.
#[derive(Debug)]
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
    Column::text("site", |patch| patch.patch.site().to_string()),
    Column::text("patch", |patch| patch.patch.patch().to_owned()),
    Column::text("crop", |patch| patch.crop.name.to_string()),
    Column::amount("taken", |patch| Some(patch.series.total_cut())),
    Column::count("visits", |patch| patch.visits),
    Column::count("person_visits", |patch| patch.person_visits),
    Column::count("visits_without_people", |patch| patch.visits_without_people),
    Column::maybe_number("hardest_cut_of_allowed", |patch| Some(patch.hardest()?.1)),
    Column::maybe_day("hardest_cut_on", |patch| Some(patch.hardest()?.0.day)),
    Column::whole("cuts_over_allowed", |patch| patch.overruns().count()),
    Column::maybe_number("depletion_now", |patch| Some(patch.series.latest()?.1.depletion)),
    Column::maybe_number("depletion_deepest", |patch| patch.series.deepest()),
    Column::maybe_day("known_until", |patch| Some(patch.series.latest()?.0)),
    Column::maybe_coded::<Underfoot>("underfoot", |patch| {
        patch.ground.underfoot.map(Underfoot::name)
    }),
    Column::number("trodden_m2", |patch| patch.ground.area.0),
    Column::text("trodden_m2_counted_on", |patch| measured_on(patch.ground.measured_on).to_owned()),
    Column::maybe_number("passes_that_halve_cover", |patch| patch.ground.resistance().passes),
    Column::text("passes_source", |patch| patch.ground.resistance().source.to_owned()),
    Column::total("person_visits_365_days", |patch| patch.series.feet().person_visits),
    Column::count("visits_365_days_without_people", |patch| {
        patch.series.feet().visits_without_people
    }),
    Column::maybe_number("feet_part_of_limit", |patch| patch.series.feet().part_of_limit),
];

fn day_columns<'a>() -> [Column<PatchDay<'a>>; 17] {
    [
        Column::day("day", |row| row.day.day),
        Column::amount("standing", |row| row.crop(|crop| crop.standing)),
        Column::amount("low", |row| row.crop(|crop| crop.low)),
        Column::amount("high", |row| row.crop(|crop| crop.high)),
        Column::amount("full", |row| row.crop(|crop| crop.full)),
        Column::amount("share_limit", |row| row.crop(|crop| crop.share_limit)),
        Column::amount("cut", |row| Some(row.day.cut)),
        Column::amount("allowed", |row| row.day.take?.allowed),
        Column::maybe_number("part_of_allowed", |row| row.day.part_of_allowed()),
        Column::yes("over", |row| row.day.is_over()),
        Column::maybe_text("decided_by", |row| row.day.take?.decided_by.map(str::to_owned)),
        Column::maybe_number("depletion", |row| row.crop(|crop| crop.depletion)),
        Column::yes("surveyed", |row| row.day.surveyed),
        Column::maybe_yes("survey_holds", |row| Some(row.day.crop?.survey_holds)),
        Column::total("person_visits_365_days", |row| row.day.feet.person_visits),
        Column::maybe_number("passes_per_100m2", |row| row.day.feet.passes_per_100m2),
        Column::maybe_number("feet_part_of_limit", |row| row.day.feet.part_of_limit),
    ]
}

fn place_columns<'a>() -> [Column<PatchDay<'a>>; 4] {
    [
        Column::text("season", |row| row.patch.series.season.to_string()),
        Column::text("site", |row| row.patch.patch.site().to_string()),
        Column::text("patch", |row| row.patch.patch.patch().to_owned()),
        Column::text("crop", |row| row.patch.crop.name.to_string()),
    ]
}

impl Columned for PatchSeason {
    fn columns() -> Vec<Column<Self>> {
        SUMMARY.into()
    }
}

impl Columned for PatchDay<'_> {
    fn columns() -> Vec<Column<Self>> {
        day_columns().into()
    }
}

object! {
    /// The whole answer.
    struct PressureData<'a> {
        season: String,
        first_day: Date,
        last_day: Date,
        patches: Vec<PatchData<'a>>,
    }

    struct PatchData<'a> {
        of: Flat<Line<'a, PatchSeason>>,
        /// Modelled or not.
        days: Vec<Line<'a, PatchDay<'a>>>,
    }
}

pub(super) fn declared() -> Declared {
    (PRESSURE_SCHEMA, Shape::of_version::<PressureData>(PRESSURE_SCHEMA))
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
    let data = PressureData {
        season: season.to_string(),
        first_day: season.first_day(),
        last_day: season.last_day(),
        patches: Vec::new(),
    };
    let document = document(PRESSURE_SCHEMA, data);
    // Not laid out for people: a season of many patches is long.
    const END: &str = "]}";
    let mut start = document.to_string();
    start.truncate(start.len() - END.len());
    [start, format!("{END}\n")]
}

/// One patch.
pub fn pressure_json_of(patch: &PatchSeason) -> String {
    let days: Vec<PatchDay> = rows(patch).collect();
    PatchData { of: Flat(Line(patch)), days: days.iter().map(Line).collect() }.value().to_string()
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

fn rows(patch: &PatchSeason) -> impl Iterator<Item = PatchDay<'_>> {
    patch.series.days.iter().map(move |day| PatchDay { patch, day })
}
