//! How what was picked keeps until it is cooked, by what part of a plant it is.
//!
//! Common practice, no source: we know of no published shelf life for most of these.

use crate::records::PlantPart;

/// In a sentence, without its full stop.
pub(super) fn keeping(part: PlantPart) -> &'static str {
    match part {
        PlantPart::Leaf | PlantPart::Shoot => {
            "cool, in a damp cloth or a box with a lid; eat within three days"
        }
        PlantPart::Frond => "rinsed in sea water, cool and damp; eat within two days, or dry it",
        PlantPart::Flower => "cool and dry, never heaped; eat or steep it on the day",
        PlantPart::Fruit => "dry and unwashed, in a shallow layer; eat within two days, or cook it",
        PlantPart::Seed | PlantPart::Nut => "dry and airy; keeps for months once it is dry",
        PlantPart::Root | PlantPart::Bulb => "unwashed, cool and damp; keeps for a week or more",
        PlantPart::FruitBody => {
            "in paper, never in plastic, cool; cook it through within a day or two"
        }
    }
}
