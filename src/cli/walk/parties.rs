//! The parties of a recorded walk, as people call them and as they are told.

use std::collections::BTreeMap;

use crate::cli::failure::Failure;
use crate::records::{Walk, folded};
use crate::units::listed;

/// The number of the party that is called so, or else has that number; `None` where there is
/// none. `labels` are what the parties are called, by number.
///
/// # Errors
/// A name that several parties have.
pub fn party_called(
    asked: &str,
    walk: &Walk,
    labels: &BTreeMap<u32, String>,
) -> Result<Option<u32>, Failure> {
    let so_called = labels.iter().filter(|(_, label)| folded(label) == folded(asked));
    let so_called: Vec<u32> = so_called.map(|(number, _)| *number).collect();
    let number = match so_called.as_slice() {
        [] => asked.parse().ok(),
        [one] => Some(*one),
        several => {
            let numbers: Vec<String> = several.iter().map(ToString::to_string).collect();
            return Err(Failure::wrong(format!(
                "parties {} are all called `{asked}`; write the number of the one that is meant",
                listed(&numbers)
            )));
        }
    };
    let parties = walk.parties.len().max(1);
    Ok(number.filter(|number| (1..=parties).contains(&(*number as usize))))
}

/// The same of a party that must be there.
///
/// # Errors
/// That there is none, and which there are.
pub fn known_party(
    asked: &str,
    walk: &Walk,
    labels: &BTreeMap<u32, String>,
) -> Result<u32, Failure> {
    party_called(asked, walk, labels)?.ok_or_else(|| {
        let there = match walk.parties.len() {
            0 | 1 => "it has only party 1".to_owned(),
            n => format!("it has the parties 1 to {n}"),
        };
        Failure::wrong(format!(
            "no party of `{}` is called `{asked}`; {there}, and `stintbook walk split` shows what \
             they are called (nothing was recorded)",
            walk.name
        ))
    })
}
