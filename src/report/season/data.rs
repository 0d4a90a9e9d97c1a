//! The tables beside the page: patches and visits as CSV, patches as GeoJSON
//! (`stintbook.season/1`).

use jiff::civil::Date;

use crate::assess::DayRuling;
use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::json::{
    Declared, Feature, FeatureCollection, Flat, Geometry, Perhaps, Shape, object, written,
};
use crate::pressure::ModelledCrop;
use crate::records::Footprint;
use crate::report::column::{Column, Columned, Line, Measured, csv};
use crate::report::evidence::TrendWord;
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
        Column::whole("number", |patch| patch.number),
        Column::text("site", |patch| patch.patch().name.site().to_string()),
        Column::text("patch", |patch| patch.name().to_owned()),
        Column::text("crop", |patch| patch.crop().name.to_string()),
        Column::amount("standing", |patch| now(patch, |crop| crop.standing)),
        Column::amount("low", |patch| now(patch, |crop| crop.low)),
        Column::amount("high", |patch| now(patch, |crop| crop.high)),
        Column::amount("full", |patch| now(patch, |crop| crop.full)),
        Column::maybe_number("below_full", |patch| now(patch, |crop| crop.depletion)),
        Column::amount("allowed", |patch| patch.allowed().filter(|_| !patch.cut_days().is_empty())),
        Column::amount("taken", |patch| Some(patch.taken())),
        Column::count("visits", |patch| patch.season.visits),
        Column::count("person_visits", |patch| patch.season.person_visits),
        Column::count("visits_without_people", |patch| patch.season.visits_without_people),
        Column::maybe_number("passes_per_100m2", |patch| patch.feet().passes_per_100m2),
        Column::maybe_number("feet_part_of_limit", |patch| patch.feet().part_of_limit),
        Column::maybe_number("hardest_cut_of_allowed", |patch| Some(patch.season.hardest()?.1)),
        Column::maybe_day("hardest_cut_on", |patch| Some(patch.season.hardest()?.0.day)),
        Column::whole("cuts_over_allowed", |patch| patch.overruns().count()),
        Column::coded::<TrendWord>("trend", |patch| trend_name(&patch.evidence.trend)),
        Column::maybe_number("yearly_change", |patch| Some(patch.evidence.trend.change()?.best)),
        Column::maybe_day("known_until", |patch| Some(patch.season.series.latest()?.0)),
    ]
}

fn visit_columns<'r, 'a>() -> [Column<PatchCut<'r, 'a>>; 9] {
    [
        Column::day("day", |row| row.cut.day),
        Column::whole("number", |row| row.patch.number),
        Column::text("patch", |row| row.patch.name().to_owned()),
        Column::text("crop", |row| row.patch.crop().name.to_string()),
        Column::amount("taken", |row| Some(row.cut.take.taken)),
        Column::amount("allowed", |row| row.cut.take.allowed),
        Column::maybe_text("decided_by", |row| row.cut.take.decided_by.map(str::to_owned)),
        Column::yes("over", |row| row.cut.take.is_over()),
        Column::maybe_count("people", |row| row.cut.people),
    ]
}

impl Columned for PatchReport<'_> {
    fn columns() -> Vec<Column<Self>> {
        patch_columns().into()
    }
}

object! {
    /// The whole answer as GeoJSON.
    struct SeasonData<'a> {
        r#type: FeatureCollection,
        site: String,
        season: String,
        from: Date,
        /// The last day that is told of.
        to: Date,
        /// Of the facts behind it.
        fingerprint: String,
        features: Vec<PatchFeature<'a>>,
    }

    struct PatchFeature<'a> {
        r#type: Feature,
        geometry: Geometry,
        properties: PatchProperties<'a>,
    }

    struct PatchProperties<'a> {
        of: Flat<Line<'a, PatchReport<'a>>>,
        /// Of a strip that is drawn as a line.
        width_m: Perhaps<f64>,
        /// Of a round stand that is drawn as a point.
        radius_m: Perhaps<f64>,
        /// Of counted plants.
        plants: Perhaps<u32>,
    }
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
    let data = SeasonData {
        r#type: FeatureCollection,
        site: report.site_name().to_string(),
        season: report.span.season.to_string(),
        from: report.span.from(),
        to: report.span.to,
        fingerprint: report.fingerprint.clone(),
        features: report.patches.iter().map(feature).collect(),
    };
    written(SEASON_SCHEMA, data)
}

pub(in crate::report) fn declared() -> Declared {
    (SEASON_SCHEMA, Shape::of_version::<SeasonData>(SEASON_SCHEMA))
}

fn feature<'a>(patch: &'a PatchReport<'a>) -> PatchFeature<'a> {
    let mut properties = PatchProperties {
        of: Flat(Line(patch)),
        width_m: Perhaps(None),
        radius_m: Perhaps(None),
        plants: Perhaps(None),
    };
    let shape = match &patch.patch().footprint {
        Footprint::Area(polygons) => geojson::GeometryValue::from(polygons),
        Footprint::Strip { line, width } => {
            properties.width_m = Perhaps(Some(width.0));
            geojson::GeometryValue::from(line)
        }
        Footprint::Disc { centre, radius } => {
            properties.radius_m = Perhaps(Some(radius.0));
            geojson::GeometryValue::from(centre)
        }
        Footprint::Plants { centre, count } => {
            properties.plants = Perhaps(Some(*count));
            geojson::GeometryValue::from(centre)
        }
    };
    PatchFeature { r#type: Feature, geometry: shape.into(), properties }
}
