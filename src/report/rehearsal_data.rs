//! A rehearsal for machines: JSON (`stintbook.rehearsal/1`) and CSV.

use jiff::civil::Date;

use super::column::{Column, Columned, Line, Measured, csv};
use super::rehearsal_document::{CAUTION, Rehearsal};
use super::rehearsal_played::{left_out, played};
use super::rehearsal_words::{assumptions, variation, wanted};
use crate::json::{Declared, Flat, InUnit, Perhaps, Shape, object, written};
use crate::rehearsal::{Demand, FAN, Odds, Outcome, PatchOutcome, WalkOutcome, WantOutcome};
use crate::rules::Verdict;
use crate::units::Measure;

/// The name and version of what [`rehearsal_json`] writes.
pub const REHEARSAL_SCHEMA: &str = "stintbook.rehearsal/1";

impl Measured for PatchOutcome {
    fn measure(&self) -> Measure {
        self.crop.measure
    }
}

const COLUMNS: [Column<PatchOutcome>; 15] = [
    Column::text("site", |patch| patch.patch.site().to_string()),
    Column::text("patch", |patch| patch.patch.patch().to_owned()),
    Column::text("crop", |patch| patch.crop.name.to_string()),
    Column::number("dips", |patch| patch.dips.part()),
    Column::number("dips_low", |patch| patch.dips.interval().0),
    Column::number("dips_high", |patch| patch.dips.interval().1),
    Column::amount("taken_mean", |patch| Some(patch.mean_taken)),
    Column::amount("taken_1_in_10", |patch| Some(patch.taken[0])),
    Column::amount("taken_middle", |patch| Some(patch.taken[2])),
    Column::amount("taken_9_in_10", |patch| Some(patch.taken[4])),
    Column::number("visits_mean", |patch| patch.mean_visits),
    Column::number("surveys_mean", |patch| patch.mean_surveys),
    Column::number("lowest_part_of_twin", PatchOutcome::lowest),
    Column::maybe_coded::<Verdict>("mostly_shut_as", |patch| Some(patch.mostly_shut?.0.name())),
    Column::maybe_number("mostly_shut_part", |patch| Some(patch.mostly_shut?.1)),
];

impl Columned for PatchOutcome {
    fn columns() -> Vec<Column<Self>> {
        COLUMNS.into()
    }
}

object! {
    /// The whole answer.
    struct RehearsalData<'a> {
        season: String,
        from: Date,
        to: Date,
        runs: u64,
        seed: u64,
        /// What was played, in a sentence.
        played: String,
        /// Walks that were not played, in a sentence.
        left_out: Option<String>,
        groups: u32,
        outcome: InShort,
        walks: Vec<WalkData<'a>>,
        /// Of `part_of_twin`.
        fan_quantiles: [f64; FAN.len()],
        weeks_ending: Vec<Date>,
        patches: Vec<PatchData<'a>>,
        never_surveyed: Vec<String>,
        /// The plan over the seasons over which the changes were played.
        as_planned_again: Option<InShort>,
        changes: Vec<ChangeData>,
        assumptions: Vec<String>,
        caution: &'a str,
    }

    struct InShort {
        runs: u64,
        walks_that_find_all: f64,
        every_walk_finds_all: OddsData,
        some_patch_dips: OddsData,
        taken_mean_g: f64,
        taken_mean_count: f64,
    }

    /// The part, and its 95 % interval.
    struct OddsData {
        part: f64,
        low: f64,
        high: f64,
    }

    struct ChangeData {
        outcome: Flat<InShort>,
        change: String,
    }

    struct WalkData<'a> {
        /// Of a walk that is in the book.
        walk: Perhaps<&'a str>,
        people: Perhaps<u32>,
        day: Date,
        finds_all: OddsData,
        wants: Vec<WantData>,
    }

    struct WantData {
        what: String,
        patches: usize,
        finds_all: OddsData,
        mostly_shut_as: Option<Verdict>,
        found: Perhaps<InUnit<[f64; FAN.len()]>>,
    }

    struct PatchData<'a> {
        of: Flat<Line<'a, PatchOutcome>>,
        /// Week by week.
        part_of_twin: Vec<[f64; FAN.len()]>,
    }
}

/// The whole rehearsal; each patch with its fan, week by week.
pub fn rehearsal_json(rehearsal: &Rehearsal) -> String {
    let Rehearsal { plan, repeats, outcome, .. } = rehearsal;
    let changes = rehearsal.changes.iter().map(|(change, outcome)| ChangeData {
        outcome: Flat(in_short(outcome)),
        change: variation(change, plan),
    });
    let data = RehearsalData {
        season: plan.season.to_string(),
        from: plan.from,
        to: plan.season.last_day(),
        runs: outcome.runs,
        seed: repeats.seed,
        played: played(rehearsal),
        left_out: left_out(rehearsal),
        groups: plan.groups,
        outcome: in_short(outcome),
        walks: walks(rehearsal),
        fan_quantiles: FAN,
        weeks_ending: outcome.weeks.clone(),
        patches: outcome.patches.iter().map(patch_with_fan).collect(),
        never_surveyed: rehearsal.unknown.iter().map(ToString::to_string).collect(),
        as_planned_again: rehearsal.again.map(in_short),
        changes: changes.collect(),
        assumptions: assumptions(rehearsal),
        caution: CAUTION,
    };
    written(REHEARSAL_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (REHEARSAL_SCHEMA, Shape::of_version::<RehearsalData>(REHEARSAL_SCHEMA))
}

/// One line a patch.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn rehearsal_csv(outcome: &Outcome) -> Result<String, csv::Error> {
    csv(&COLUMNS, &outcome.patches)
}

fn in_short(outcome: &Outcome) -> InShort {
    InShort {
        runs: outcome.runs,
        walks_that_find_all: outcome.walks_found(),
        every_walk_finds_all: odds(outcome.all_found),
        some_patch_dips: odds(outcome.any_dip),
        taken_mean_g: outcome.mean_taken(Measure::Mass),
        taken_mean_count: outcome.mean_taken(Measure::Count),
    }
}

fn odds(odds: Odds) -> OddsData {
    let (low, high) = odds.interval();
    OddsData { part: odds.part(), low, high }
}

fn walks<'a>(rehearsal: &Rehearsal<'a>) -> Vec<WalkData<'a>> {
    let plan = rehearsal.plan;
    let walk = |(n, walk): (usize, &'a WalkOutcome)| {
        let known = match &plan.demand {
            Demand::Walks(walks) => Some(&walks[n]),
            _ => None,
        };
        let people = known.map(|walk| plan.people.unwrap_or(walk.people()));
        let measures = plan.wants(n).into_iter().map(|want| want.map(|amount| amount.measure));
        let wants = wanted(plan, n).into_iter().zip(measures).zip(&walk.wants);
        WalkData {
            walk: Perhaps(known.map(|walk| walk.name.as_str())),
            people: Perhaps(people),
            day: walk.day,
            finds_all: odds(walk.found_all),
            wants: wants.map(|((wanted, measure), found)| want(wanted, measure, found)).collect(),
        }
    };
    rehearsal.outcome.walks.iter().enumerate().map(walk).collect()
}

fn want(what: String, measure: Option<Measure>, outcome: &WantOutcome) -> WantData {
    WantData {
        what,
        patches: outcome.patches,
        finds_all: odds(outcome.found_all),
        mostly_shut_as: outcome.mostly_shut,
        found: Perhaps(measure.map(|measure| InUnit(measure, outcome.found))),
    }
}

fn patch_with_fan(patch: &PatchOutcome) -> PatchData<'_> {
    PatchData { of: Flat(Line(patch)), part_of_twin: patch.fan.clone() }
}
