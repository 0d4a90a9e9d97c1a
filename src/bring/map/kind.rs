//! What a feature is: by its own words, its layer's, or what was told.

use serde_json::Value;

use super::Told;
use crate::intake::FEATURES;
use crate::maps::Drawn;
use crate::records::{Kind, LandmarkKind, folded};

/// Properties that may say it.
const SAY: [&str; 2] = ["kind", "type"];

/// `Some(None)` for what is left out, `None` where nothing tells.
pub(super) fn of(drawn: &Drawn, told: &Told) -> Option<Option<Kind>> {
    if let Some(kind) = SAY.into_iter().find_map(|name| called(text(drawn, name)?)) {
        return Some(Some(kind));
    }
    let of_layer = told.layers.iter().find(|(layer, _)| folded(layer) == folded(&drawn.layer));
    if let Some((_, kind)) = of_layer {
        return Some(*kind);
    }
    let landmark = text(drawn, "what").and_then(|what| what.parse::<LandmarkKind>().ok());
    let by_layer = called(&drawn.layer);
    let is_patch = || text(drawn, "crop").filter(|crop| !crop.trim().is_empty());
    let by_its_own = landmark.map(|_| Kind::Landmark).or_else(|| is_patch().map(|_| Kind::Patch));
    by_layer.or(by_its_own).or(told.kind).map(Some)
}

/// The kind that is called so, alone or in the plural.
pub fn called(name: &str) -> Option<Kind> {
    let name = folded(name);
    FEATURES.into_iter().find(|kind| kind.name() == name || kind.plural() == name)
}

/// The property of that name, in whatever case.
fn text<'d>(drawn: &'d Drawn, name: &str) -> Option<&'d str> {
    let mut properties = drawn.properties.iter();
    properties.find(|(own, _)| own.eq_ignore_ascii_case(name)).and_then(|(_, value)| match value {
        Value::String(text) => Some(text.as_str()),
        _ => None,
    })
}
