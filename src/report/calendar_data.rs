//! Twelve months for machines: JSON (`stintbook.calendar/1`).

use jiff::civil::Date;

use super::cautions;
use crate::assess::{
    Ahead, Calendar, Expected, PatchMonth, PatchYear, RoleCrop, RoleMonth, RoleYear,
};
use crate::json::{Declared, InUnit, Shape, object, written};
use crate::records::{Crop, Purpose, Stage};
use crate::rules::Verdict;

/// The name and version of what [`calendar_json`] writes.
pub const CALENDAR_SCHEMA: &str = "stintbook.calendar/1";

object! {
    /// The whole answer.
    struct CalendarData<'a> {
        on: Date,
        r#for: Option<Purpose>,
        patches: Vec<PatchData<'a>>,
        /// Kitchen roles.
        kitchen: Vec<RoleData<'a>>,
        cautions: Vec<String>,
    }

    struct PatchData<'a> {
        patch: String,
        crop: &'a str,
        kitchen_role: &'a str,
        /// Its window.
        season: String,
        /// Whether the window is the patch's or its site's own.
        own_season: bool,
        /// When it was cut in earlier seasons.
        cut: Vec<CutData>,
        /// What was seen in earlier seasons.
        stages: Vec<StageData>,
        months: Vec<MonthData>,
    }

    struct CutData {
        season: String,
        first: Date,
        last: Date,
    }

    struct StageData {
        season: String,
        stage: Stage,
        first: Date,
        last: Date,
    }

    struct MonthData {
        month: String,
        in_season_from: Option<Date>,
        in_season_to: Option<Date>,
        cut_in_years: u32,
        opens: Option<Opens>,
        /// The verdict where it does not open.
        shut: Option<Verdict>,
    }

    struct Opens {
        from: Date,
        to: Date,
        best: Date,
        most: InUnit<Option<f64>>,
        standing: InUnit<Option<f64>>,
        standing_low: InUnit<Option<f64>>,
        standing_high: InUnit<Option<f64>>,
        needs_survey: bool,
        needs_permission: bool,
    }

    struct RoleData<'a> {
        role: &'a str,
        months: Vec<RoleMonthData<'a>>,
    }

    struct RoleMonthData<'a> {
        month: String,
        /// The best one.
        day: Date,
        /// From patches that need nothing first; null for no upper limit.
        firm: InUnit<Option<f64>>,
        /// More, from patches that need a survey or a permission first.
        hoped: InUnit<Option<f64>>,
        crops: Vec<RoleCropData<'a>>,
    }

    struct RoleCropData<'a> {
        crop: &'a str,
        patches: usize,
        firm: InUnit<Option<f64>>,
        hoped: InUnit<Option<f64>>,
    }
}

/// Each patch and each kitchen role, month by month.
pub fn calendar_json(calendar: &Calendar) -> String {
    let crops = calendar.patches.iter().map(|patch| &patch.crop);
    let data = CalendarData {
        on: calendar.on,
        r#for: calendar.purpose,
        patches: calendar.patches.iter().map(|it| patch(calendar, it)).collect(),
        kitchen: calendar.roles.iter().map(|it| role(calendar, it)).collect(),
        cautions: cautions::sentences(crops),
    };
    written(CALENDAR_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (CALENDAR_SCHEMA, Shape::of_version::<CalendarData>(CALENDAR_SCHEMA))
}

fn patch<'a>(calendar: &Calendar, patch: &'a PatchYear) -> PatchData<'a> {
    let months = calendar.months.iter().zip(&patch.months);
    let cut = patch.cut.iter().map(|span| CutData {
        season: span.season.to_string(),
        first: span.first,
        last: span.last,
    });
    let stages = patch.stages.iter().map(|span| StageData {
        season: span.season.to_string(),
        stage: span.stage,
        first: span.first,
        last: span.last,
    });
    PatchData {
        patch: patch.patch.to_string(),
        crop: &patch.crop.name,
        kitchen_role: &patch.crop.kitchen_role,
        season: patch.window.to_string(),
        own_season: patch.own_window,
        cut: cut.collect(),
        stages: stages.collect(),
        months: months.map(|(first, it)| month(patch, *first, it)).collect(),
    }
}

fn month(patch: &PatchYear, first: Date, month: &PatchMonth) -> MonthData {
    let (opens, shut) = match &month.ahead {
        Some(Ahead::Opens(expected)) => (Some(opens(&patch.crop, expected)), None),
        Some(Ahead::Shut(verdict)) => (None, Some(*verdict)),
        None => (None, None),
    };
    MonthData {
        month: first.strftime("%Y-%m").to_string(),
        in_season_from: month.in_season.map(|(from, _)| from),
        in_season_to: month.in_season.map(|(_, to)| to),
        cut_in_years: month.cut_in_years,
        opens,
        shut,
    }
}

fn opens(crop: &Crop, expected: &Expected) -> Opens {
    let standing = |of: fn(&crate::assess::Standing) -> f64| {
        InUnit(crop.measure, expected.standing.as_ref().map(of))
    };
    Opens {
        from: expected.from,
        to: expected.to,
        best: expected.best,
        most: InUnit(crop.measure, expected.most),
        standing: standing(|it| it.best),
        standing_low: standing(|it| it.low),
        standing_high: standing(|it| it.high),
        needs_survey: expected.needs_survey,
        needs_permission: expected.needs_permission,
    }
}

fn role<'a>(calendar: &Calendar, role: &'a RoleYear) -> RoleData<'a> {
    let crop = |it: &'a RoleCrop| RoleCropData {
        crop: &it.crop.name,
        patches: it.patches,
        firm: InUnit(role.measure, it.firm),
        hoped: InUnit(role.measure, Some(it.hoped)),
    };
    let month = |first: &Date, month: &'a RoleMonth| RoleMonthData {
        month: first.strftime("%Y-%m").to_string(),
        day: month.day,
        firm: InUnit(role.measure, month.firm()),
        hoped: InUnit(role.measure, Some(month.hoped())),
        crops: month.crops.iter().map(crop).collect(),
    };
    let months = calendar.months.iter().zip(&role.months);
    let months = months.filter_map(|(first, it)| Some(month(first, it.as_ref()?)));
    RoleData { role: &role.role, months: months.collect() }
}
