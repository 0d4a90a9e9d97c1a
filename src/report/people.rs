//! Numbers of people, and who is in a party.

use crate::records::Party;
use crate::units::{counted, listed, noun_for};

/// `2 adults and 1 child`.
pub fn heads(party: &Party) -> String {
    let both = [(party.adults, "adult"), (party.children, "child")];
    let there = both.into_iter().filter(|(n, _)| *n > 0).map(|(n, noun)| counted(n, noun));
    let there: Vec<String> = there.collect();
    listed(&there)
}

/// `party 2`, `parties 1, 3 and 4`.
pub(super) fn parties(numbers: &[u32]) -> String {
    let shown: Vec<String> = numbers.iter().map(u32::to_string).collect();
    format!("{} {}", noun_for(shown.len(), "party"), listed(&shown))
}
