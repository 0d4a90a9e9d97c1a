//! Phrases that several sections share.

use std::collections::BTreeMap;

use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::records::Crop;
use crate::units::{Amount, Measure, listed};

/// As many names as a reader takes in, and how many more there are.
pub(super) fn some_of(names: &[&str]) -> String {
    const SHOWN: usize = 6;
    match names.len().checked_sub(SHOWN) {
        None | Some(0) => listed(names),
        Some(more) => format!("{} and {more} more", names[..SHOWN].join(", ")),
    }
}

/// `26.3 kg and 40 heads`: masses together, pieces by what they are called.
pub(in crate::report) fn sum_of<'a>(amounts: impl Iterator<Item = (&'a Crop, f64)>) -> String {
    let mut grams = 0.0;
    let mut pieces: BTreeMap<&str, (f64, &Crop)> = BTreeMap::new();
    for (crop, amount) in amounts {
        match crop.measure {
            Measure::Mass => grams += amount,
            Measure::Count => pieces.entry(&crop.piece).or_insert((0.0, crop)).0 += amount,
        }
    }
    let mass = (grams > 0.0).then(|| Amount::grams(grams).to_string());
    let counts = pieces.into_values().filter(|(amount, _)| *amount > 0.0);
    let counts = counts.map(|(amount, crop)| crop.show(amount));
    let all: Vec<String> = mass.into_iter().chain(counts).collect();
    if all.is_empty() { "nothing".to_owned() } else { listed(&all) }
}

pub(super) fn taken_in_all(report: &SeasonReport) -> String {
    sum_of(report.patches.iter().map(|patch| (&**patch.crop(), patch.taken())))
}

/// The patch that bears a number.
pub(super) fn named<'r>(report: &'r SeasonReport, number: usize) -> &'r str {
    let patch = report.patches.iter().find(|patch| patch.number == number);
    patch.map_or("a patch", PatchReport::name)
}

/// With a capital letter and a full stop.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.trim_end_matches('.').chars();
    let first = letters.next().map(|letter| letter.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str() + "."
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_people_say_them() {
        assert_eq!(
            some_of(&["A", "B", "C", "D", "E", "F", "G", "H"]),
            "A, B, C, D, E, F and 2 more"
        );
        assert_eq!(sentence("a thing"), "A thing.");
    }
}
