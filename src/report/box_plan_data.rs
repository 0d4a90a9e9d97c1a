//! A month's boxes for machines: JSON (`stintbook.box-plan/1`).

use jiff::civil::Date;

use super::cautions;
use super::column::Line;
use super::lacking;
use crate::assess::{BoxPlan, BoxWant, BoxWeek, LeftOut, PackedBox, PlannedStop};
use crate::json::{Declared, InUnit, Shape, object, one_of, written};

/// The name and version of what [`box_plan_json`] writes.
pub const BOX_PLAN_SCHEMA: &str = "stintbook.box-plan/1";

one_of! {
    /// Why a crop is in no box.
    enum WhyLeftOut {
        AskedFor = "asked for",
        FatalLookAlike = "fatal look-alike, not named",
    }
}

object! {
    /// The whole answer.
    struct BoxPlanData<'a> {
        weeks: Vec<WeekData<'a>>,
        wants: Vec<WantData<'a>>,
        left_out: Vec<LeftOutData<'a>>,
        cautions: Vec<String>,
        /// What is to be known of picking for reward.
        for_reward: Vec<String>,
    }

    struct WeekData<'a> {
        week: String,
        on: Date,
        boxes: Vec<BoxData<'a>>,
        stops: Vec<Line<'a, PlannedStop>>,
    }

    struct BoxData<'a> {
        /// By number.
        subscriber: u32,
        own_week: bool,
        contents: Vec<Packed<'a>>,
    }

    struct Packed<'a> {
        crop: &'a str,
        kitchen_role: &'a str,
        amount: InUnit<f64>,
    }

    struct LeftOutData<'a> {
        crop: &'a str,
        why: WhyLeftOut,
    }

    struct WantData<'a> {
        what: &'a str,
        each: InUnit<f64>,
        wanted: InUnit<f64>,
        got: InUnit<f64>,
        /// In a sentence.
        shortage: Option<String>,
    }
}

/// The weeks with their stops and boxes, and how far each want is met.
pub fn box_plan_json(plan: &BoxPlan) -> String {
    let stops = plan.weeks.iter().flat_map(|week| &week.plan.stops);
    let data = BoxPlanData {
        weeks: plan.weeks.iter().map(week).collect(),
        wants: plan.wants.iter().map(want).collect(),
        left_out: plan.left_out.iter().map(left_out).collect(),
        cautions: cautions::sentences(stops.map(|stop| &stop.found.crop)),
        for_reward: cautions::for_reward(),
    };
    written(BOX_PLAN_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (BOX_PLAN_SCHEMA, Shape::of_version::<BoxPlanData>(BOX_PLAN_SCHEMA))
}

fn week(week: &BoxWeek) -> WeekData<'_> {
    WeekData {
        week: week.week.to_string(),
        on: week.plan.day,
        boxes: week.boxes.iter().map(packed).collect(),
        stops: week.plan.stops.iter().map(Line).collect(),
    }
}

fn packed(packed: &PackedBox) -> BoxData<'_> {
    let contents = packed.contents.iter().map(|one| Packed {
        crop: &one.crop.name,
        kitchen_role: &one.crop.kitchen_role,
        amount: InUnit(one.crop.measure, one.amount),
    });
    BoxData {
        subscriber: packed.subscriber,
        own_week: packed.is_own_week,
        contents: contents.collect(),
    }
}

fn left_out(left_out: &LeftOut) -> LeftOutData<'_> {
    let why = match left_out.unwanted {
        true => WhyLeftOut::AskedFor,
        false => WhyLeftOut::FatalLookAlike,
    };
    LeftOutData { crop: &left_out.crop.name, why }
}

fn want(want: &BoxWant) -> WantData<'_> {
    let amount = |value| InUnit(want.wanted.measure, value);
    WantData {
        what: &want.each.what,
        each: amount(want.each.amount.value),
        wanted: amount(want.wanted.value),
        got: amount(want.got.value),
        shortage: want.shortage.as_ref().map(lacking::shortage),
    }
}
