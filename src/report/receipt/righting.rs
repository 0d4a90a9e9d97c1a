//! Of facts that were put right or taken back.

use crate::records::Kind;
use crate::units::{counted, listed};

/// The new fact and those it takes the place of; promises on so many patches went along with it.
/// `lists_changes` says that what changed follows.
pub fn corrected(id: &str, replaced: &[String], moved_holds: usize, lists_changes: bool) -> String {
    let along = match moved_holds {
        0 => String::new(),
        n => format!(" What is set aside on {} went along.", counted(n, "patch")),
    };
    let end = if lists_changes { ":" } else { "." };
    format!("Recorded as {id}, which takes the place of {}{end}{along}", listed(replaced))
}

/// `also` are facts that went with it.
pub fn withdrawn(kind: Kind, id: &str, key: &str, also: &[String]) -> String {
    let others = match also {
        [] => String::new(),
        some => format!(
            " With it {}, since both put one fact right: record it anew if one of them is so.",
            listed(some)
        ),
    };
    format!("Withdrawn: the {} {id} ({key}). It stays in the history.{others}", kind.name())
}

/// What comes before the facts that an undoing takes back, and before those that count again.
pub fn undone(is_tried_out: bool) -> [&'static str; 2] {
    match is_tried_out {
        true => ["Would be taken back:", "Would count again:"],
        false => ["Taken back, and kept in the history:", "Counts again:"],
    }
}
