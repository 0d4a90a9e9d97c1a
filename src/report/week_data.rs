//! The week's answer for machines: JSON (`stintbook.week/1`) and CSV; as a map it is in
//! `day_map`.

use geo::Point;
use serde_json::{Map, Value, json};

use super::cautions;
use super::column::{
    Column, Measured, csv_headings, csv_lines, document, for_a_spreadsheet, in_unit, number,
    object, optional, optional_word, word,
};
use super::counting::goes_by_word;
use crate::assess::{Assessment, CropTotal, WeekAnswer};
use crate::regrowth::Count;
use crate::rules::{Ceiling, Ruling};
use crate::units::Measure;

/// The name and version of what the week's data formats write.
pub const WEEK_SCHEMA: &str = "stintbook.week/1";

/// What is said of each patch, in every format.
pub(super) const COLUMNS: [Column<Assessment>; 23] = [
    Column::plain("id", |patch| word(patch.id)),
    Column::plain("short_id", |patch| word(patch.id.short())),
    Column::plain("site", |patch| word(patch.patch.site())),
    Column::plain("patch", |patch| word(patch.patch.patch())),
    Column::plain("crop", |patch| word(&patch.crop.name)),
    Column::plain("verdict", |patch| word(patch.ruling.verdict)),
    Column::amount("most", |patch| patch.ruling.most),
    Column::plain("no_upper_limit", |patch| patch.ruling.most.is_none().into()),
    Column::plain("one_in", |patch| patch.ruling.one_in.into()),
    Column::plain("goes_by", |patch| {
        optional_word(goes_by_word(&patch.crop, patch.ruling.most, patch.ruling.one_in))
    }),
    Column::plain("binding_rule", |patch| optional_word(binding(&patch.ruling).map(|it| it.rule))),
    Column::plain("reason", |patch| optional_word(binding(&patch.ruling).map(|it| &it.reason))),
    Column::plain("opens_on", |patch| optional_word(patch.opening.map(|opening| opening.day))),
    Column::plain("opens_needs_survey", |patch| {
        patch.opening.map(|opening| opening.needs_survey).into()
    }),
    Column::plain("opens_needs_permission", |patch| {
        patch.opening.map(|opening| opening.needs_permission).into()
    }),
    Column::plain("closes_on", |patch| optional_word(patch.closing.map(|closing| closing.day))),
    Column::plain("ask_first", |patch| patch.ask_first.into()),
    Column::amount("standing", |patch| patch.state.map(|state| state.standing)),
    Column::amount("standing_low", |patch| patch.state.map(|state| state.low())),
    Column::plain("distance_m", |patch| optional(patch.distance.map(|away| away.0))),
    Column::plain("lon", |patch| degrees(patch.centre.map(|centre| centre.x()))),
    Column::plain("lat", |patch| degrees(patch.centre.map(|centre| centre.y()))),
    Column::plain("site_cautions", |patch| optional_word(patch.site_cautions.as_ref())),
];

impl Measured for Assessment {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

/// Every patch with its ceilings, and totals by crop.
pub fn week_json(answer: &WeekAnswer) -> String {
    let patches: Vec<Value> = answer.patches.iter().map(patch_with_ceilings).collect();
    let totals: Vec<Value> = answer.totals.iter().map(total).collect();
    document(&json!({
        "schema": WEEK_SCHEMA,
        "on": answer.on.to_string(),
        "week": answer.week.to_string(),
        "patches": patches,
        "totals": totals,
        "cautions": cautions_of(answer),
    }))
}

/// One line a patch; its ceilings in one cell, `rule most` with `; ` between them.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn week_csv(answer: &WeekAnswer) -> Result<String, csv::Error> {
    Ok(week_csv_headings()? + &week_csv_lines(&answer.patches)?.concat())
}

/// Its first line.
///
/// # Errors
/// As [`week_csv`].
pub fn week_csv_headings() -> Result<String, csv::Error> {
    csv_headings(&csv_columns())
}

/// The line of each patch.
///
/// # Errors
/// As [`week_csv`].
pub fn week_csv_lines(patches: &[Assessment]) -> Result<Vec<String>, csv::Error> {
    csv_lines(&csv_columns(), patches)
}

fn csv_columns() -> Vec<Column<Assessment>> {
    const CEILINGS: Column<Assessment> =
        Column::plain("ceilings", |patch| word(ceilings_in_a_cell(&patch.ruling)));
    for_a_spreadsheet(COLUMNS).chain([CEILINGS]).collect()
}

pub(super) fn binding(ruling: &Ruling) -> Option<&Ceiling> {
    ruling.ceilings.get(ruling.binding?)
}

pub(super) fn patch_with_ceilings(patch: &Assessment) -> Value {
    Value::Object(with_ceilings(patch, object(&COLUMNS, patch), optional))
}

/// Each rule's reason behind the other fields, and its limit as `written`.
pub(super) fn with_ceilings(
    patch: &Assessment,
    mut fields: Map<String, Value>,
    written: impl Fn(Option<f64>) -> Value,
) -> Map<String, Value> {
    let ceiling = |ceiling: &Ceiling| {
        json!({
            "rule": ceiling.rule,
            (in_unit("most", patch.measure())): written(ceiling.most),
            "one_in": ceiling.count.and_then(Count::one_in),
            "reason": ceiling.reason,
        })
    };
    fields.insert("ceilings".to_owned(), patch.ruling.ceilings.iter().map(ceiling).collect());
    fields
}

fn ceilings_in_a_cell(ruling: &Ruling) -> String {
    let limits = ruling.ceilings.iter().filter_map(|ceiling| Some((ceiling.rule, ceiling.most?)));
    let cells: Vec<String> =
        limits.map(|(rule, most)| format!("{rule} {}", number(most))).collect();
    cells.join("; ")
}

fn total(total: &CropTotal) -> Value {
    json!({
        "crop": &*total.crop.name,
        "open_patches": total.open_patches,
        (in_unit("most", total.crop.measure)): optional(total.most),
        "no_upper_limit": total.most.is_none(),
    })
}

pub(super) fn point(centre: Point) -> Value {
    json!({ "type": "Point", "coordinates": [degrees(Some(centre.x())), degrees(Some(centre.y()))] })
}

/// Seven decimals: a centimetre.
pub(super) fn degrees(value: Option<f64>) -> Value {
    value.map_or(Value::Null, |degrees| ((degrees * 1e7).round() / 1e7).into())
}

fn cautions_of(answer: &WeekAnswer) -> Vec<String> {
    cautions::sentences(answer.patches.iter().map(|patch| &patch.crop))
}
