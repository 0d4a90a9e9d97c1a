//! What a limit goes by: a count, or else a scale.

use crate::assess::Assessment;
use crate::json::one_of;
use crate::records::Crop;
use crate::regrowth::Count;
use crate::units::Measure;

/// `1 in 20`, or `by weight` where nothing is counted; nothing where there is no limit.
pub(super) fn goes_by(crop: &Crop, most: Option<f64>, one_in: Option<u32>) -> String {
    match one_in {
        Some(n) => format!("1 in {n}"),
        None => most.filter(|most| *most > 0.0).map_or("", |_| by_scale(crop)).to_owned(),
    }
}

/// The same of a patch, in a sentence that says why nothing is counted.
pub(super) fn goes_by_sentence(patch: &Assessment) -> String {
    let text = goes_by(&patch.crop, patch.ruling.most, patch.ruling.one_in);
    let count = patch.ruling.ceilings.iter().filter_map(|ceiling| ceiling.count).max();
    match (patch.ruling.one_in, count) {
        _ if text.is_empty() => text,
        (Some(_), _) => format!(", counting {text} of what you see"),
        (None, Some(Count::TooFew)) => {
            format!(", {text}: it is too small a part of what you see to count off")
        }
        (None, _) => format!(", {text}"),
    }
}

/// Where there is no count.
pub(super) fn by_scale(crop: &Crop) -> &'static str {
    match crop.measure {
        Measure::Mass => "by weight",
        Measure::Count => "by number",
    }
}

one_of! {
    /// What a limit goes by.
    pub(super) enum GoesBy {
        Count = "count",
        Weight = "weight",
        Number = "number",
    }
}

/// What a limit goes by, as a word of the data formats.
pub(super) fn goes_by_word(crop: &Crop, most: Option<f64>, one_in: Option<u32>) -> Option<GoesBy> {
    match (one_in, crop.measure) {
        (Some(_), _) => Some(GoesBy::Count),
        (None, _) if most.is_none_or(|most| most <= 0.0) => None,
        (None, Measure::Mass) => Some(GoesBy::Weight),
        (None, Measure::Count) => Some(GoesBy::Number),
    }
}
