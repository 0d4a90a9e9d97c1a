//! Who may cut what where, for machines: JSON (`stintbook.walk-split/2`). Parties go by their
//! number; what they are called is nobody else's business.

use super::lacking::lacking;
use serde_json::{Value, json};

use super::cautions;
use super::column::{document, in_unit, number};
use super::counting::goes_by_word;
use crate::assess::{Briefing, PartyStint, Stop, StopShare};

/// The name and version of what [`walk_split_json`] writes.
pub const WALK_SPLIT_SCHEMA: &str = "stintbook.walk-split/2";

/// Each stop, and what each party may cut there.
pub fn walk_split_json(briefing: &Briefing) -> String {
    let parties: Vec<Value> =
        briefing.parties.iter().map(|stint| party(stint, &briefing.stops)).collect();
    document(&json!({
        "schema": WALK_SPLIT_SCHEMA,
        "walk": briefing.walk.to_string(),
        "on": briefing.day.to_string(),
        "leader": &*briefing.leader,
        "seed": briefing.seed,
        "held": briefing.is_held,
        "length_m": number(briefing.length.0),
        "stops": briefing.stops.iter().map(stop).collect::<Vec<_>>(),
        "parties": parties,
        "short": lacking(&briefing.short),
        "cautions": cautions::sentences(briefing.stops.iter().map(|stop| &stop.crop)),
    }))
}

fn stop(stop: &Stop) -> Value {
    let measure = stop.crop.measure;
    json!({
        "site": stop.patch.site().to_string(),
        "patch": stop.patch.patch(),
        "crop": &*stop.crop.name,
        (in_unit("quota", measure)): number(stop.quota),
        "one_in": stop.one_in,
        "goes_by": goes_by_word(&stop.crop, Some(stop.quota), stop.one_in),
        "reason": &stop.why,
        "people_at_once": stop.people_at_once,
        (in_unit("stays_standing", measure)): number(stop.stays_standing),
    })
}

fn party(stint: &PartyStint, stops: &[Stop]) -> Value {
    let share = |share: &StopShare| {
        let stop = &stops[share.stop];
        json!({
            "turn": share.turn,
            "site": stop.patch.site().to_string(),
            "patch": stop.patch.patch(),
            (in_unit("share", stop.crop.measure)): number(share.amount),
        })
    };
    json!({
        "party": stint.number,
        "adults": stint.party.adults,
        "children": stint.party.children,
        "weight": number(stint.party.weight()),
        "shares": stint.shares.iter().map(share).collect::<Vec<_>>(),
    })
}
