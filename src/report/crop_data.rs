//! The catalogue for machines: JSON, `stintbook.crops/1` and `stintbook.crop/1`.

use std::sync::Arc;

use serde_json::{Value, json};

use super::cautions::{self, by_gravity};
use super::column::{document, in_unit, number};
use super::crop_facts::growth;
use super::crops::Listed;
use crate::records::{Crop, LookAlike, Sourced, Status};
use crate::units::Measure;

/// The name and version of what [`crops_json`] writes.
pub const CROPS_SCHEMA: &str = "stintbook.crops/1";
/// The name and version of what [`crop_json`] writes.
pub const CROP_SCHEMA: &str = "stintbook.crop/1";

/// All crops in short.
pub fn crops_json<'a>(crops: impl IntoIterator<Item = Listed<'a>>) -> String {
    let crops: Vec<Value> = crops.into_iter().map(in_short).collect();
    document(&json!({ "schema": CROPS_SCHEMA, "crops": crops }))
}

/// One crop in full, each value with its source.
pub fn crop_json(listed: Listed) -> String {
    let crop = listed.crop;
    let mut fields = json!({ "schema": CROP_SCHEMA });
    for part in [in_short(listed), described(crop), model(crop), protection(crop)] {
        if let (Value::Object(fields), Value::Object(part)) = (&mut fields, part) {
            fields.extend(part);
        }
    }
    document(&fields)
}

fn in_short(Listed { crop, own_file }: Listed) -> Value {
    json!({
        "name": &*crop.name,
        "common_name": &*crop.common_name,
        "scientific_name": &*crop.scientific_name,
        "own_file": own_file,
        "habit": crop.habit.name(),
        "season_from": crop.window.value.from.to_string(),
        "season_to": crop.window.value.to.to_string(),
        "gravest_look_alike": crop.gravest_look_alike().map(|it| it.grade.name()),
    })
}

fn described(crop: &Crop) -> Value {
    let look_alike = |it: &&LookAlike| json!({ "name": &*it.name, "grade": it.grade.name() });
    json!({
        "part": crop.part.name(),
        "kitchen_role": &*crop.kitchen_role,
        "piece": Some(&*crop.piece).filter(|_| crop.measure == Measure::Count),
        "countable": crop.countable,
        "cut_method": text(&crop.cut_method),
        "look_alikes": {
            "value": by_gravity(crop).iter().map(look_alike).collect::<Vec<_>>(),
            "source": &*crop.look_alikes_source,
        },
        "crop_cautions": text(&crop.cautions),
        "legal_note": text(&crop.legal_note),
        "cautions": cautions::full(crop, None),
    })
}

fn model(crop: &Crop) -> Value {
    let recovery = &crop.recovery;
    json!({
        "season": sourced(&crop.window, |window| json!(window.to_string())),
        "take_fraction": sourced(recovery, |recovery| number(recovery.take_fraction)),
        "recovery_days": sourced(recovery, |recovery| number(recovery.days)),
        "growth": growth(crop).name(),
        "growth_by_month": maybe(crop.growth_by_month.as_ref(), |months| {
            months.iter().copied().map(number).collect()
        }),
        "full_by_month": maybe(crop.full_swings(), |months| {
            months.iter().copied().map(number).collect()
        }),
        "full_late_days": maybe(crop.full_late_days.as_ref(), |days| json!(days)),
        "kept_standing": sourced(&crop.kept_standing, |part| number(*part)),
        "reserve": sourced(&crop.reserve, |part| number(*part)),
        (in_unit("smallest_useful", crop.measure)):
            sourced(&crop.smallest_useful, |amount| number(amount.value)),
    })
}

fn protection(crop: &Crop) -> Value {
    let (protected, invasive) = match &crop.status {
        Status::Ordinary => (None, None),
        Status::Protected(reason) => (Some(reason), None),
        Status::Invasive(caution) => (None, Some(caution)),
    };
    json!({
        (in_unit("leave_per_m2", crop.measure)):
            maybe(crop.leave_per_m2.as_ref(), |least| number(*least)),
        "cuts_per_season": maybe(crop.cuts_per_season.as_ref(), |most| json!(most)),
        "code_cap": maybe(crop.code_cap.as_ref(), |cap| number(cap.fraction)),
        (in_unit("per_person_visit", crop.measure)):
            maybe(crop.per_person_visit.as_ref(), |amount| number(amount.value)),
        "protected": protected.map(text),
        "invasive": invasive.map(text),
    })
}

fn sourced<T>(sourced: &Sourced<T>, value: impl FnOnce(&T) -> Value) -> Value {
    json!({ "value": value(&sourced.value), "source": &*sourced.source })
}

fn maybe<T>(value: Option<&Sourced<T>>, of: impl FnOnce(&T) -> Value) -> Value {
    value.map_or(Value::Null, |value| sourced(value, of))
}

fn text(value: &Sourced<Arc<str>>) -> Value {
    sourced(value, |text| json!(&**text))
}
