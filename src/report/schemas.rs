//! Every version of JSON that is written here, each with its schema.

use super::*;
use crate::json::{Declared, Shape};
use crate::records::Kind;

/// All of them; `properties` are what a place of a kind has in its file.
pub fn schemas(properties: impl Fn(Kind) -> Shape) -> Vec<Declared> {
    let mut all = vec![
        blurred::declared(),
        box_plan_data::declared(),
        calendar_data::declared(),
        check_data::declared(),
        day_map::declared(properties),
        due::declared(),
        history::declared(),
        looked_through::declared(),
        planned_takes::declared(),
        pressure_data::declared(),
        rehearsal_data::declared(),
        season::declared(),
        survey_advice_data::declared(),
        survey_plan_data::declared(),
        walk_list::declared(),
        walk_plan_data::declared(),
        walk_split_data::declared(),
        week_data::declared(),
        years::declared(),
    ];
    all.extend(crop_data::declared());
    all
}
