//! A stop's limit in units that people in the field can use.

use super::WalkSheet;
use crate::assess::{Each, Stop};
use crate::records::{Crop, PlantPart};
use crate::report::counting::by_scale;
use crate::units::Measure;

/// `1 stem in 12`, `650 g in all`, `40 g each`; each only where it is so.
pub(super) fn limit(sheet: &WalkSheet, position: usize, stop: &Stop) -> Vec<String> {
    let crop = &stop.crop;
    let counted = counted(stop);
    let in_all = format!("{} in all", crop.show(stop.quota));
    let each = match sheet.briefing.each_at(position) {
        Each::Person(amount) => Some(format!("{} each", crop.show(amount))),
        Each::Party(amount) => Some(format!("{} a party", crop.show(amount))),
        Each::Between(low, high) => {
            Some(format!("{} to {} a party", crop.show(low), crop.show(high)))
        }
        Each::Nobody => None,
    };
    counted.into_iter().chain([in_all]).chain(each).collect()
}

/// `1 leaf in 12`, or `by weight` where nothing is counted.
pub(super) fn counted(stop: &Stop) -> Option<String> {
    match stop.one_in {
        Some(1) => None,
        Some(n) => Some(format!("1 {} in {n}", piece(&stop.crop))),
        None => Some(by_scale(&stop.crop).to_owned()),
    }
}

/// What is counted off, one by one.
fn piece(crop: &Crop) -> &str {
    if crop.measure == Measure::Count {
        return &crop.piece;
    }
    match crop.part {
        PlantPart::Leaf => "leaf",
        PlantPart::Shoot => "shoot",
        PlantPart::Flower => "flower",
        PlantPart::Fruit => "fruit",
        PlantPart::Seed => "seed head",
        PlantPart::Nut => "nut",
        PlantPart::Root | PlantPart::Bulb => "plant",
        PlantPart::Frond => "frond",
        PlantPart::FruitBody => "fruit body",
    }
}
