//! A rehearsal's odds, plans and assumptions in words.

use super::rehearsal_document::Rehearsal;
use crate::regrowth::RecoveryTest;
use crate::rehearsal::{Demand, Kept, Odds, Plan, Surveys, Variation};
use crate::units::{Amount, Measure, counted, listed, percent};

/// `12`, with one decimal where that says more: `0.4`.
pub(super) fn in_100(odds: Odds) -> String {
    hundredths(odds.part())
}

/// `3.1 (2.4–4)`: the figure with its 95 % interval.
pub(super) fn in_100_with_doubt(odds: Odds) -> String {
    let (low, high) = odds.interval();
    format!("{} ({}–{})", in_100(odds), hundredths(low), hundredths(high))
}

fn hundredths(part: f64) -> String {
    let part = 100.0 * part;
    if (0.05..9.95).contains(&part) { format!("{part:.1}") } else { format!("{part:.0}") }
}

/// `87 of 100`.
pub(super) fn odds(odds: Odds) -> String {
    format!("{} of 100", in_100(odds))
}

pub(super) fn shown(measure: Measure, value: f64) -> String {
    Amount { value, measure }.to_string()
}

/// `0.9–1.6 kg`; one amount where both ends show alike.
pub(super) fn range(measure: Measure, low: f64, high: f64) -> String {
    let [low, high] = [low, high].map(|value| shown(measure, value));
    if low == high {
        return low;
    }
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number}–{high}"),
        _ => format!("{low}–{high}"),
    }
}

/// What a walk wants, one by one.
pub(super) fn wanted(plan: &Plan, walk: usize) -> Vec<String> {
    match &plan.demand {
        Demand::Weekly(amount) => vec![format!("{amount} a week")],
        Demand::Walks(walks) if !walks[walk].wants.is_empty() => {
            let wants = walks[walk].wants.iter();
            wants.map(|want| format!("{} of {}", want.amount, want.what)).collect()
        }
        Demand::AllAllowed | Demand::Walks(_) => vec!["all that is allowed".to_owned()],
    }
}

pub(super) fn variation(change: &Variation, plan: &Plan) -> String {
    let each = if matches!(plan.demand, Demand::Walks(_)) { "for each walk" } else { "a week" };
    match change {
        Variation::Survey(Surveys::Every { days }) => {
            format!("survey every {}", counted(days.unsigned_abs(), "day"))
        }
        Variation::Survey(_) => "survey whenever one lapses".to_owned(),
        Variation::Rest(patch) => format!("rest {patch}"),
        Variation::Test(patches) => {
            let names: Vec<String> = patches.iter().map(ToString::to_string).collect();
            format!("test {}", listed(&names))
        }
        Variation::AskForHalf => "ask for half".to_owned(),
        Variation::Groups(1) => format!("one group {each}"),
        Variation::Groups(groups) => format!("{groups} groups {each}"),
        Variation::SmallerShares => "shares a quarter smaller".to_owned(),
    }
}

/// A sentence each.
pub(super) fn assumptions(rehearsal: &Rehearsal) -> Vec<String> {
    let plan = rehearsal.plan;
    let mut all = vec![demand(plan), set_aside(plan), surveys(plan.surveys)];
    all.push(
        "What stands at first is drawn from the book's estimate and its doubt; each patch's true \
         recovery about its profile's (a third either way is usual), the weather and the year's \
         crop by chance: assumptions of this project, no source."
            .to_owned(),
    );
    all.push(
        "Parties count one in N by an ordinary eye (a log-sd of 0.35, half of its variance a bias \
         they keep), stop at the limit by weight, and write down all they take; where a patch was \
         glanced at before, they glance."
            .to_owned(),
    );
    all.push(
        "The twin of each patch begins as the patch does, meets the same weather and is never \
         cut. Growing seasons and ground are as the book has them, and so is the season of a full \
         crop, as deep as its doubt lets it be; drought, pests, shrinking stands and cheating are \
         not played."
            .to_owned(),
    );
    match plan.kept {
        Kept::AsProfiled => {}
        Kept::At(theta) => all.push(format!("Of every crop {} is kept standing.", percent(theta))),
        Kept::Share(part) => {
            all.push(format!("Every share is {} of its profile's.", percent(part)));
        }
    }
    if !plan.tested.is_empty() {
        let names: Vec<String> = plan.tested.iter().map(ToString::to_string).collect();
        all.push(format!(
            "A recovery test of {} pairs of squares begins on {} with the first day, and is weighed \
             a recovery interval of growth later, if the season is not over by then; what the few \
             squares give is not missed.",
            RecoveryTest::ADVISED_SQUARES,
            listed(&names)
        ));
    }
    if !plan.rested.is_empty() {
        let names: Vec<String> = plan.rested.iter().map(ToString::to_string).collect();
        all.push(format!("Nobody cuts {}.", names.join(", ")));
    }
    all.push(format!("Chance was drawn from the seed {}.", rehearsal.repeats.seed));
    all
}

fn demand(plan: &Plan) -> String {
    let people = match plan.people {
        Some(people) => format!(" of {people}"),
        None => String::new(),
    };
    let groups = match plan.groups {
        1 => format!("One group{people}"),
        n => format!("{n} groups{people}, spread over the week,"),
    };
    let verb = if plan.groups == 1 { "comes" } else { "come" };
    match &plan.demand {
        Demand::AllAllowed => {
            format!("{groups} {verb} each week and take{} all that is allowed.", s(plan.groups))
        }
        Demand::Weekly(amount) => format!(
            "{groups} {verb} each week and want{} {amount} of whatever is open, taken evenly from \
             all of it.",
            s(plan.groups)
        ),
        Demand::Walks(_) => {
            let groups = match (plan.groups, plan.people) {
                (1, None) => "Each walk's people come".to_owned(),
                (n, None) => format!("{n} groups of each walk's people come, spread over a week"),
                (_, Some(_)) => format!("{groups} {verb} for each walk"),
            };
            format!(
                "{groups} and cut in turns, no more at once than the ground has room for; what \
                 they want is taken evenly from all patches of the walk's sites that would do, \
                 one want after the other."
            )
        }
    }
}

fn set_aside(plan: &Plan) -> String {
    let others = match plan.demand {
        Demand::Walks(_) => "What is set aside for a walk is its own. What is set aside for others",
        Demand::AllAllowed | Demand::Weekly(_) => "What is set aside for a recorded walk",
    };
    format!(
        "{others} is kept for it until its day; on that day one that is not played here takes \
         what it was promised, and it counts as taken."
    )
}

/// Of a verb whose subject is so many.
fn s(subjects: u32) -> &'static str {
    if subjects == 1 { "s" } else { "" }
}

fn surveys(surveys: Surveys) -> String {
    match surveys {
        Surveys::WhenLapsed => "A patch is surveyed anew on the first walk after its last survey \
                                lapsed, with as many quadrats as that had."
            .to_owned(),
        Surveys::Every { days } => format!(
            "A patch is surveyed anew on the first walk after {}, with as many quadrats as the \
             last time.",
            counted(days.unsigned_abs(), "day")
        ),
        Surveys::Never => "No patch is surveyed again.".to_owned(),
    }
}
