//! Places about which something was recorded at one moment, and that are to be packed when it ends.
//! Of a patch that was new at this moment all that is packed passed through the writer's hands: it
//! is packed as it was written, and neither a limit nor the pack has it read back.

use super::bundle::Bundle;
use super::by_place::ByPlace;
use super::packed::{Pack, no_bundles};

/// What is to be packed.
#[derive(Debug, Default)]
pub(super) struct ToPack {
    /// In any order, some more than once.
    pub(super) places: Vec<i64>,
    /// Of patches that were new, what there is of each section.
    new: ByPlace<Vec<Bundle>>,
}

impl ToPack {
    /// These places, of which nothing is in hand.
    pub(super) fn of(places: Vec<i64>) -> Self {
        Self { places, ..Self::default() }
    }

    /// A patch that the book has not met before.
    pub(super) fn is_new(&mut self, patch: i64) {
        self.new.insert(patch, no_bundles());
    }

    /// Whether everything that is packed of the place is in hand.
    pub(super) fn has(&self, place: i64) -> bool {
        self.new.contains_key(&place)
    }

    /// Rows of a section that were written about a place. They are all of one table, or the place has
    /// to be read after all: to mend a bundle would be to make it anew.
    pub(super) fn take_in(&mut self, place: i64, section: usize, bundle: Bundle) {
        let Some(sections) = self.new.get_mut(&place) else { return };
        if sections[section].is_empty() {
            sections[section] = bundle;
        } else {
            self.is_to_be_read(place);
        }
    }

    /// A row was written about the place that is in no bundle.
    pub(super) fn is_to_be_read(&mut self, place: i64) {
        self.new.remove(&place);
    }

    /// What is in hand of a place, from now on no more.
    pub(super) fn take(&mut self, place: i64) -> Option<Vec<Bundle>> {
        self.new.remove(&place)
    }

    /// The packs of those of these places that are in hand, and all others, in their order.
    pub(super) fn packs(&self, places: &[i64]) -> (Vec<Pack>, Vec<i64>) {
        let (mut packs, mut others) = (Vec::new(), Vec::new());
        for &place in places {
            match self.new.get(&place).and_then(|bundles| Pack::of_bundles(place, bundles)) {
                Some(pack) => packs.push(pack),
                None => others.push(place),
            }
        }
        (packs, others)
    }
}
