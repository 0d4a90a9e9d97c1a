//! The tables beside the page: patches and visits as CSV, patches as GeoJSON
//! (`stintbook.season/1`).

use serde_json::{Map, Value, json};

use crate::assess::DayRuling;
use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::pressure::ModelledCrop;
use crate::records::Footprint;
use crate::report::column::{
    Column, Measured, csv, document, number, object, optional, optional_word, word,
};
use crate::report::trend_name;
use crate::units::Measure;

/// The name and version of what [`season_geojson`] writes.
pub const SEASON_SCHEMA: &str = "stintbook.season/1";

impl Measured for PatchReport<'_> {
    fn measure(&self) -> Measure {
        self.crop().measure
    }
}

/// A day's cut with its patch.
struct PatchCut<'r, 'a> {
    patch: &'r PatchReport<'a>,
    cut: &'r DayRuling,
}

impl Measured for PatchCut<'_, '_> {
    fn measure(&self) -> Measure {
        self.patch.measure()
    }
}

fn now(patch: &PatchReport, of: fn(&ModelledCrop) -> f64) -> Option<f64> {
    patch.season.series.latest().map(|(_, crop)| of(&crop))
}

fn patch_columns<'a>() -> [Column<PatchReport<'a>>; 22] {
    [
        Column::plain("number", |patch| patch.number.into()),
        Column::plain("site", |patch| word(patch.patch().name.site())),
        Column::plain("patch", |patch| word(patch.name())),
        Column::plain("crop", |patch| word(&patch.crop().name)),
        Column::amount("standing", |patch| now(patch, |crop| crop.standing)),
        Column::amount("low", |patch| now(patch, |crop| crop.low)),
        Column::amount("high", |patch| now(patch, |crop| crop.high)),
        Column::amount("full", |patch| now(patch, |crop| crop.full)),
        Column::plain("below_full", |patch| optional(now(patch, |crop| crop.depletion))),
        Column::amount("allowed", |patch| patch.allowed().filter(|_| !patch.cut_days().is_empty())),
        Column::amount("taken", |patch| Some(patch.taken())),
        Column::plain("visits", |patch| patch.season.visits.into()),
        Column::plain("person_visits", |patch| patch.season.person_visits.into()),
        Column::plain("visits_without_people", |patch| patch.season.visits_without_people.into()),
        Column::plain("passes_per_100m2", |patch| optional(patch.feet().passes_per_100m2)),
        Column::plain("feet_part_of_limit", |patch| optional(patch.feet().part_of_limit)),
        Column::plain("hardest_cut_of_allowed", |patch| {
            optional(patch.season.hardest().map(|(_, part)| part))
        }),
        Column::plain("hardest_cut_on", |patch| {
            optional_word(patch.season.hardest().map(|(cut, _)| cut.day))
        }),
        Column::plain("cuts_over_allowed", |patch| patch.overruns().count().into()),
        Column::plain("trend", |patch| word(trend_name(&patch.evidence.trend))),
        Column::plain("yearly_change", |patch| {
            optional(patch.evidence.trend.change().map(|change| change.best))
        }),
        Column::plain("known_until", |patch| {
            optional_word(patch.season.series.latest().map(|(day, _)| day))
        }),
    ]
}

fn visit_columns<'r, 'a>() -> [Column<PatchCut<'r, 'a>>; 9] {
    [
        Column::plain("day", |row| word(row.cut.day)),
        Column::plain("number", |row| row.patch.number.into()),
        Column::plain("patch", |row| word(row.patch.name())),
        Column::plain("crop", |row| word(&row.patch.crop().name)),
        Column::amount("taken", |row| Some(row.cut.take.taken)),
        Column::amount("allowed", |row| row.cut.take.allowed),
        Column::plain("decided_by", |row| optional_word(row.cut.take.decided_by)),
        Column::plain("over", |row| row.cut.take.is_over().into()),
        Column::plain("people", |row| row.cut.people.into()),
    ]
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn season_patches_csv(report: &SeasonReport) -> Result<String, csv::Error> {
    csv(&patch_columns(), &report.patches)
}

/// One line a patch and day with a cut, by day.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn season_visits_csv(report: &SeasonReport) -> Result<String, csv::Error> {
    let mut rows: Vec<PatchCut> = report
        .patches
        .iter()
        .flat_map(|patch| patch.cut_days().iter().map(move |cut| PatchCut { patch, cut }))
        .collect();
    rows.sort_by_key(|row| (row.cut.day, row.patch.number));
    csv(&visit_columns(), &rows)
}

/// The patches in their own shapes (hedges as lines with `width_m`, round stands as points with
/// `radius_m`, counted plants as points with `plants`), with the season's figures.
pub fn season_geojson(report: &SeasonReport) -> String {
    let features: Vec<Value> = report.patches.iter().map(feature).collect();
    document(&json!({
        "type": "FeatureCollection",
        "schema": SEASON_SCHEMA,
        "site": report.site_name().as_str(),
        "season": report.span.season.to_string(),
        "from": report.span.from().to_string(),
        "to": report.span.to.to_string(),
        "fingerprint": report.fingerprint,
        "features": features,
    }))
}

fn feature(patch: &PatchReport) -> Value {
    let (geometry, size) = shape(&patch.patch().footprint);
    let mut properties: Map<String, Value> = object(&patch_columns(), patch);
    properties.extend(size.map(|(name, value)| (name.to_owned(), value)));
    json!({ "type": "Feature", "geometry": geometry, "properties": properties })
}

/// The geometry, and what it lacks to be the whole shape.
fn shape(footprint: &Footprint) -> (geojson::Geometry, Option<(&'static str, Value)>) {
    let (value, size) = match footprint {
        Footprint::Area(polygons) => (geojson::GeometryValue::from(polygons), None),
        Footprint::Strip { line, width } => {
            (geojson::GeometryValue::from(line), Some(("width_m", number(width.0))))
        }
        Footprint::Disc { centre, radius } => {
            (geojson::GeometryValue::from(centre), Some(("radius_m", number(radius.0))))
        }
        Footprint::Plants { centre, count } => {
            (geojson::GeometryValue::from(centre), Some(("plants", (*count).into())))
        }
    };
    (geojson::Geometry::new(value), size)
}
