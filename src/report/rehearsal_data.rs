//! A rehearsal for machines: JSON (`stintbook.rehearsal/1`) and CSV.

use serde_json::{Map, Value, json};

use super::column::{Column, Measured, csv, document, in_unit, number, object, word};
use super::rehearsal_document::{CAUTION, Rehearsal};
use super::rehearsal_played::{left_out, played};
use super::rehearsal_words::{assumptions, variation, wanted};
use crate::rehearsal::{Demand, FAN, Odds, Outcome, PatchOutcome, WantOutcome};
use crate::units::Measure;

/// The name and version of what [`rehearsal_json`] writes.
pub const REHEARSAL_SCHEMA: &str = "stintbook.rehearsal/1";

impl Measured for PatchOutcome {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

const COLUMNS: [Column<PatchOutcome>; 15] = [
    Column::plain("site", |patch| word(patch.patch.site())),
    Column::plain("patch", |patch| word(patch.patch.patch())),
    Column::plain("crop", |patch| word(&patch.crop.name)),
    Column::plain("dips", |patch| number(patch.dips.part())),
    Column::plain("dips_low", |patch| number(patch.dips.interval().0)),
    Column::plain("dips_high", |patch| number(patch.dips.interval().1)),
    Column::amount("taken_mean", |patch| Some(patch.mean_taken)),
    Column::amount("taken_1_in_10", |patch| Some(patch.taken[0])),
    Column::amount("taken_middle", |patch| Some(patch.taken[2])),
    Column::amount("taken_9_in_10", |patch| Some(patch.taken[4])),
    Column::plain("visits_mean", |patch| number(patch.mean_visits)),
    Column::plain("surveys_mean", |patch| number(patch.mean_surveys)),
    Column::plain("lowest_part_of_twin", |patch| number(patch.lowest())),
    Column::plain("mostly_shut_as", |patch| {
        patch.mostly_shut.map_or(Value::Null, |(verdict, _)| word(verdict))
    }),
    Column::plain("mostly_shut_part", |patch| {
        patch.mostly_shut.map_or(Value::Null, |(_, part)| number(part))
    }),
];

/// The whole rehearsal; each patch with its fan, week by week.
pub fn rehearsal_json(rehearsal: &Rehearsal) -> String {
    let Rehearsal { plan, repeats, outcome, .. } = rehearsal;
    let changes = rehearsal.changes.iter().map(|(change, outcome)| {
        let mut fields = in_short(outcome);
        fields.insert("change".to_owned(), word(variation(change, plan)));
        Value::Object(fields)
    });
    let unknown: Vec<Value> = rehearsal.unknown.iter().map(word).collect();
    document(&json!({
        "schema": REHEARSAL_SCHEMA,
        "season": plan.season.to_string(),
        "from": plan.from.to_string(),
        "to": plan.season.last_day().to_string(),
        "runs": outcome.runs,
        "seed": repeats.seed,
        "played": played(rehearsal),
        "left_out": left_out(rehearsal),
        "groups": plan.groups,
        "outcome": in_short(outcome),
        "walks": walks(rehearsal),
        "fan_quantiles": FAN,
        "weeks_ending": outcome.weeks.iter().map(word).collect::<Vec<Value>>(),
        "patches": outcome.patches.iter().map(patch_with_fan).collect::<Vec<Value>>(),
        "never_surveyed": unknown,
        "as_planned_again": rehearsal.again.map(in_short),
        "changes": changes.collect::<Vec<Value>>(),
        "assumptions": assumptions(rehearsal),
        "caution": CAUTION,
    }))
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn rehearsal_csv(outcome: &Outcome) -> Result<String, csv::Error> {
    csv(&COLUMNS, &outcome.patches)
}

fn in_short(outcome: &Outcome) -> Map<String, Value> {
    let mut fields = Map::new();
    let mut set = |name: &str, value| fields.insert(name.to_owned(), value);
    set("runs", outcome.runs.into());
    set("walks_that_find_all", number(outcome.walks_found()));
    set("every_walk_finds_all", odds(outcome.all_found));
    set("some_patch_dips", odds(outcome.any_dip));
    set("taken_mean_g", number(outcome.mean_taken(Measure::Mass)));
    set("taken_mean_count", number(outcome.mean_taken(Measure::Count)));
    fields
}

/// The part, and its 95 % interval.
fn odds(odds: Odds) -> Value {
    let (low, high) = odds.interval();
    json!({ "part": number(odds.part()), "low": number(low), "high": number(high) })
}

fn walks(rehearsal: &Rehearsal) -> Vec<Value> {
    let plan = rehearsal.plan;
    let walks = rehearsal.outcome.walks.iter().enumerate();
    let walk = walks.map(|(n, walk)| {
        let mut fields = Map::new();
        if let Demand::Walks(walks) = &plan.demand {
            fields.insert("walk".to_owned(), word(&walks[n].name));
            fields.insert("people".to_owned(), plan.people.unwrap_or(walks[n].people()).into());
        }
        fields.insert("day".to_owned(), word(walk.day));
        fields.insert("finds_all".to_owned(), odds(walk.found_all));
        let measures = plan.wants(n).into_iter().map(|want| want.map(|amount| amount.measure));
        let wants = wanted(plan, n).into_iter().zip(measures).zip(&walk.wants);
        let wants = wants.map(|((wanted, measure), found)| want(wanted, measure, found));
        fields.insert("wants".to_owned(), wants.collect::<Vec<Value>>().into());
        Value::Object(fields)
    });
    walk.collect()
}

fn want(wanted: String, measure: Option<Measure>, outcome: &WantOutcome) -> Value {
    let mut fields = Map::new();
    fields.insert("what".to_owned(), wanted.into());
    fields.insert("patches".to_owned(), outcome.patches.into());
    fields.insert("finds_all".to_owned(), odds(outcome.found_all));
    fields.insert("mostly_shut_as".to_owned(), outcome.mostly_shut.map_or(Value::Null, word));
    if let Some(measure) = measure {
        let found = outcome.found.iter().map(|found| number(*found)).collect::<Vec<Value>>();
        fields.insert(in_unit("found", measure), found.into());
    }
    Value::Object(fields)
}

fn patch_with_fan(patch: &PatchOutcome) -> Value {
    let mut fields = object(&COLUMNS, patch);
    let fan = patch.fan.iter().map(|week| week.map(number).to_vec());
    fields.insert("part_of_twin".to_owned(), fan.collect::<Vec<_>>().into());
    Value::Object(fields)
}
