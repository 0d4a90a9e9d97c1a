//! What a walk cannot have as it was wanted or promised; sentences without their full stops.

use super::opening::conditions;
use super::reasons::{because, mostly};
use crate::assess::{First, Lack, Shortage};
use crate::records::Want;
use crate::units::{Amount, spoken_day};
use crate::walk::Substitute;

/// One each.
pub fn lacking(all: &[Lack]) -> Vec<String> {
    all.iter().map(lack).collect()
}

fn lack(lack: &Lack) -> String {
    match lack {
        Lack::Want(missing) => shortage(missing),
        Lack::Unlimited(patch) => format!("{patch}: no upper limit, so nothing to share out"),
        Lack::AllShut(why) => mostly(why),
        Lack::LessThanHeld { patch, crop, held, allowed, why } => format!(
            "{patch}: {} was set aside, but by now no more than {} may go: {}",
            crop.show(*held),
            crop.show(*allowed),
            because(why)
        ),
    }
}

/// What is missing of a want, when it could be had, and what might do instead.
pub(super) fn shortage(short: &Shortage) -> String {
    let Want { what, amount } = &short.want;
    let first = match &short.first {
        First::Enough(day) => format!("from {} on there could be enough", spoken_day(*day)),
        First::Opens(patch, opening) => {
            let (day, conditions) = (spoken_day(opening.day), conditions(*opening));
            format!("the first patch to open is {patch} on {day}{conditions}")
        }
        First::NotKnown => "no day is known on which that would change by itself".to_owned(),
        First::OutOfReach => "the patches that have it are out of reach".to_owned(),
        First::NoPatch => "no patch here has it".to_owned(),
    };
    let why = short.why_shut.as_ref().map(|why| format!(" ({})", mostly(why))).unwrap_or_default();
    let instead: Vec<String> = short.substitutes.iter().map(could_give).collect();
    let instead = match instead.as_slice() {
        [] => String::new(),
        some => format!("; for the same use: {}", some.join(", ")),
    };
    format!("{what}: {} of {amount} missing{why}; {first}{instead}", short.missing)
}

fn could_give(other: &Substitute) -> String {
    match other.could_give {
        Some(amount) => {
            let amount = Amount { value: amount as f64, measure: other.measure };
            format!("{} could give {amount}", other.crop)
        }
        None => format!("{} has no upper limit", other.crop),
    }
}
