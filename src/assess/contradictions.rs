//! Facts of one patch that do not agree with each other.

use jiff::civil::Date;

use super::day_ruling::day_rulings;
use super::{DayRuling, Prepared};
use crate::pressure::DayTake;
use crate::records::{CountedSummary, Cut, Fact, MethodSummary, StratumSummary, UnitSummary};
use crate::regrowth::{Event, Seen};
use crate::units::spoken_day;

/// A glance this many times over or under the survey of the same day is a slip of the pen.
const GLANCE_RATIO: f64 = 4.0;
/// Strata that add up to this part more or less than the patch are not its strata.
const AREA_ERROR: f64 = 0.25;

/// One sentence each, without its full stop; names the patch and the facts.
pub fn contradictions(patch: &Prepared) -> Vec<String> {
    let name = &patch.facts.patch.record.name;
    let cuts: Vec<&Fact<Cut>> = patch.facts.cuts.iter().collect();
    let rulings = day_rulings(patch, &cuts);
    let cuts = rulings.iter().flat_map(|ruling| day_contradictions(patch, ruling));
    let all = cuts
        .chain(glance_contradictions(patch))
        .chain(strata_contradictions(patch))
        .chain(patch.refused_overrides());
    all.map(|found| format!("{name}: {found}")).collect()
}

fn day_contradictions(patch: &Prepared, ruling: &DayRuling) -> Vec<String> {
    let DayTake { taken, allowed, .. } = ruling.take;
    let show = |amount| patch.crop().show(amount);
    let what = what_was_cut(patch, ruling);
    let mut found = Vec::new();
    if ruling.take.is_over() {
        found.push(if ruling.was_open() {
            let most = show(allowed.unwrap_or(0.0));
            format!("{what}, but {most} was the most allowed{}", put_right(patch, ruling.day))
        } else {
            let reason = ruling.reason().unwrap_or("no reason known");
            let (verdict, put_right) =
                (ruling.morning.verdict.of_then(), put_right(patch, ruling.day));
            format!("{what}, but {verdict} ({reason}){put_right}")
        });
    }
    let standing = patch.course().days(ruling.day, ruling.day);
    let stood = standing.first().and_then(|day| day.before_cuts).map(|state| state.band(2.0).1);
    if let Some(most) = stood.filter(|most| taken > *most) {
        found.push(format!("{what}, but no more than {} can have stood there", show(most)));
    }
    found
}

/// What was said of the crop only after that day.
fn put_right(patch: &Prepared, day: Date) -> String {
    let later: Vec<String> = patch
        .profile
        .later_than(day)
        .map(|applied| format!("`{}` since {}", applied.change.field, spoken_day(applied.on)))
        .collect();
    if later.is_empty() {
        return String::new();
    }
    format!("; the crop was put right later: {}", later.join(", "))
}

/// `cut 1a2b3c of 1 kg on 10 Apr 2021`, or all cuts of the day together.
fn what_was_cut(patch: &Prepared, ruling: &DayRuling) -> String {
    let of_day = patch.facts.cuts.iter().filter(|cut| cut.happened_on == ruling.day);
    let ids: Vec<String> = of_day.map(|cut| cut.id.short().to_string()).collect();
    let (amount, day) = (patch.crop().show(ruling.take.taken), spoken_day(ruling.day));
    match ids.as_slice() {
        [one] => format!("cut {one} of {amount} on {day}"),
        several => format!("cuts {} of {amount} in all on {day}", several.join(", ")),
    }
}

fn glance_contradictions(patch: &Prepared) -> Vec<String> {
    let mut found = Vec::new();
    for day in patch.history.events().chunk_by(|a, b| a.day == b.day) {
        let Some(surveyed) = day.iter().find_map(surveyed) else { continue };
        for event in day {
            if let Seen::Glance(glanced) = event.seen
                && !(surveyed / GLANCE_RATIO..=surveyed * GLANCE_RATIO).contains(&glanced)
            {
                found.push(unlike(patch, event, glanced, surveyed));
            }
        }
    }
    found
}

fn surveyed(event: &Event) -> Option<f64> {
    match &event.seen {
        Seen::Survey(estimate) => Some(estimate.best),
        _ => None,
    }
}

fn unlike(patch: &Prepared, event: &Event, glanced: f64, surveyed: f64) -> String {
    format!(
        "on {} {} saw {} where the survey found {}",
        spoken_day(event.day),
        event.by,
        patch.crop().show(glanced),
        patch.crop().show(surveyed)
    )
}

fn strata_contradictions(patch: &Prepared) -> impl Iterator<Item = String> {
    let ground = patch.extent.area.0;
    patch.facts.surveys.iter().filter_map(move |survey| {
        let strata = strata_of(&survey.record.method)?;
        let areas: Vec<f64> = strata.iter().filter_map(|stratum| Some(stratum.area?.0)).collect();
        let total: f64 = areas.iter().sum();
        let far = !areas.is_empty() && (total / ground - 1.0).abs() > AREA_ERROR;
        far.then(|| {
            format!(
                "the strata of survey {} add up to {total:.0} m², the patch has {ground:.0} m² \
                 that may be harvested",
                survey.id.short()
            )
        })
    })
}

fn strata_of(method: &MethodSummary) -> Option<&[StratumSummary]> {
    match method {
        MethodSummary::Quadrats(strata)
        | MethodSummary::Units(UnitSummary { counted: CountedSummary::Sampled(strata), .. }) => {
            Some(strata)
        }
        _ => None,
    }
}
