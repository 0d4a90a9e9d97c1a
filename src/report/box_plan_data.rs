//! A month's boxes for machines: JSON (`stintbook.box-plan/1`).

use serde_json::{Value, json};

use super::cautions;
use super::column::{document, in_unit, number, object, optional_word};
use super::lacking;
use super::walk_plan_data::STOP_COLUMNS;
use crate::assess::{BoxPlan, BoxWant, BoxWeek, LeftOut, PackedBox, PlannedStop};

/// The name and version of what [`box_plan_json`] writes.
pub const BOX_PLAN_SCHEMA: &str = "stintbook.box-plan/1";

/// The weeks with their stops and boxes, and how far each want is met.
pub fn box_plan_json(plan: &BoxPlan) -> String {
    let stops = plan.weeks.iter().flat_map(|week| &week.plan.stops);
    document(&json!({
        "schema": BOX_PLAN_SCHEMA,
        "weeks": plan.weeks.iter().map(week).collect::<Vec<_>>(),
        "wants": plan.wants.iter().map(want).collect::<Vec<_>>(),
        "left_out": plan.left_out.iter().map(left_out).collect::<Vec<_>>(),
        "cautions": cautions::sentences(stops.map(|stop| &stop.found.crop)),
        "for_reward": cautions::for_reward(),
    }))
}

fn week(week: &BoxWeek) -> Value {
    let stop = |stop: &PlannedStop| Value::Object(object(&STOP_COLUMNS, stop));
    json!({
        "week": week.week.to_string(),
        "on": week.plan.day.to_string(),
        "boxes": week.boxes.iter().map(packed).collect::<Vec<_>>(),
        "stops": week.plan.stops.iter().map(stop).collect::<Vec<_>>(),
    })
}

fn packed(packed: &PackedBox) -> Value {
    let contents = packed.contents.iter().map(|one| {
        json!({
            "crop": &*one.crop.name,
            "kitchen_role": &*one.crop.kitchen_role,
            (in_unit("amount", one.crop.measure)): number(one.amount),
        })
    });
    json!({
        "subscriber": packed.subscriber,
        "own_week": packed.is_own_week,
        "contents": contents.collect::<Vec<_>>(),
    })
}

fn left_out(left_out: &LeftOut) -> Value {
    let why = if left_out.unwanted { "asked for" } else { "fatal look-alike, not named" };
    json!({ "crop": &*left_out.crop.name, "why": why })
}

fn want(want: &BoxWant) -> Value {
    let measure = want.wanted.measure;
    json!({
        "what": &*want.each.what,
        (in_unit("each", measure)): number(want.each.amount.value),
        (in_unit("wanted", measure)): number(want.wanted.value),
        (in_unit("got", measure)): number(want.got.value),
        "shortage": optional_word(want.shortage.as_ref().map(lacking::shortage)),
    })
}
