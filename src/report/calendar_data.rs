//! Twelve months for machines: JSON (`stintbook.calendar/1`).

use serde_json::{Value, json};

use super::cautions;
use super::column::{document, in_unit, optional, optional_word};
use crate::assess::{Ahead, Calendar, Expected, PatchYear, RoleCrop, RoleMonth, RoleYear};
use crate::records::Crop;

/// The name and version of what [`calendar_json`] writes.
pub const CALENDAR_SCHEMA: &str = "stintbook.calendar/1";

/// Each patch and each kitchen role, month by month.
pub fn calendar_json(calendar: &Calendar) -> String {
    let crops = calendar.patches.iter().map(|patch| &patch.crop);
    document(&json!({
        "schema": CALENDAR_SCHEMA,
        "on": calendar.on.to_string(),
        "for": optional_word(calendar.purpose),
        "patches": calendar.patches.iter().map(|it| patch(calendar, it)).collect::<Vec<_>>(),
        "kitchen": calendar.roles.iter().map(|it| role(calendar, it)).collect::<Vec<_>>(),
        "cautions": cautions::sentences(crops),
    }))
}

fn patch(calendar: &Calendar, patch: &PatchYear) -> Value {
    let months = calendar.months.iter().zip(&patch.months).map(|(first, month)| {
        let (opens, shut) = match &month.ahead {
            Some(Ahead::Opens(expected)) => (Some(opens(&patch.crop, expected)), None),
            Some(Ahead::Shut(verdict)) => (None, Some(verdict.name())),
            None => (None, None),
        };
        json!({
            "month": first.strftime("%Y-%m").to_string(),
            "in_season_from": month.in_season.map(|(from, _)| from.to_string()),
            "in_season_to": month.in_season.map(|(_, to)| to.to_string()),
            "cut_in_years": month.cut_in_years,
            "opens": opens,
            "shut": shut,
        })
    });
    let cut = patch.cut.iter().map(|span| {
        json!({
            "season": span.season.to_string(),
            "first": span.first.to_string(),
            "last": span.last.to_string(),
        })
    });
    let stages = patch.stages.iter().map(|span| {
        json!({
            "season": span.season.to_string(),
            "stage": span.stage.name(),
            "first": span.first.to_string(),
            "last": span.last.to_string(),
        })
    });
    json!({
        "patch": patch.patch.to_string(),
        "crop": &*patch.crop.name,
        "kitchen_role": &*patch.crop.kitchen_role,
        "season": patch.window.to_string(),
        "own_season": patch.own_window,
        "cut": cut.collect::<Vec<_>>(),
        "stages": stages.collect::<Vec<_>>(),
        "months": months.collect::<Vec<_>>(),
    })
}

fn opens(crop: &Crop, expected: &Expected) -> Value {
    let standing =
        |of: fn(&crate::assess::Standing) -> f64| optional(expected.standing.as_ref().map(of));
    json!({
        "from": expected.from.to_string(),
        "to": expected.to.to_string(),
        "best": expected.best.to_string(),
        (in_unit("most", crop.measure)): optional(expected.most),
        (in_unit("standing", crop.measure)): standing(|it| it.best),
        (in_unit("standing_low", crop.measure)): standing(|it| it.low),
        (in_unit("standing_high", crop.measure)): standing(|it| it.high),
        "needs_survey": expected.needs_survey,
        "needs_permission": expected.needs_permission,
    })
}

fn role(calendar: &Calendar, role: &RoleYear) -> Value {
    let months = calendar.months.iter().zip(&role.months);
    let month = |first: &jiff::civil::Date, month: &RoleMonth| {
        let crop = |it: &RoleCrop| {
            json!({
                "crop": &*it.crop.name,
                "patches": it.patches,
                (in_unit("firm", role.measure)): optional(it.firm),
                (in_unit("hoped", role.measure)): optional(Some(it.hoped)),
            })
        };
        json!({
            "month": first.strftime("%Y-%m").to_string(),
            "day": month.day.to_string(),
            (in_unit("firm", role.measure)): optional(month.firm()),
            (in_unit("hoped", role.measure)): optional(Some(month.hoped())),
            "crops": month.crops.iter().map(crop).collect::<Vec<_>>(),
        })
    };
    let months = months.filter_map(|(first, it)| Some(month(first, it.as_ref()?)));
    json!({ "role": &*role.role, "months": months.collect::<Vec<_>>() })
}
