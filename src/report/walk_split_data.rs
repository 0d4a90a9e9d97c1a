//! Who may cut what where, for machines: JSON (`stintbook.walk-split/2`). Parties go by their
//! number; what they are called is nobody else's business.

use super::reasons::because;
use jiff::civil::Date;

use super::cautions;
use super::counting::{GoesBy, goes_by_word};
use super::lacking::lacking;
use crate::assess::{Briefing, PartyStint, Stop, StopShare};
use crate::json::{Declared, InUnit, Shape, object, written};

/// The name and version of what [`walk_split_json`] writes.
pub const WALK_SPLIT_SCHEMA: &str = "stintbook.walk-split/2";

object! {
    /// The whole answer.
    struct WalkSplitData<'a> {
        walk: String,
        on: Date,
        leader: &'a str,
        seed: u32,
        /// Whether it is set aside.
        held: bool,
        length_m: f64,
        stops: Vec<StopData<'a>>,
        parties: Vec<PartyData<'a>>,
        /// What is wanted, or was set aside, and cannot be had: a sentence each.
        short: Vec<String>,
        cautions: Vec<String>,
    }

    struct StopData<'a> {
        site: String,
        patch: &'a str,
        crop: &'a str,
        quota: InUnit<f64>,
        one_in: Option<u32>,
        goes_by: Option<GoesBy>,
        reason: String,
        people_at_once: u32,
        stays_standing: InUnit<f64>,
    }

    struct PartyData<'a> {
        /// By number.
        party: u32,
        adults: u32,
        children: u32,
        weight: f64,
        shares: Vec<ShareData<'a>>,
    }

    struct ShareData<'a> {
        turn: u32,
        site: String,
        patch: &'a str,
        share: InUnit<f64>,
    }
}

/// Each stop, and what each party may cut there.
pub fn walk_split_json(briefing: &Briefing) -> String {
    let data = WalkSplitData {
        walk: briefing.walk.to_string(),
        on: briefing.day,
        leader: &briefing.leader,
        seed: briefing.seed,
        held: briefing.is_held,
        length_m: briefing.length.0,
        stops: briefing.stops.iter().map(stop).collect(),
        parties: briefing.parties.iter().map(|stint| party(stint, &briefing.stops)).collect(),
        short: lacking(&briefing.short),
        cautions: cautions::sentences(briefing.stops.iter().map(|stop| &stop.crop)),
    };
    written(WALK_SPLIT_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (WALK_SPLIT_SCHEMA, Shape::of_version::<WalkSplitData>(WALK_SPLIT_SCHEMA))
}

fn stop(stop: &Stop) -> StopData<'_> {
    let measure = stop.crop.measure;
    StopData {
        site: stop.patch.site().to_string(),
        patch: stop.patch.patch(),
        crop: &stop.crop.name,
        quota: InUnit(measure, stop.quota),
        one_in: stop.one_in,
        goes_by: goes_by_word(&stop.crop, Some(stop.quota), stop.one_in),
        reason: because(&stop.why),
        people_at_once: stop.people_at_once,
        stays_standing: InUnit(measure, stop.stays_standing),
    }
}

fn party<'a>(stint: &PartyStint, stops: &'a [Stop]) -> PartyData<'a> {
    let share = |share: &StopShare| {
        let stop = &stops[share.stop];
        ShareData {
            turn: share.turn,
            site: stop.patch.site().to_string(),
            patch: stop.patch.patch(),
            share: InUnit(stop.crop.measure, share.amount),
        }
    };
    PartyData {
        party: stint.number,
        adults: stint.party.adults,
        children: stint.party.children,
        weight: stint.party.weight(),
        shares: stint.shares.iter().map(share).collect(),
    }
}
