//! A plan of an outing for machines: JSON (`stintbook.walk-plan/2`) and GeoJSON.

use super::reasons::because;
use geo::Point;
use jiff::civil::Date;
use serde_json::json;

use super::cautions;
use super::column::{Column, Columned, Line, Measured};
use super::counting::{GoesBy, goes_by_word};
use super::lacking;
use super::week_data::point;
use crate::assess::{First, PlannedStop, Shortage, WalkPlan, WantMet};
use crate::json::{
    Declared, Degrees, Feature, FeatureCollection, Flat, Form, Geometry, InUnit, Perhaps, Shape,
    map_or_not, object, written,
};
use crate::units::Measure;
use crate::walk::{Gap, Substitute};

/// The name and version of what [`walk_plan_json`] and [`walk_plan_geojson`] write.
pub const WALK_PLAN_SCHEMA: &str = "stintbook.walk-plan/2";

const STOP_COLUMNS: [Column<PlannedStop>; 13] = [
    Column::text("id", |stop| stop.found.id.to_string()),
    Column::text("site", |stop| stop.found.patch.site().to_string()),
    Column::text("patch", |stop| stop.found.patch.patch().to_owned()),
    Column::text("crop", |stop| stop.found.crop.name.to_string()),
    Column::amount("quota", |stop| Some(stop.quota)),
    Column::amount("most", |stop| stop.found.ruling.most),
    Column::maybe_count("one_in", |stop| stop.found.one_in_for(stop.quota)),
    Column::maybe_coded::<GoesBy>("goes_by", |stop| {
        let one_in = stop.found.one_in_for(stop.quota);
        goes_by_word(&stop.found.crop, Some(stop.quota), one_in).map(GoesBy::name)
    }),
    Column::text("reason", |stop| because(stop.found.ruling.why())),
    Column::yes("ask_first", |stop| stop.found.ask_first),
    Column::number("leg_m", |stop| stop.leg.0),
    Column::maybe_number("off_route_m", |stop| Some(stop.off_route?.0)),
    Column::maybe_text("site_cautions", |stop| {
        stop.found.site_cautions.as_ref().map(ToString::to_string)
    }),
];

impl Columned for PlannedStop {
    fn columns() -> Vec<Column<Self>> {
        STOP_COLUMNS.into()
    }
}

impl Measured for PlannedStop {
    fn measure(&self) -> Measure {
        self.found.crop.measure
    }
}

object! {
    /// The whole answer as JSON.
    struct WalkPlanData<'a> {
        on: Date,
        people: u32,
        length_m: f64,
        /// Of any patch's limit.
        highest_share: f64,
        gap: GapData,
        stops: Vec<StopData<'a>>,
        wants: Vec<WantData<'a>>,
        /// Patches that have something of it.
        too_far: Vec<String>,
        without_limit: Vec<String>,
        cautions: Vec<String>,
    }

    /// How much better another plan may be at most.
    struct GapData {
        met: f64,
        highest_share: f64,
        walking: f64,
    }

    struct StopData<'a> {
        of: Flat<Line<'a, PlannedStop>>,
        lon: Option<Degrees>,
        lat: Option<Degrees>,
    }

    struct WantData<'a> {
        what: &'a str,
        wanted: InUnit<f64>,
        got: InUnit<f64>,
        missing: InUnit<f64>,
        crops: Vec<String>,
        /// From which day on the patches together bear it.
        enough_from: Option<Date>,
        /// In a sentence.
        shortage: Option<String>,
        substitutes: Vec<SubstituteData<'a>>,
    }

    struct SubstituteData<'a> {
        crop: &'a str,
        could_give: InUnit<Option<f64>>,
        no_upper_limit: bool,
    }

    /// The whole answer as GeoJSON.
    struct WalkPlanMap<'a> {
        r#type: FeatureCollection,
        on: Date,
        cautions: Vec<String>,
        features: Vec<StopOrWay<'a>>,
    }

    /// A stop, or the way as a line.
    struct StopOrWay<'a> {
        r#type: Feature,
        /// Of a stop.
        id: Perhaps<String>,
        geometry: Option<Geometry>,
        properties: StopOrWayProperties<'a>,
    }

    struct StopOrWayProperties<'a> {
        stop: Perhaps<Flat<Line<'a, PlannedStop>>>,
        /// Of the way.
        length_m: Perhaps<f64>,
    }
}

/// Stops, wants and how good the plan is.
pub fn walk_plan_json(plan: &WalkPlan) -> String {
    let data = WalkPlanData {
        on: plan.day,
        people: plan.people,
        length_m: plan.length.0,
        highest_share: plan.highest_share,
        gap: GapData {
            met: rounded_up(plan.gap.met),
            highest_share: rounded_up(plan.gap.share),
            walking: rounded_up(plan.gap.walking),
        },
        stops: plan.stops.iter().map(stop).collect(),
        wants: plan.wants.iter().map(want).collect(),
        too_far: plan.too_far.iter().map(ToString::to_string).collect(),
        without_limit: plan.without_limit.iter().map(ToString::to_string).collect(),
        cautions: cautions_of(plan),
    };
    written(WALK_PLAN_SCHEMA, data)
}

fn stop(stop: &PlannedStop) -> StopData<'_> {
    StopData {
        of: Flat(Line(stop)),
        lon: stop.found.centre.map(|centre| Degrees(centre.x())),
        lat: stop.found.centre.map(|centre| Degrees(centre.y())),
    }
}

pub(super) fn declared() -> Declared {
    let map = Shape::of_version::<WalkPlanMap>(WALK_PLAN_SCHEMA);
    let other = Shape::of_version::<WalkPlanData>(WALK_PLAN_SCHEMA);
    (WALK_PLAN_SCHEMA, map_or_not(WALK_PLAN_SCHEMA, map, other))
}

/// To a thousandth, so that no better plan lies beyond.
fn rounded_up(gap: f64) -> f64 {
    if gap > Gap::NONE { (gap * 1000.0).ceil() / 1000.0 } else { 0.0 }
}

/// A point for each stop, with what JSON says of it, and the way as a line (RFC 7946).
pub fn walk_plan_geojson(plan: &WalkPlan) -> String {
    let mut features: Vec<StopOrWay> = plan.stops.iter().map(feature).collect();
    let stops = plan.stops.iter().filter_map(|stop| stop.found.centre);
    let places: Vec<Point> = plan.start.into_iter().chain(stops).collect();
    features.extend((places.len() > 1).then(|| way(plan, &places)));
    let data = WalkPlanMap {
        r#type: FeatureCollection,
        on: plan.day,
        cautions: cautions_of(plan),
        features,
    };
    written(WALK_PLAN_SCHEMA, data)
}

fn feature(stop: &PlannedStop) -> StopOrWay<'_> {
    let properties =
        StopOrWayProperties { stop: Perhaps(Some(Flat(Line(stop)))), length_m: Perhaps(None) };
    StopOrWay {
        r#type: Feature,
        id: Perhaps(Some(stop.found.id.to_string())),
        geometry: stop.found.centre.map(point),
        properties,
    }
}

fn way(plan: &WalkPlan, places: &[Point]) -> StopOrWay<'static> {
    let line = places.iter().map(|at| [Degrees(at.x()), Degrees(at.y())]);
    let line = line.collect::<Vec<_>>().value();
    let properties =
        StopOrWayProperties { stop: Perhaps(None), length_m: Perhaps(Some(plan.length.0)) };
    StopOrWay {
        r#type: Feature,
        id: Perhaps(None),
        geometry: Some(Geometry(json!({ "type": "LineString", "coordinates": line }))),
        properties,
    }
}

fn want(want: &WantMet) -> WantData<'_> {
    let measure = want.want.amount.measure;
    let shortage = want.shortage.as_ref();
    WantData {
        what: &want.want.what,
        wanted: InUnit(measure, want.want.amount.value),
        got: InUnit(measure, want.got),
        missing: InUnit(measure, shortage.map_or(0.0, |shortage| shortage.missing.value)),
        crops: want.crops.iter().map(ToString::to_string).collect(),
        enough_from: shortage.and_then(enough_from),
        shortage: shortage.map(lacking::shortage),
        substitutes: shortage.into_iter().flat_map(|it| &it.substitutes).map(other).collect(),
    }
}

fn enough_from(shortage: &Shortage) -> Option<Date> {
    match shortage.first {
        First::Enough(day) => Some(day),
        _ => None,
    }
}

fn other(other: &Substitute) -> SubstituteData<'_> {
    SubstituteData {
        crop: &other.crop,
        could_give: InUnit(other.measure, other.could_give.map(|most| most as f64)),
        no_upper_limit: other.could_give.is_none(),
    }
}

fn cautions_of(plan: &WalkPlan) -> Vec<String> {
    cautions::sentences(plan.stops.iter().map(|stop| &stop.found.crop))
}
