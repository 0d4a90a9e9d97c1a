//! The week's answer for machines: JSON (`stintbook.week/1`) and CSV; as a map it is in
//! `day_map`.

use std::borrow::Borrow;

use super::reasons::because;
use geo::Point;
use jiff::civil::Date;
use serde_json::json;

use super::cautions;
use super::column::{
    Column, Columned, Line, Lines, Measured, csv_headings, csv_lines, for_a_spreadsheet,
};
use super::counting::{GoesBy, goes_by_word};
use crate::assess::{Assessment, CropTotal, WeekAnswer};
use crate::json::{Declared, Degrees, Flat, Form, Geometry, InUnit, Shape, object, written};
use crate::regrowth::Count;
use crate::rules::{Ceiling, Ruling, Verdict};
use crate::units::Measure;

/// The name and version of what the week's data formats write.
pub const WEEK_SCHEMA: &str = "stintbook.week/1";

/// What is said of each patch, in every format.
pub(super) const COLUMNS: [Column<Assessment>; 23] = [
    Column::text("id", |patch| patch.id.to_string()),
    Column::text("short_id", |patch| patch.id.short()),
    Column::text("site", |patch| patch.patch.site().as_str().to_owned()),
    Column::text("patch", |patch| patch.patch.patch().to_owned()),
    Column::text("crop", |patch| (*patch.crop.name).to_owned()),
    Column::coded::<Verdict>("verdict", |patch| patch.ruling.verdict.name()),
    Column::amount("most", |patch| patch.ruling.most),
    Column::yes("no_upper_limit", |patch| patch.ruling.most.is_none()),
    Column::maybe_count("one_in", |patch| patch.ruling.one_in),
    Column::maybe_coded::<GoesBy>("goes_by", |patch| {
        goes_by_word(&patch.crop, patch.ruling.most, patch.ruling.one_in).map(GoesBy::name)
    }),
    Column::maybe_text("binding_rule", |patch| Some(binding(&patch.ruling)?.rule.to_owned())),
    Column::maybe_text("reason", |patch| Some(because(&binding(&patch.ruling)?.reason))),
    Column::maybe_day("opens_on", |patch| Some(patch.opening?.day)),
    Column::maybe_yes("opens_needs_survey", |patch| Some(patch.opening?.needs_survey)),
    Column::maybe_yes("opens_needs_permission", |patch| Some(patch.opening?.needs_permission)),
    Column::maybe_day("closes_on", |patch| Some(patch.closing?.day)),
    Column::yes("ask_first", |patch| patch.ask_first),
    Column::amount("standing", |patch| Some(patch.state?.standing)),
    Column::amount("standing_low", |patch| Some(patch.state?.low())),
    Column::maybe_number("distance_m", |patch| Some(patch.distance?.0)),
    Column::degrees("lon", |patch| Some(Degrees(patch.centre?.x()))),
    Column::degrees("lat", |patch| Some(Degrees(patch.centre?.y()))),
    Column::maybe_text("site_cautions", |patch| {
        patch.site_cautions.as_ref().map(ToString::to_string)
    }),
];

impl Measured for Assessment {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

impl Columned for Assessment {
    fn columns() -> Vec<Column<Self>> {
        COLUMNS.into()
    }
}

object! {
    /// The whole answer.
    struct WeekData<'a> {
        on: Date,
        /// The ISO week of that day.
        week: String,
        patches: Vec<PatchData<'a>>,
        /// The sum of what is open, crop by crop.
        totals: Vec<Total<'a>>,
        cautions: Vec<String>,
    }

    /// A patch and all that limits it.
    pub(super) struct PatchData<'a> {
        of: Flat<Line<'a, Assessment>>,
        /// What each rule leaves; the least of it decides.
        ceilings: Vec<CeilingData<'a>>,
    }

    /// What a rule leaves.
    pub(super) struct CeilingData<'a> {
        rule: &'a str,
        most: InUnit<Option<f64>>,
        one_in: Option<u32>,
        reason: String,
    }

    struct Total<'a> {
        crop: &'a str,
        open_patches: usize,
        most: InUnit<Option<f64>>,
        no_upper_limit: bool,
    }
}

/// Every patch with its ceilings, and totals by crop.
pub fn week_json(answer: &WeekAnswer) -> String {
    let data = WeekData {
        on: answer.on,
        week: answer.week.to_string(),
        patches: answer.patches.iter().map(PatchData::of).collect(),
        totals: answer.totals.iter().map(total).collect(),
        cautions: cautions_of(answer),
    };
    written(WEEK_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (WEEK_SCHEMA, Shape::of_version::<WeekData>(WEEK_SCHEMA))
}

/// One line a patch; its ceilings in one cell, `rule most` with `; ` between them.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn week_csv(answer: &WeekAnswer) -> Result<String, csv::Error> {
    Ok(week_csv_headings()? + week_csv_lines(&answer.patches)?.together())
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
pub fn week_csv_lines(
    patches: impl IntoIterator<Item: Borrow<Assessment>>,
) -> Result<Lines, csv::Error> {
    csv_lines(&csv_columns(), patches)
}

fn csv_columns() -> Vec<Column<Assessment>> {
    const CEILINGS: Column<Assessment> =
        Column::text("ceilings", |patch| ceilings_in_a_cell(&patch.ruling));
    for_a_spreadsheet(COLUMNS).chain([CEILINGS]).collect()
}

pub(super) fn binding(ruling: &Ruling) -> Option<&Ceiling> {
    ruling.ceilings.get(ruling.binding?)
}

impl<'a> PatchData<'a> {
    pub(super) fn of(patch: &'a Assessment) -> Self {
        Self { of: Flat(Line(patch)), ceilings: ceilings(patch, |most| most).collect() }
    }
}

/// Each rule's reason, and its limit as `rounded`.
pub(super) fn ceilings<'a>(
    patch: &'a Assessment,
    rounded: impl Fn(f64) -> f64,
) -> impl Iterator<Item = CeilingData<'a>> {
    patch.ruling.ceilings.iter().map(move |ceiling: &Ceiling| CeilingData {
        rule: ceiling.rule,
        most: InUnit(patch.measure(), ceiling.most.map(&rounded)),
        one_in: ceiling.count.and_then(Count::one_in),
        reason: because(&ceiling.reason),
    })
}

fn ceilings_in_a_cell(ruling: &Ruling) -> String {
    let limits = ruling.ceilings.iter().filter_map(|ceiling| Some((ceiling.rule, ceiling.most?)));
    let cells: Vec<String> =
        limits.map(|(rule, most)| format!("{rule} {}", most.value())).collect();
    cells.join("; ")
}

fn total(total: &CropTotal) -> Total<'_> {
    Total {
        crop: &total.crop.name,
        open_patches: total.open_patches,
        most: InUnit(total.crop.measure, total.most),
        no_upper_limit: total.most.is_none(),
    }
}

pub(super) fn point(centre: Point) -> Geometry {
    let coordinates = [Degrees(centre.x()), Degrees(centre.y())].value();
    Geometry(json!({ "type": "Point", "coordinates": coordinates }))
}

fn cautions_of(answer: &WeekAnswer) -> Vec<String> {
    cautions::sentences(answer.patches.iter().map(|patch| &patch.crop))
}
