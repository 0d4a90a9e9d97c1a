//! A plan of an outing for machines: JSON (`stintbook.walk-plan/2`) and GeoJSON.

use geo::Point;
use serde_json::{Value, json};

use super::cautions;
use super::column::{
    Column, Measured, document, in_unit, number, object, optional, optional_word, word,
};
use super::counting::goes_by_word;
use super::lacking;
use super::week_data::{degrees, point};
use crate::assess::{First, PlannedStop, Shortage, WalkPlan, WantMet};
use crate::units::Measure;
use crate::walk::{Gap, Substitute};

/// The name and version of what [`walk_plan_json`] and [`walk_plan_geojson`] write.
pub const WALK_PLAN_SCHEMA: &str = "stintbook.walk-plan/2";

pub(super) const STOP_COLUMNS: [Column<PlannedStop>; 13] = [
    Column::plain("id", |stop| word(stop.found.id)),
    Column::plain("site", |stop| word(stop.found.patch.site())),
    Column::plain("patch", |stop| word(stop.found.patch.patch())),
    Column::plain("crop", |stop| word(&stop.found.crop.name)),
    Column::amount("quota", |stop| Some(stop.quota)),
    Column::amount("most", |stop| stop.found.ruling.most),
    Column::plain("one_in", |stop| stop.found.one_in_for(stop.quota).into()),
    Column::plain("goes_by", |stop| {
        let one_in = stop.found.one_in_for(stop.quota);
        optional_word(goes_by_word(&stop.found.crop, Some(stop.quota), one_in))
    }),
    Column::plain("reason", |stop| word(stop.found.ruling.why().to_owned())),
    Column::plain("ask_first", |stop| stop.found.ask_first.into()),
    Column::plain("leg_m", |stop| number(stop.leg.0)),
    Column::plain("off_route_m", |stop| optional(stop.off_route.map(|off| off.0))),
    Column::plain("site_cautions", |stop| optional_word(stop.found.site_cautions.as_ref())),
];

impl Measured for PlannedStop {
    fn measure(&self) -> Measure {
        self.found.crop.measure
    }
}

/// Stops, wants and how good the plan is.
pub fn walk_plan_json(plan: &WalkPlan) -> String {
    let stop = |stop: &PlannedStop| {
        let mut fields = object(&STOP_COLUMNS, stop);
        let centre = stop.found.centre;
        fields.insert("lon".to_owned(), degrees(centre.map(|centre| centre.x())));
        fields.insert("lat".to_owned(), degrees(centre.map(|centre| centre.y())));
        Value::Object(fields)
    };
    let stops: Vec<Value> = plan.stops.iter().map(stop).collect();
    let wants: Vec<Value> = plan.wants.iter().map(want).collect();
    document(&json!({
        "schema": WALK_PLAN_SCHEMA,
        "on": plan.day.to_string(),
        "people": plan.people,
        "length_m": number(plan.length.0),
        "highest_share": number(plan.highest_share),
        "gap": {
            "met": rounded_up(plan.gap.met),
            "highest_share": rounded_up(plan.gap.share),
            "walking": rounded_up(plan.gap.walking),
        },
        "stops": stops,
        "wants": wants,
        "too_far": plan.too_far.iter().map(word).collect::<Vec<_>>(),
        "without_limit": plan.without_limit.iter().map(word).collect::<Vec<_>>(),
        "cautions": cautions_of(plan),
    }))
}

/// To a thousandth, so that no better plan lies beyond.
fn rounded_up(gap: f64) -> Value {
    number(if gap > Gap::NONE { (gap * 1000.0).ceil() / 1000.0 } else { 0.0 })
}

/// A point for each stop, with what JSON says of it, and the way as a line (RFC 7946).
pub fn walk_plan_geojson(plan: &WalkPlan) -> String {
    let mut features: Vec<Value> = plan.stops.iter().map(feature).collect();
    let stops = plan.stops.iter().filter_map(|stop| stop.found.centre);
    let places: Vec<Point> = plan.start.into_iter().chain(stops).collect();
    if places.len() > 1 {
        let line: Vec<Value> = places.iter().map(|at| point(*at)["coordinates"].clone()).collect();
        features.push(json!({
            "type": "Feature",
            "geometry": { "type": "LineString", "coordinates": line },
            "properties": { "length_m": number(plan.length.0) },
        }));
    }
    document(&json!({
        "type": "FeatureCollection",
        "schema": WALK_PLAN_SCHEMA,
        "on": plan.day.to_string(),
        "cautions": cautions_of(plan),
        "features": features,
    }))
}

fn feature(stop: &PlannedStop) -> Value {
    json!({
        "type": "Feature",
        "id": stop.found.id.to_string(),
        "geometry": stop.found.centre.map(point),
        "properties": object(&STOP_COLUMNS, stop),
    })
}

fn want(want: &WantMet) -> Value {
    let amount = want.want.amount;
    let missing = want.shortage.as_ref().map_or(0.0, |shortage| shortage.missing.value);
    json!({
        "what": &*want.want.what,
        (in_unit("wanted", amount.measure)): number(amount.value),
        (in_unit("got", amount.measure)): number(want.got),
        (in_unit("missing", amount.measure)): number(missing),
        "crops": want.crops.iter().map(word).collect::<Vec<_>>(),
        "enough_from": want.shortage.as_ref().map_or(Value::Null, enough_from),
        "shortage": optional_word(want.shortage.as_ref().map(lacking::shortage)),
        "substitutes": want.shortage.iter().flat_map(|it| &it.substitutes).map(other).collect::<Vec<_>>(),
    })
}

fn enough_from(shortage: &Shortage) -> Value {
    match shortage.first {
        First::Enough(day) => word(day),
        _ => Value::Null,
    }
}

fn other(other: &Substitute) -> Value {
    json!({
        "crop": &*other.crop,
        (in_unit("could_give", other.measure)): optional(other.could_give.map(|most| most as f64)),
        "no_upper_limit": other.could_give.is_none(),
    })
}

fn cautions_of(plan: &WalkPlan) -> Vec<String> {
    cautions::sentences(plan.stops.iter().map(|stop| &stop.found.crop))
}
