//! Numbers of people, and who is in a party.

use super::in_words;
use crate::records::Party;
use crate::units::counted;

/// `1 person`, `4 people`.
pub(super) fn people(n: u32) -> String {
    if n == 1 { "1 person".to_owned() } else { format!("{n} people") }
}

/// `2 adults and 1 child`.
pub(super) fn heads(party: &Party) -> String {
    let children = match party.children {
        1 => "1 child".to_owned(),
        n => format!("{n} children"),
    };
    let both = [(party.adults, counted(party.adults, "adult")), (party.children, children)];
    let there: Vec<String> =
        both.into_iter().filter(|(n, _)| *n > 0).map(|(_, words)| words).collect();
    in_words(&there)
}

/// `party 2`, `parties 1, 3 and 4`.
pub(super) fn parties(numbers: &[u32]) -> String {
    let shown: Vec<String> = numbers.iter().map(u32::to_string).collect();
    let noun = if shown.len() == 1 { "party" } else { "parties" };
    format!("{noun} {}", in_words(&shown))
}
