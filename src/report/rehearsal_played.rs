//! Which walks a rehearsal plays, and which it leaves out, in words.

use super::rehearsal_document::Rehearsal;
use crate::rehearsal::Demand;
use crate::units::{counted, spoken_day};

/// Where the walks that are played come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlanFrom {
    /// One a week, as asked.
    EachWeek,
    /// The book has no walk to play: one a week.
    NoWalkRecorded,
    /// Those that the book has.
    Book,
    /// Those of a file; has its name.
    File(String),
}

/// Walks of the book or the file that are not played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Before the first day played.
    pub before: usize,
    /// After the season.
    pub after: usize,
    /// What they took is in the book already.
    pub settled: usize,
    /// They do not ask for what was asked about.
    pub elsewhere: usize,
}

/// What is played, in a sentence.
pub(super) fn played(rehearsal: &Rehearsal) -> String {
    let plan = rehearsal.plan;
    let from = spoken_day(plan.from);
    match (&plan.demand, rehearsal.plan_from) {
        (Demand::AllAllowed, PlanFrom::NoWalkRecorded) => format!(
            "The book has no walk to play from {from} on. Played is a walk each week that takes all \
             that is allowed."
        ),
        (Demand::AllAllowed, _) => {
            "Played is a walk each week that takes all that is allowed.".to_owned()
        }
        (Demand::Weekly(amount), _) => {
            format!("Played is a walk each week for {amount} of whatever is open.")
        }
        (Demand::Walks(walks), source) => {
            let source = match source {
                PlanFrom::File(name) => format!("of `{name}`"),
                _ => format!("that the book has from {from} on"),
            };
            match walks.len() {
                1 => format!("Played is the one walk {source}."),
                n => format!("Played are the {n} walks {source}."),
            }
        }
    }
}

/// What is not, if there is any.
pub(super) fn left_out(rehearsal: &Rehearsal) -> Option<String> {
    let LeftOut { before, after, settled, elsewhere } = rehearsal.left_out;
    let plan = rehearsal.plan;
    let before_it = format!("before {}", spoken_day(plan.from));
    let after_it = format!("after {}", spoken_day(plan.season.last_day()));
    let all = [
        (before, before_it.as_str()),
        (after, after_it.as_str()),
        (settled, "settled"),
        (elsewhere, "after other things or elsewhere"),
    ];
    let parts = all.into_iter().filter(|(n, _)| *n > 0);
    let parts = parts.map(|(n, which)| format!("{} {which}", counted(n, "walk")));
    let parts: Vec<String> = parts.collect();
    (!parts.is_empty()).then(|| format!("Left out: {}.", parts.join(", ")))
}
